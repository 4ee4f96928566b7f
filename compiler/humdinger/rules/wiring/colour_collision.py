"""Colour collisions.

What it checks
    House wire colours, and the lead colours transformers come with, against the colours that mean earth, line and neutral.

Why it matters
    Green and yellow is protective earth on one part and the centre tap of the heaters on another; blue is neutral on a cord and a plate at
    400 V on a transformer. Who opens the amp in ten years trusts the colour.

How it is computed
    House colours: those of the shop file over the compiler's own. Leads: by the code the spec names (lead_colours), terminal by terminal.
    Each lead whose colour could be taken for something else gets a row in the table of sleeves.
    In the example `shop/` stands for the shop file.

Limits and sources
    Green, green with yellow, or black on any house wire, brown or blue where they mean line and neutral: danger (standards IEC 60445 and
    North American practice, as quoted). Leads with a sleeve row pass. Transformers of no stated code: not evaluated.

Example (bad)
    over: curlew
    shop/wire_colours: {heater: green-yellow}

Example (good)
    over: curlew
    output/transformer/lead_colours: retma

When to waive it
    Never.
"""

from __future__ import annotations

from collections.abc import Iterator

from ...circuit.netlist import InterstageTransformer, OutputTransformer, PowerTransformer
from ...diagnostics import Severity
from ..model import Case, Outcome, failed, not_evaluated, passed

NAME = "colour-collision"
CODES = ("retma",)
PLACES = {OutputTransformer: "output/transformer", PowerTransformer: "supply/transformer"}


def check(case: Case) -> Iterator[Outcome]:
    """One outcome per house colour that clashes (one for all when none does), and one per lead that needs a sleeve."""
    colours = case.design.shop.block("wire_colours")
    for clash in case.colouring.clashes:
        span = colours.span_of(clash.carries) if clash.carries in colours else case.spec.span
        message = f"house wires for {clash.carries} are {clash.colour}, which could be taken for {clash.taken_for}"
        helps = ("another colour in the shop file (wire_colours)",)
        yield failed(Severity.DANGER, clash.carries, span, message, label=f"means {clash.taken_for}", helps=helps)
    if not case.colouring.clashes:
        yield passed("house colours", case.spec.span, "no house colour could be taken for earth, line or neutral")
    for sleeve in case.colouring.sleeves:
        lead = f"{sleeve.lead.ref}.{sleeve.lead.pin}"
        said = f"the {sleeve.colour} lead {lead} could be taken for {sleeve.taken_for}; it is sleeved {sleeve.sleeve}"
        yield passed(lead, sleeve.span, said)
    for part in case.netlist.parts:
        if isinstance(part, OutputTransformer | PowerTransformer | InterstageTransformer) and part.lead_colours not in CODES:
            place = PLACES.get(type(part)) or part.path
            given = f"the code {part.lead_colours} is not known" if part.lead_colours else f"the spec does not say ({place}/lead_colours)"
            yield not_evaluated(part.ref, case.at(place), f"lead colours of {part.ref}: {given}")

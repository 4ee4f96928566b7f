"""One colour for two kinds of wire.

What it checks
    That no two kinds of house wire of this amp have the same colour.

Why it matters
    Whoever traces a fault reads the colour first. A grid wire in the colour of the plates sends the probe to 300 V.

How it is computed
    The colours of the nets there are, by what they carry: those of the shop file over the compiler's own. In the example `shop/` stands
    for the shop file. Mains and earth wires follow the region and are left to WIR-004.

Limits and sources
    Two kinds in one colour: warning (common practice).

Example (bad)
    over: curlew
    shop/wire_colours: {grid: orange}

Example (good)
    over: curlew
    shop/wire_colours: {grid: white}

When to waive it
    When one drum of wire is all there is, and sleeves or tags at both ends tell the wires apart.
"""

from __future__ import annotations

from collections.abc import Iterator

from ...diagnostics import Severity
from ..model import Case, Outcome, failed, passed

NAME = "shared-wire-colour"


def check(case: Case) -> Iterator[Outcome]:
    """One outcome per colour that two kinds share; one for all when none does."""
    kinds: dict[str, list[str]] = {}
    for carries, colour in case.colouring.kinds.items():
        kinds.setdefault(colour, []).append(carries)
    shared = {colour: sorted(found) for colour, found in kinds.items() if len(found) > 1}
    given = case.design.shop.block("wire_colours")
    for colour, found in shared.items():
        span = next((given.span_of(kind) for kind in found if kind in given), case.spec.span)
        message = f"wires for {' and '.join(found)} are all {colour}"
        helps = ("another colour for one of them in the shop file (wire_colours)",)
        yield failed(Severity.WARNING, found[0], span, message, label=f"{colour} is taken", helps=helps)
    if kinds and not shared:
        yield passed("house colours", case.spec.span, f"each of {len(kinds)} kinds of house wire has a colour of its own")

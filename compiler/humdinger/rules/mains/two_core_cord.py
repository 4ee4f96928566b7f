"""Two-core mains cord.

What it checks
    That the amp has a three-core cord with protective earth.

Why it matters
    A metal chassis with a two-core cord becomes live with the first insulation fault.

How it is computed
    Read off the spec: `supply/mains/cord`.

Limits and sources
    Two-core: danger. Colours by region: see the region table (IEC 60445 and North American practice, as quoted by public tables).

Example (bad)
    over: dunlin
    supply/mains/cord: two-core

Example (good)
    over: dunlin
    supply/mains/cord: three-core

When to waive it
    Never: it is a danger.
"""

from __future__ import annotations

from collections.abc import Iterator

from ...circuit.netlist import Inlet
from ...diagnostics import Severity
from ..model import Case, Outcome, failed, passed

NAME = "two-core-cord"


def check(case: Case) -> Iterator[Outcome]:
    """One outcome per inlet."""
    region = case.netlist.region
    for inlet in case.netlist.of(Inlet):
        if inlet.cord_cores >= 3:
            colours = f"line {region.line_colour}, neutral {region.neutral_colour}, earth {region.earth_colours[0]}"
            yield passed(inlet.ref, inlet.span, f"three-core cord: {colours}", value=float(inlet.cord_cores), limit=3.0)
        else:
            yield failed(
                Severity.DANGER,
                inlet.ref,
                case.at("supply/mains/cord"),
                f"the cord has {inlet.cord_cores} cores: no protective earth reaches the chassis",
                value=float(inlet.cord_cores),
                limit=3.0,
                label="no earth",
                helps=("a three-core cord or an inlet with earth, its earth on the stud",),
            )

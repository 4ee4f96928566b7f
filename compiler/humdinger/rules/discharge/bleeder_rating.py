"""Bleeder rating.

What it checks
    The watts and the volts of each bleeder at the cold B+.

Why it matters
    It is the one resistor in the amp whose failure nobody notices: the amp plays on, and the capacitors stay charged.

How it is computed
    V2/R with no tube drawing current, mains at the insulation corner; the same volts against what the element stands.

Limits and sources
    Above 50 % of the rated watts error; above the element's volts error (common practice). Element volts, unless the part says otherwise:
    1/4 W 200, 1/2 W 300, 1 W 350, 2 W 500, 3 W 750 V (common practice). Not rated: not evaluated.

Example (bad)
    over: dunlin
    supply/filter/0/bleeder: 100k 1W flameproof

Example (good)
    over: dunlin
    supply/filter/0/bleeder: 100k 3W flameproof

When to waive it
    Not: two in series share both.
"""

from __future__ import annotations

from collections.abc import Iterator

from ...circuit.netlist import Resistor
from ...diagnostics import Severity
from ...units import show_ohms, show_volts, show_watts
from ..model import Case, Outcome, failed, not_evaluated, passed
from ..rectifying import COLD
from ..resistor_limits import element_volts, is_bleeder

NAME = "bleeder-rating"
LIMIT_SHARE = 0.5


def check(case: Case) -> Iterator[Outcome]:
    """Two outcomes per bleeder: power and volts."""
    for part in case.netlist.of(Resistor):
        cold = case.results.operating[COLD].parts.get(part.ref)
        if cold is None or not is_bleeder(part):
            continue
        volts, watts = abs(cold.volts), abs(cold.watts)
        yield _power(part, volts, watts)
        yield _volts(part, volts)


def _power(part: Resistor, volts: float, watts: float) -> Outcome:
    element = f"{part.ref} power"
    if part.watts is None:
        return not_evaluated(element, part.span, f"{part.ref} has no rated watts; cold it takes {show_watts(watts)}")
    limit = LIMIT_SHARE * part.watts
    equation = (
        f"({show_volts(volts)})²/{show_ohms(part.ohms)} = {show_watts(watts)}, {100 * watts / part.watts:.0f} % of {show_watts(part.watts)}"
    )
    shared = {"value": watts, "limit": limit, "unit": "W", "condition": COLD, "equation": equation}
    said = f"the bleeder {part.ref} takes {show_watts(watts)} cold"
    if watts <= limit:
        return passed(element, part.span, said, **shared)
    message = f"{said}, more than half of its {show_watts(part.watts)}"
    helps = ("more watts, or two in series",)
    return failed(Severity.ERROR, element, part.span, message, label=f"rated {show_watts(part.watts)}", helps=helps, **shared)


def _volts(part: Resistor, volts: float) -> Outcome:
    element = f"{part.ref} volts"
    found = element_volts(part)
    if found is None or (part.watts is None and part.volts_max is None):
        return not_evaluated(element, part.span, f"nothing says what volts {part.ref} stands; cold it gets {show_volts(volts)}")
    limit, why = found
    equation = f"{show_volts(volts)} cold against {show_volts(limit)}, {why}"
    shared = {"value": volts, "limit": limit, "unit": "V", "condition": COLD, "equation": equation}
    said = f"the bleeder {part.ref} has {show_volts(volts)} across it cold"
    if volts <= limit:
        return passed(element, part.span, said, **shared)
    message = f"{said}, its element stands {show_volts(limit)}"
    helps = ("two in series, or a part of more volts",)
    return failed(Severity.ERROR, element, part.span, message, label=f"{show_volts(limit)}, {why}", helps=helps, **shared)

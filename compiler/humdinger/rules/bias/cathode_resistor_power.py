"""Power of the cathode resistor.

What it checks
    The watts of each cathode resistor of the output stage, at work and with one of its tubes shorted from plate to cathode.

Why it matters
    It runs hot all the time, and when a tube shorts it is all that stands between B+ and ground: a film resistor then burns.

How it is computed
    V2/R of the solved amp at nominal mains, and of the amp solved again with the first tube on the resistor shorted.

Limits and sources
    Above 50 % of its rating at work: warning. With a tube shorted: within its rating, or of a wire-wound or flameproof type, else warning
    (common practice).

Example (bad)
    over: curlew
    bias/resistor: 270 0.5W wirewound
    also: RES-001

Example (good)
    over: curlew
    bias/resistor: 270 5W wirewound

When to waive it
    The share at work, for a part the maker rates at the temperature under the chassis.
"""

from __future__ import annotations

from collections.abc import Iterator

from ...analysis.results import CathodeBias
from ...circuit.netlist import Resistor
from ...diagnostics import Severity
from ...units import show_volts, show_watts
from ..model import Case, Outcome, failed, not_evaluated, passed

NAME = "cathode-resistor-power"
SHARE = 0.5
SAFE = ("wirewound", "flameproof", "fusible")


def check(case: Case) -> Iterator[Outcome]:
    """Two outcomes per cathode resistor: at work, and with a tube shorted."""
    for bias in case.results.cathode_biases:
        part = case.netlist.by_ref[bias.resistor]
        if not isinstance(part, Resistor):
            continue
        if part.watts is None:
            yield not_evaluated(part.ref, part.span, f"the spec does not give the watts of {part.ref}; it takes {show_watts(bias.watts)}")
            continue
        yield _at_work(part, bias, part.watts)
        yield _shorted(part, bias, part.watts)


def _at_work(part: Resistor, bias: CathodeBias, rated: float) -> Outcome:
    percent = 100.0 * bias.watts / rated
    equation = (
        f"{show_volts(bias.volts)} squared / {part.ohms:g} ohm = {show_watts(bias.watts)}, {percent:.0f} %; limit {100 * SHARE:.0f} %"
    )
    shared = {"value": bias.watts, "limit": SHARE * rated, "unit": "W", "condition": "nominal", "equation": equation}
    said = f"{part.ref} takes {show_watts(bias.watts)}, {percent:.0f} % of its {show_watts(rated)}"
    if bias.watts <= SHARE * rated:
        return passed(part.ref, part.span, said, **shared)
    return failed(Severity.WARNING, part.ref, part.span, said, label=f"rated {show_watts(rated)}", helps=("more watts",), **shared)


def _shorted(part: Resistor, bias: CathodeBias, rated: float) -> Outcome:
    element = f"{part.ref} fault"
    equation = f"{show_volts(bias.shorted_volts)} squared / {part.ohms:g} ohm = {show_watts(bias.shorted_watts)}"
    condition = f"nominal, {bias.shorted_section} shorted"
    shared = {"value": bias.shorted_watts, "limit": rated, "unit": "W", "condition": condition, "equation": equation}
    said = f"with {bias.shorted_section} shorted {part.ref} takes {show_watts(bias.shorted_watts)}"
    if bias.shorted_watts <= rated or part.technology in SAFE:
        return passed(element, part.span, f"{said}; it is {part.technology}", **shared)
    message = f"{said}, its rating is {show_watts(rated)} and it is a {part.technology} resistor"
    helps = ("a wire-wound or flameproof part, standing free",)
    return failed(Severity.WARNING, element, part.span, message, label=part.technology, helps=helps, **shared)

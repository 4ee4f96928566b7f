"""Choke.

What it checks
    The direct current through each filter choke against its rating, and its insulation against the cold B+.

Why it matters
    Above its current a choke saturates: its inductance goes and the hum comes. Its winding stands at the B+ and its core on the chassis.

How it is computed
    Current of the solved supply, the highest of all mains corners; cold B+ against the declared insulation.

Limits and sources
    Above its current: warning (handbook, from memory). Insulated below the cold B+: error (physics). Not given: not evaluated; the
    insulation a warning in an amp that is sold.

Example (bad)
    over: heron
    supply/filter/1/choke: {inductance: 5 H, resistance: 90, current: 15 mA, insulation: 1.5 kV}

Example (good)
    over: heron
    supply/filter/1/choke: {inductance: 5 H, resistance: 90, current: 200 mA, insulation: 1.5 kV}

When to waive it
    The current, for a choke whose inductance was measured with that current through it.
"""

from __future__ import annotations

from collections.abc import Iterator

from ...circuit.netlist import Choke
from ...diagnostics import Severity
from ...units import show_amps, show_volts
from ..model import Case, Outcome, failed, not_evaluated, passed, undeclared
from ..rectifying import COLD, cold_b_plus

NAME = "choke-rating"


def check(case: Case) -> Iterator[Outcome]:
    """Two outcomes per choke: current and insulation."""
    for choke in case.netlist.of(Choke):
        yield _current(case, choke)
        yield _insulation(case, choke)


def _current(case: Case, choke: Choke) -> Outcome:
    element = f"{choke.ref} current"
    if choke.amps is None:
        return not_evaluated(element, choke.span, f"the spec does not give the current of {choke.ref} ({choke.path}/current)")
    stresses = {name: o.parts[choke.ref] for name, o in case.results.operating.items() if choke.ref in o.parts}
    condition = max(stresses, key=lambda name: stresses[name].amps)
    worst = stresses[condition]
    equation = f"{show_amps(worst.amps)} against {show_amps(choke.amps)}; {show_volts(abs(worst.volts))} lost in its winding"
    shared = {"value": worst.amps, "limit": choke.amps, "unit": "A", "condition": condition, "equation": equation}
    said = f"{choke.ref} carries {show_amps(worst.amps)}"
    if worst.amps <= choke.amps:
        return passed(element, choke.span, said, **shared)
    message = f"{said}, it is rated {show_amps(choke.amps)}"
    return failed(Severity.WARNING, element, choke.span, message, label="saturates", helps=("a choke rated for the current",), **shared)


def _insulation(case: Case, choke: Choke) -> Outcome:
    element = f"{choke.ref} insulation"
    if choke.insulation_volts is None:
        return undeclared(case, element, choke.span, f"the spec does not give the insulation of {choke.ref} ({choke.path}/insulation)")
    cold = cold_b_plus(case)
    equation = f"insulation {show_volts(choke.insulation_volts)} against {show_volts(cold)} cold"
    shared = {"value": cold, "limit": choke.insulation_volts, "unit": "V", "condition": COLD, "equation": equation}
    said = f"{choke.ref} stands at {show_volts(cold)} cold"
    if cold <= choke.insulation_volts:
        return passed(element, choke.span, said, **shared)
    message = f"{said} and is insulated for {show_volts(choke.insulation_volts)}"
    return failed(Severity.ERROR, element, choke.span, message, label="insulation", helps=("a choke insulated for the B+",), **shared)

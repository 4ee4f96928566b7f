"""Volts of a coupling capacitor.

What it checks
    The volts across every capacitor of the signal path, before the tubes conduct and in every other state, against its rating.

Why it matters
    Cold, the plate stands at the full B+ and the next grid at its bias: the capacitor sees both. When it breaks down, the next grid goes to
    B+.

How it is computed
    Cold plate volts less the volts on the other side, the bias included; no tube conducts, mains at the insulation corner. A cathode
    that rises when its tube conducts puts more across its capacitor than the cold amp: the worst of all states counts.

Limits and sources
    Above the rated volts: error (computed; 630 V is the usual choice, common practice). No rating given: not evaluated.

Example (bad)
    over: dunlin
    signal/4/coupling: 22n 250V

Example (good)
    over: dunlin
    signal/4/coupling: 22n 630V

When to waive it
    Not: a higher rating costs cents.
"""

from __future__ import annotations

from collections.abc import Iterator

from ...circuit.netlist import Capacitor
from ...diagnostics import Severity
from ...units import show_volts
from ..bypassing import is_bypass
from ..model import Case, Outcome, failed, not_evaluated, passed
from ..printed import say_volts
from .cold_b_plus import worst_state

NAME = "coupling-capacitor-volts"


def check(case: Case) -> Iterator[Outcome]:
    """One outcome per capacitor that is no electrolytic, bypass, filter or mains capacitor."""
    supply = {stage.id for stage in case.netlist.stages_of("filter")}
    for part in case.netlist.of(Capacitor):
        stress = case.results.stresses.get(part.ref)
        if stress is None or part.polarised or part.stage in supply or is_bypass(case, part):
            continue
        volts = max(stress.cold_volts, stress.worst_volts)
        condition, when = worst_state(case, part)
        if part.volts is None:
            yield not_evaluated(part.ref, part.span, f"{part.ref} has no rated volts; it gets {say_volts(volts)} {when}")
            continue
        a, b = (case.results.operating[condition].volts.get(pin.net, 0.0) for pin in part.pins)
        equation = f"{say_volts(a)} - ({say_volts(b)}) = {say_volts(volts, part.volts)} against {show_volts(part.volts)}"
        shared = {"value": volts, "limit": part.volts, "unit": "V", "condition": condition, "equation": equation}
        said = f"{part.ref} gets {say_volts(volts, part.volts)} {when}"
        if volts <= part.volts:
            yield passed(part.ref, part.span, f"{said}, rated {show_volts(part.volts)}", **shared)
        else:
            message = f"{said}, it is rated {show_volts(part.volts)}"
            label = f"rated {show_volts(part.volts)}"
            yield failed(Severity.ERROR, part.ref, part.span, message, label=label, helps=("a capacitor for the whole cold B+",), **shared)

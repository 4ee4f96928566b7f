"""Capacitors of the oscillator.

What it checks
    Kind and rating of the capacitors of the ladder and of the coupling to the intensity control.

Why it matters
    A leaky capacitor lifts the grid and the oscillator drifts or stops; a shorted one puts B+ on the next.

How it is computed
    Declared type, and rated volts against the cold B+ of the oscillator's own node.

Limits and sources
    Film or mica, rated for the cold B+: else warning (common practice). No rating given: not evaluated.

Example (bad)
    over: curlew
    modulation/oscillator/capacitors/1: 47n 250V

Example (good)
    over: curlew
    modulation/oscillator/capacitors/1: 47n 630V

When to waive it
    Not: the right part costs cents.
"""

from __future__ import annotations

from collections.abc import Iterator

from ...circuit.netlist import Capacitor
from ...diagnostics import Severity
from ...units import show_volts
from ..model import Case, Outcome, failed, not_evaluated, passed
from ..oscillating import oscillator
from ..rectifying import COLD

NAME = "oscillator-capacitors"
TIGHT = ("film", "mica")
ROLES = ("step-capacitor", "coupling")


def check(case: Case) -> Iterator[Outcome]:
    """One outcome per capacitor of the ladder, and one for the coupling."""
    stage = oscillator(case)
    if stage is None:
        return
    cold = case.results.operating[COLD].volts.get(stage.ports.get("supply", ""), 0.0)
    for role, ref in stage.parts.items():
        part = case.netlist.by_ref.get(ref)
        if not isinstance(part, Capacitor) or not role.startswith(ROLES):
            continue
        if part.technology not in TIGHT:
            message = f"{ref} of the oscillator is a {part.technology} capacitor, which leaks or drifts"
            yield failed(Severity.WARNING, ref, part.span, message, label=part.technology, helps=("a film capacitor",))
        elif part.volts is None:
            yield not_evaluated(ref, part.span, f"{ref} has no rated volts; cold its node stands at {show_volts(cold)}")
        else:
            equation = f"{show_volts(cold)} cold against {show_volts(part.volts)}"
            shared = {"value": part.volts, "limit": cold, "unit": "V", "condition": COLD, "equation": equation}
            if part.volts >= cold:
                yield passed(ref, part.span, f"{ref} is {part.technology}, rated {show_volts(part.volts)}", **shared)
                continue
            message = f"{ref} of the oscillator is rated {show_volts(part.volts)}, below the {show_volts(cold)} of its node when cold"
            label = f"rated {show_volts(part.volts)}"
            yield failed(Severity.WARNING, ref, part.span, message, label=label, helps=("a 630 V film capacitor",), **shared)

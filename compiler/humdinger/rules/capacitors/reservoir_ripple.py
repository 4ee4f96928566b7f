"""Ripple current of the reservoir.

What it checks
    The AC part of the charging pulses into the first capacitor, against its maker's ripple current.

Why it matters
    It heats the capacitor from inside; each ten degrees halve its life.

How it is computed
    Root of (rms squared - direct squared) of the computed pulses, nominal mains, idle: 1.3 to 2.4 times the direct current.

Limits and sources
    Above the declared ripple current: warning (computed). Not declared: not evaluated.

Example (bad)
    over: dunlin
    supply/filter/0/capacitor: {value: 47u, rating: 450 V, type: electrolytic, ripple: 60 mA}

Example (good)
    over: dunlin
    supply/filter/0/capacitor: {value: 47u, rating: 450 V, type: electrolytic, ripple: 500 mA}

When to waive it
    When the maker's figure is for 105 degrees and the place in the cabinet was measured cooler by forty.
"""

from __future__ import annotations

from collections.abc import Iterator

from ...circuit.netlist import Capacitor
from ...diagnostics import Severity
from ...units import show_amps
from ..model import Case, Outcome, failed, not_evaluated, passed
from ..rectifying import points

NAME = "reservoir-ripple"


def check(case: Case) -> Iterator[Outcome]:
    """One outcome per reservoir."""
    for rectifier, point in points(case, "nominal"):
        part = case.netlist.by_ref.get(rectifier.reservoir)
        stress = case.results.nominal.parts.get(rectifier.reservoir)
        if not isinstance(part, Capacitor) or stress is None:
            continue
        amps = stress.amps
        if part.ripple_amps is None:
            missing = f"the spec does not give the ripple current of {part.ref}; it takes {show_amps(amps)}"
            yield not_evaluated(part.ref, part.span, missing)
            continue
        form = f", {amps / point.dc_amps:.1f} x the direct {show_amps(point.dc_amps)}" if point.dc_amps > 0.0 else ""
        equation = f"{show_amps(amps)} rms{form}, against {show_amps(part.ripple_amps)}"
        shared = {"value": amps, "limit": part.ripple_amps, "unit": "A", "condition": "nominal", "equation": equation}
        said = f"{part.ref} takes {show_amps(amps)} of ripple"
        if amps <= part.ripple_amps:
            yield passed(part.ref, part.span, said, **shared)
        else:
            message = f"{said}, its maker allows {show_amps(part.ripple_amps)}"
            helps = ("a larger case, or two in parallel",)
            yield failed(Severity.WARNING, part.ref, part.span, message, label="runs hot", helps=helps, **shared)

"""Resistor power.

What it checks
    The watts each resistor dissipates, against its rating.

Why it matters
    A resistor at its full rating sits at 150 degrees and more: it drifts, chars the board and cooks the capacitor beside it.

How it is computed
    I2R of the solved amp, the highest of all states and mains corners, no signal; a resistor without direct current has no figure and
    passes by that. Bleeders have a stricter rule (DIS-003).

Limits and sources
    Above 50 % of the rated watts warning, above 100 % error (common practice). A resistor without a rating is taken as a 1/4 W part, the
    smallest in use; where that would not do, it is not evaluated.

Example (bad)
    over: dunlin
    supply/filter/1/through: 220 0.5W flameproof

Example (good)
    over: dunlin
    supply/filter/1/through: 220 5W wirewound

When to waive it
    The warning, for a wire-wound part that stands free of board and wires.
"""

from __future__ import annotations

from collections.abc import Iterator

from ...circuit.netlist import Resistor
from ...diagnostics import Severity
from ...units import show_watts
from ..model import Case, Outcome, failed, not_evaluated, passed
from ..printed import say_watts
from ..resistor_limits import SMALLEST_WATTS, is_bleeder, what

NAME = "resistor-power"
WARNING_SHARE = 0.5
NOTHING_WATTS, NOTHING_VOLTS = 1e-6, 0.1
"""Below both, what a resistor has is leakage and rounding: there is no figure to compare."""


def check(case: Case) -> Iterator[Outcome]:
    """One outcome per resistor."""
    for part in case.netlist.of(Resistor):
        stress = case.results.stresses.get(part.ref)
        if stress is None or is_bleeder(part):
            continue
        if stress.worst_watts < NOTHING_WATTS and stress.worst_volts < NOTHING_VOLTS:
            said = f"{part.ref} ({what(part)}) has no direct current; its power with signal is not computed"
            yield passed(part.ref, part.span, said)
            continue
        watts = stress.worst_watts
        rated = SMALLEST_WATTS if part.watts is None else part.watts
        percent = 100.0 * watts / rated
        if part.watts is None and percent > 100.0 * WARNING_SHARE:
            yield not_evaluated(part.ref, part.span, f"{part.ref} has no rated watts; it takes {say_watts(watts)}")
            continue
        equation = f"{say_watts(watts, rated)} / {show_watts(rated)} = {percent:.0f} %; limit {100 * WARNING_SHARE:.0f} %"
        shared = {"value": watts, "limit": WARNING_SHARE * rated, "unit": "W", "condition": stress.watts_condition, "equation": equation}
        said = f"{part.ref} ({what(part)}) takes {say_watts(watts, rated)}"
        if percent <= 100.0 * WARNING_SHARE:
            yield passed(part.ref, part.span, said, **shared)
        else:
            severity = Severity.ERROR if percent > 100.0 else Severity.WARNING
            message = f"{said}, {percent:.0f} % of its {show_watts(rated)}"
            yield failed(severity, part.ref, part.span, message, label=f"rated {show_watts(rated)}", helps=("more watts",), **shared)

"""Start of the oscillator at its worst.

What it checks
    Whether the oscillator starts over the whole speed control when everything is against it: parts at the ends of their
    tolerance, heaters low, an old tube.

Why it matters
    One amp on the bench that starts proves nothing about the next ten, nor about a winter evening with low mains.

How it is computed
    The margin over the shaft with every resistor and capacitor of the ladder and the speed pot at that end of its tolerance which hurts
    most, found by first-order sensitivity and then solved; transconductance at 0.7 of new for age and 0.9 of that for heaters at -10 %.

Limits and sources
    A margin below 1 anywhere: error (computed). Where the spec gives no tolerance: 5 % for resistors, 10 % for capacitors, 20 % for the pot
    (common practice).

Example (bad)
    over: heron
    modulation/oscillator/cathode_bypass: ~
    also: TRM-001

Example (good)
    over: heron
    modulation/oscillator/cathode_bypass: 100u 63V

When to waive it
    For parts measured and matched: give the values in the reason, or write their tolerances into the spec.
"""

from __future__ import annotations

from collections.abc import Iterator

from ...diagnostics import Severity
from ..model import Case, Outcome, failed, not_evaluated, passed
from ..oscillating import oscillator, said_position

NAME = "oscillator-start-worst"
LEAST = 1.0


def check(case: Case) -> Iterator[Outcome]:
    """One outcome per oscillator."""
    stage, found = oscillator(case), case.results.tremolo
    if stage is None:
        return
    span = case.at("modulation/oscillator")
    if found is None or found.worst_margin is None:
        yield not_evaluated(stage.id, span, "the worst case has no frequency with phase zero at some position")
        return
    margin, where = found.worst_margin, said_position(found, found.worst_position)
    equation = f"margin {margin:.2f} {where}, parts at the worst ends of their tolerance; wanted {LEAST:g}"
    condition = "nominal mains, heaters -10 %, aged tube, worst tolerance"
    shared = {"value": margin, "limit": LEAST, "unit": "x", "condition": condition, "equation": equation}
    said = f"at the worst of tolerance, heaters and age the oscillator has {margin:.2f} times the gain it needs {where}"
    if margin >= LEAST:
        yield passed(stage.id, span, said, **shared)
    else:
        helps = ("a fixed resistor in series with the speed pot, tighter parts, or more gain",)
        yield failed(Severity.ERROR, stage.id, span, said, label=f"margin {margin:.2f}", helps=helps, **shared)

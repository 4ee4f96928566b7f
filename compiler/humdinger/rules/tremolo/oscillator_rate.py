"""Rate of the tremolo.

What it checks
    How slow and how fast the tremolo runs over the turn of its speed control.

Why it matters
    Below two cycles a second it is a fault to the ear, above ten a buzz; a control that hardly changes anything is returned.

How it is computed
    The frequencies where the loop's phase is zero in the solved network, over the shaft, tube new.

Limits and sources
    From slowest to fastest at least 2 to 1, all within 2 to 10 Hz: else warning (common practice; computed: much more than that cannot
    be had with one pot).

Example (bad)
    over: heron
    modulation/controls/speed/pot: 100k linear

Example (good)
    over: heron
    modulation/controls/speed/pot: 1M linear

When to waive it
    For a player who asked for it.
"""

from __future__ import annotations

from collections.abc import Iterator

from ...diagnostics import Severity
from ...units import show_hertz
from ..model import Case, Outcome, failed, not_evaluated, passed
from ..oscillating import oscillator

NAME = "oscillator-rate"
SPAN = 2.0
SLOWEST, FASTEST = 2.0, 10.0


def check(case: Case) -> Iterator[Outcome]:
    """One outcome per oscillator."""
    stage, found = oscillator(case), case.results.tremolo
    if stage is None:
        return
    span = case.at("modulation/controls/speed")
    if found is None or not found.points:
        yield not_evaluated(stage.id, span, "the oscillator finds no frequency")
        return
    slow, fast = found.slow_hertz, found.fast_hertz
    ratio = fast / slow
    equation = f"{show_hertz(fast)} / {show_hertz(slow)} = {ratio:.2f}; wanted {SPAN:g} within {SLOWEST:g} to {FASTEST:g} Hz"
    shared = {"value": ratio, "limit": SPAN, "unit": "x", "condition": "nominal, tremolo on", "equation": equation}
    said = f"the tremolo runs from {show_hertz(slow)} to {show_hertz(fast)}"
    if ratio >= SPAN and slow >= SLOWEST and fast <= FASTEST:
        yield passed(stage.id, span, said, **shared)
    else:
        why = f"a span of {ratio:.2f} to 1, wanted {SPAN:g}" if ratio < SPAN else f"outside {SLOWEST:g} to {FASTEST:g} Hz"
        helps = ("other ladder capacitors, or another speed pot",)
        yield failed(Severity.WARNING, stage.id, span, f"{said}: {why}", label="rate", helps=helps, **shared)

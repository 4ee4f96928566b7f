"""Start of the oscillator.

What it checks
    Whether the tremolo's oscillator starts with an old tube, at every position of its speed control.

Why it matters
    The tremolo is the first thing to fail in an amp: an oscillator with a thin margin stops at the slow end after a year.

How it is computed
    Unloaded gain of the stage with the tube aged to 0.7 of its transconductance, over the gain the solved network asks of it at the
    frequency where the loop's phase is zero, the least over the shaft. The pole test decides: a right-half-plane pair of the whole amp.

Limits and sources
    Margin 1.5 and more pass, 1.2 and more warning, below error (computed; 29 for three equal sections is textbook). A position without
    such a pair, tube new: error.

Example (bad)
    over: heron
    modulation/oscillator/plate_load: 62k 1W

Example (good)
    over: heron
    modulation/oscillator/plate_load: 220k 1W

When to waive it
    The warning, with a tube chosen for its gain and a note for whoever replaces it.
"""

from __future__ import annotations

from collections.abc import Iterator

from ...diagnostics import Severity
from ...units import show_hertz
from ..model import Case, Outcome, failed, passed
from ..oscillating import oscillator, said_position

NAME = "oscillator-start"
PASS, LEAST = 1.5, 1.2


def check(case: Case) -> Iterator[Outcome]:
    """One outcome per oscillator."""
    stage, found = oscillator(case), case.results.tremolo
    if stage is None:
        return
    span = case.at("modulation/oscillator")
    helps = ("bypass the cathode, a larger plate load, larger ladder resistors, or a smaller speed pot",)
    if found is None or not found.points:
        message = "the oscillator finds no frequency to run at: its tube is cut off, or its ladder never turns the phase by half a cycle"
        yield failed(Severity.ERROR, stage.id, span, message, label="does not start", helps=helps)
        return
    silent = next((p for p in found.points if not p.starts), None)
    worst = silent or min(found.points, key=lambda p: p.margin)
    where = said_position(found, worst.position)
    gains = f"{worst.gain_available_aged:.1f} aged / {worst.gain_required:.1f} needed"
    equation = f"{gains} = {worst.margin:.2f} at {show_hertz(worst.hertz)}, {where}"
    shared = {"value": worst.margin, "limit": PASS, "unit": "x", "condition": "nominal, tremolo on", "equation": equation}
    said = f"the oscillator has {worst.margin:.2f} times the gain it needs {where}"
    if silent is not None:
        message = f"the oscillator does not start {where}: its poles decay even with a new tube"
        yield failed(Severity.ERROR, stage.id, span, message, label="does not start", helps=helps, **shared)
    elif worst.margin >= PASS:
        yield passed(stage.id, span, said, **shared)
    else:
        severity = Severity.WARNING if worst.margin >= LEAST else Severity.ERROR
        yield failed(severity, stage.id, span, f"{said}, wanted {PASS:g}", label=f"margin {worst.margin:.2f}", helps=helps, **shared)

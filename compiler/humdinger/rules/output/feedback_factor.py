"""Feedback factor.

What it checks
    How much gain the feedback takes away, and that the amp with it closed is stable.

Why it matters
    An output transformer turns the phase at both ends of the band. With much feedback the amp motor-boats or whistles, or does with
    another speaker or cable.

How it is computed
    Gain to the speaker at 1 kHz with the resistor's end at the speaker lifted, over the gain as built. Stability by the poles of the
    whole linearised amp, tremolo off: one right of the axis grows.

Limits and sources
    Up to 12 dB pass, to 14 dB info, more a warning; so is a gain that rises when the loop is closed. A pole right of the axis: error, the
    amp oscillates by itself (computed). Guitar amps usually have 6 to 10 dB (common practice).

Example (bad)
    over: heron
    feedback/resistor: 470 1W

Example (good)
    over: heron
    feedback/resistor: 2k2 1W

When to waive it
    When the margins were measured with the speaker and with 10 nF and 100 nF across the load.
"""

from __future__ import annotations

from collections.abc import Iterator

from ...diagnostics import Severity
from ...units import show_decibels, show_number, significant
from ..model import Case, Outcome, failed, passed
from ..printed import say_seconds

NAME = "feedback-factor"
PASS_DB, INFO_DB = 12.0, 14.0


def check(case: Case) -> Iterator[Outcome]:
    """Two outcomes per feedback loop: how much of it, and whether it is stable."""
    loop = case.results.feedback
    if loop is None:
        return
    part = case.part(loop.resistor)
    equation = f"20 log({loop.gain_open:.3g} / {loop.gain_closed:.3g}) = {show_decibels(loop.loop_db)}; limit {PASS_DB:g} to {INFO_DB:g} dB"
    shared = {"value": loop.loop_db, "limit": PASS_DB, "unit": "dB", "condition": "nominal", "equation": equation}
    said = f"the feedback takes {show_decibels(loop.loop_db)} of gain"
    helps = (f"a larger {part.ref}",)
    if loop.loop_db < 0.0:
        message = f"closing the feedback raises the gain by {show_decibels(-loop.loop_db)}"
        yield failed(Severity.WARNING, part.ref, part.span, message, label="regenerates", helps=("its polarity",), **shared)
    elif loop.loop_db <= PASS_DB:
        yield passed(part.ref, part.span, said, **shared)
    else:
        severity = Severity.INFO if loop.loop_db <= INFO_DB else Severity.WARNING
        yield failed(severity, part.ref, part.span, f"{said}, more than {PASS_DB:g} dB", label="much feedback", helps=helps, **shared)
    growth = max((pole.real for pole in case.results.poles), default=0.0)
    stable = {
        "value": growth,
        "limit": 0.0,
        "unit": "1/s",
        "condition": "nominal, tremolo off",
        "equation": f"rightmost pole at {show_number(significant(growth, 3))}/s",
    }
    if growth <= 0.0:
        yield passed(f"{part.ref} poles", part.span, "every pole of the amp with its feedback decays", **stable)
    else:
        message = f"with its feedback the amp has a pole that grows, with a time constant of {say_seconds(1.0 / growth)}"
        yield failed(Severity.ERROR, f"{part.ref} poles", part.span, message, label="oscillates", helps=helps, **stable)

"""Input sensitivity.

What it checks
    How little at the input drives the output stage fully, every volume control up.

Why it matters
    A pickup gives some tens of millivolts. Far less needed, and the amp is all noise; far more, and it never opens up.

How it is computed
    Bias of the output grids over the small-signal gain to them at 1 kHz, as rms volts, volume controls at 10.

Limits and sources
    5 to 150 mV rms; outside info. Above 1 V rms warning: no pickup gives that, so the amp never plays loud (common practice); where one
    stage that does not amplify is the cause, GAN-005 is the warning and this an info on the same line.

Example (bad)
    over: heron
    signal/4: ~
    unused: {V1b: ground}

Example (good)
    over: heron

When to waive it
    Where the amp is made for a line signal.
"""

from __future__ import annotations

from collections.abc import Iterator

from ...diagnostics import Severity
from ...units import show_volts
from ..model import Case, Outcome, failed, passed
from ..signal_path import at_stage, idle_stage

NAME = "input-sensitivity"
LOW, HIGH = 5e-3, 150e-3
HOPELESS = 1.0
HELPS = ("mend that stage first",)


def check(case: Case) -> Iterator[Outcome]:
    """One outcome for the amp."""
    found = case.results.sensitivity
    if found is None:
        return
    volts = found.volts_rms_full
    usual = f"usual {show_volts(LOW)} to {show_volts(HIGH)}"
    equation = f"{show_volts(volts)} rms full up, {show_volts(found.volts_rms)} as the controls stand; {usual}"
    limit = HIGH if volts > LOW else LOW
    shared = {"value": volts, "limit": limit, "unit": "V", "condition": "nominal, volumes full", "equation": equation}
    said = f"{show_volts(volts)} rms at the input drive the output stage fully"
    if LOW <= volts <= HIGH:
        yield passed("input", case.at("signal"), said, **shared)
    else:
        message = f"{said}, usual are {show_volts(LOW)} to {show_volts(HIGH)}"
        idle = idle_stage(case) if volts > HIGH else None
        if idle is not None:
            message += f": the stage {idle.id} gains {idle.gain:.2g} times"
            yield failed(
                Severity.INFO, "input", at_stage(case, idle.id, idle.key), message, label="the gain is lost here", helps=HELPS, **shared
            )
            return
        severity = Severity.WARNING if volts > HOPELESS else Severity.INFO
        cure = "look for the part of the signal path that loses the gain" if volts > HOPELESS else "more or less gain"
        yield failed(severity, "input", case.at("signal"), message, label="sensitivity", helps=(cure,), **shared)

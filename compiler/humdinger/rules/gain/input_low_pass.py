"""Low pass at the input.

What it checks
    Where the grid stopper and the first tube's capacitance cut the treble.

Why it matters
    Too low, and the amp is dull with any guitar; too high, and it receives radio.

How it is computed
    1/(2 pi Rs (Cgk + Cga (1 + A))), Rs from the jack to the grid, A the stage's own gain at 1 kHz.

Limits and sources
    8 to 60 kHz; outside warning (common practice; computed). Where the first stage does not amplify there is no capacitance to cut with:
    info, the warning is GAN-005.

Example (bad)
    over: dunlin
    signal/0/grid_stopper: 220k

Example (good)
    over: dunlin
    signal/0/grid_stopper: 33k

When to waive it
    Where radio was listened for with the amp's own input cable.
"""

from __future__ import annotations

from collections.abc import Iterator

from ...diagnostics import Severity
from ...units import show_hertz
from ..model import Case, Outcome, failed, not_evaluated, passed
from ..signal_path import at_stage, idle_stage

NAME = "input-low-pass"
LOW, HIGH = 8e3, 60e3


def check(case: Case) -> Iterator[Outcome]:
    """One outcome for the amp."""
    stage, hertz = case.stage("input"), case.results.input_low_pass_hertz
    if stage is None:
        return
    stopper = stage.parts.get("grid-stopper")
    span = case.span(stopper) if stopper else stage.span
    if hertz is None:
        yield not_evaluated(stage.id, span, "no stopper before the first grid, or its tube's capacitances are not in the library")
        return
    equation = f"{show_hertz(hertz)}; wanted {show_hertz(LOW)} to {show_hertz(HIGH)}"
    shared = {"value": hertz, "limit": HIGH if hertz > LOW else LOW, "unit": "Hz", "condition": "nominal", "equation": equation}
    said = f"the input falls off from {show_hertz(hertz)}"
    if LOW <= hertz <= HIGH:
        yield passed(stage.id, span, said, **shared)
    else:
        message = f"{said}, wanted {show_hertz(LOW)} to {show_hertz(HIGH)}"
        idle = idle_stage(case) if hertz > HIGH else None
        if idle is not None and idle.id == case.netlist.stages_of("common-cathode")[0].id:
            message += f": the stage {idle.id} gains {idle.gain:.2g} times, so its tube puts no capacitance on the grid"
            helps = ("mend the stage first; the stopper is not the cause",)
            span = at_stage(case, idle.id, idle.key)
            yield failed(Severity.INFO, stage.id, span, message, label="the cause", helps=helps, **shared)
            return
        helps = ("a smaller stopper",) if hertz < LOW else ("a larger stopper",)
        yield failed(Severity.WARNING, stage.id, span, message, label=show_hertz(hertz), helps=helps, **shared)

"""Rest of a preamp plate.

What it checks
    Where the plate of each common-cathode stage stands at idle, as a share of its B+ node.

Why it matters
    A plate near B+ or near the cathode clips one half of the wave long before the other.

How it is computed
    Plate volts over the volts of its node, nominal mains.

Limits and sources
    55 to 75 %; outside info (common practice). A stage that is meant to clip on one side stands elsewhere on purpose. Beyond 92 or 25 %,
    with a gain below 5, it does not amplify: warning (common practice).

Example (bad)
    over: dunlin
    signal/4/cathode_resistor: 22k

Example (good)
    over: dunlin
    signal/4/cathode_resistor: 4k7

When to waive it
    Where the stage is a buffer on purpose.
"""

from __future__ import annotations

from collections.abc import Iterator

from ...diagnostics import Severity
from ...units import show_volts
from ..model import Case, Outcome, failed, passed
from ..signal_path import at_stage, idle_stage

NAME = "plate-rest"
LOW, HIGH = 55.0, 75.0
CURES = {
    "plate_load": "a larger plate load: 47 to 220 kilohms are usual",
    "cathode_resistor": "another cathode resistor",
}


def check(case: Case) -> Iterator[Outcome]:
    """One outcome per common-cathode stage."""
    volts = case.results.nominal.volts
    for stage in case.netlist.stages_of("common-cathode"):
        plate, node = volts.get(stage.ports["plate"]), volts.get(stage.ports["supply"])
        if plate is None or not node:
            continue
        percent = 100.0 * plate / node
        equation = f"{show_volts(plate)} / {show_volts(node)} = {percent:.0f} %; usual {LOW:.0f} to {HIGH:.0f} %"
        limit = HIGH if percent > LOW else LOW
        span = at_stage(case, stage.id, "cathode_resistor")
        shared = {"value": percent, "limit": limit, "unit": "%", "condition": "nominal", "equation": equation}
        said = f"the plate of {stage.id} rests at {percent:.0f} % of {stage.ports['supply']}"
        idle = idle_stage(case)
        if idle is not None and idle.id == stage.id:
            message = f"{said} and it gains {idle.gain:.2g} times: the stage does not amplify"
            span = at_stage(case, stage.id, idle.key)
            yield failed(Severity.WARNING, stage.id, span, message, label=f"{percent:.0f} %", helps=(CURES[idle.key],), **shared)
        elif LOW <= percent <= HIGH:
            yield passed(stage.id, span, said, **shared)
        else:
            message = f"{said}, usual are {LOW:.0f} to {HIGH:.0f} %"
            helps = ("another cathode resistor or plate load",)
            yield failed(Severity.INFO, stage.id, span, message, label=f"{percent:.0f} %", helps=helps, **shared)

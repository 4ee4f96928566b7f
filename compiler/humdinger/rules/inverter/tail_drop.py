"""Drop of the tail.

What it checks
    How much of its B+ node the tail of a long-tailed pair takes.

Why it matters
    A short tail couples the second triode poorly, so the pair is lame on one side; a long one leaves the plates no room.

How it is computed
    Volts at the top of the tail over the volts of the pair's node, nominal mains.

Limits and sources
    25 to 30 % of the node, from 10 % on where the node is below 250 V; outside info (common practice).

Example (bad)
    over: curlew
    signal/5/tail: 6k8 1W
    also: PIN-001

Example (good)
    over: curlew
    signal/5/tail: 22k 1W

When to waive it
    It is only told.
"""

from __future__ import annotations

from collections.abc import Iterator

from ...diagnostics import Severity
from ...units import show_volts
from ..model import Case, Outcome, failed, passed
from ..signal_path import at_stage

NAME = "tail-drop"
LOW, HIGH = 25.0, 30.0
LOW_AT_LOW = 10.0
LOW_NODE = 250.0


def check(case: Case) -> Iterator[Outcome]:
    """One outcome per long-tailed pair."""
    found = case.results.inverter
    if found is None or found.kind != "long-tailed-pair":
        return
    stage = case.netlist.stage(found.stage)
    span = at_stage(case, found.stage, "tail")
    node = case.results.nominal.volts.get(stage.ports["supply"], 0.0)
    least = LOW_AT_LOW if node < LOW_NODE else LOW
    percent = 100.0 * found.tail_share
    equation = f"{show_volts(found.tail_volts)} / {show_volts(node)} = {percent:.0f} %; usual {least:.0f} to {HIGH:.0f} %"
    limit = HIGH if percent > least else least
    shared = {"value": percent, "limit": limit, "unit": "%", "condition": "nominal", "equation": equation}
    said = f"the tail of {found.stage} takes {percent:.0f} % of {stage.ports['supply']}"
    if least <= percent <= HIGH:
        yield passed(found.stage, span, said, **shared)
    else:
        message = f"{said}, usual are {least:.0f} to {HIGH:.0f} %"
        yield failed(Severity.INFO, found.stage, span, message, label=f"{percent:.0f} %", helps=("another tail",), **shared)

"""Stoppers around a cathodyne.

What it checks
    The grid stopper of a cathodyne, and those of the output grids it drives.

Why it matters
    When an output grid draws current it loads one output of the cathodyne only; the other output then kicks the wrong way, a
    blip that is heard as a doubled note. Large stoppers keep the loads alike.

How it is computed
    Read off the netlist. Its two loads are alike because the spec has one value for both.

Limits and sources
    10 k or more on the cathodyne's own grid, a stopper of 1.5 k or more on each output grid: else warning (common practice).

Example (bad)
    over: heron
    signal/6/grid_stopper: 1k
    also: RES-005

Example (good)
    over: heron
    signal/6/grid_stopper: 10k

When to waive it
    When the blip was looked for on a scope at full overdrive.
"""

from __future__ import annotations

from collections.abc import Iterator

from ...circuit.netlist import Resistor
from ...diagnostics import Severity
from ...units import show_ohms
from ..model import Case, Outcome, failed, passed

NAME = "cathodyne-stoppers"
OWN_OHMS = 10e3
OUTPUT_OHMS = 1.5e3


def check(case: Case) -> Iterator[Outcome]:
    """One outcome for the cathodyne, one per output grid behind it."""
    stage = case.stage("cathodyne")
    if stage is None:
        return
    yield _stopper(case, stage.id, stage.ports["grid"], OWN_OHMS, f"the grid of {stage.id}")
    for ref in case.netlist.power_sections:
        yield _stopper(case, ref, case.netlist.by_section[ref].grid, OUTPUT_OHMS, f"the grid of {ref} behind the cathodyne")


def _stopper(case: Case, element: str, grid: str, least: float, what: str) -> Outcome:
    rows = (p for p, _ in case.netlist.on_net.get(grid, ()) if isinstance(p, Resistor) and p.role.startswith("grid-stopper"))
    part = next(rows, None)
    ohms = part.ohms if part else 0.0
    span = part.span if part else case.at("output")
    shared = {"value": ohms, "limit": least, "unit": "ohm"}
    if ohms >= least:
        return passed(element, span, f"{show_ohms(ohms)} before {what}", **shared)
    message = f"{show_ohms(ohms) if part else 'no stopper'} before {what}, wanted {show_ohms(least)} or more"
    return failed(Severity.WARNING, element, span, message, label="small stopper", helps=(f"{show_ohms(least)} or more",), **shared)

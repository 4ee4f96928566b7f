"""Recovery of a coupling capacitor.

What it checks
    How long each coupling capacitor takes to give back the charge that an overdriven grid has put on it.

Why it matters
    An overdriven grid conducts and charges the capacitor before it; until that has run off through the grid leak the stage is biased
    cold, and the amp chokes on the note after a loud one. A value off by a thousand mutes it for seconds.

How it is computed
    C x (source + load ohms), one time constant, the resistances as the working amp presents them at either end of the capacitor. The load
    is at most the grid leak of the tube behind: what a working cathodyne lifts it to is gone when its grid has been driven too far.

Limits and sources
    Up to 100 ms passes, above is info (common practice). Above 1 s warning: silence after every loud note (common practice).

Example (bad)
    over: dunlin
    signal/1/coupling: 1u 630V film

Example (good)
    over: dunlin
    signal/1/coupling: 22n 630V

When to waive it
    The warning, for a stage that can never be overdriven.
"""

from __future__ import annotations

from collections.abc import Iterator

from ...circuit.netlist import Capacitor, Resistor
from ...diagnostics import Severity
from ...units import show_farads, show_seconds
from ..model import Case, Outcome, failed, passed
from ..printed import say_ohms, say_seconds

NAME = "coupling-recovery"
PASS_SECONDS = 0.1
WARNING_SECONDS = 1.0


def check(case: Case) -> Iterator[Outcome]:
    """One outcome per coupling capacitor of the signal path."""
    aside = {stage.id for stage in case.netlist.stages if stage.section == "tremolo"}
    leaks = _leaks(case)
    for corner in case.results.corners:
        part = case.part(corner.capacitor)
        if part.stage in aside:
            continue
        if not isinstance(part, Capacitor):
            continue
        load = min([corner.load_ohms, *leaks.get(part.pins[1].net, ())])
        seconds = part.farads * (corner.source_ohms + load)
        farads = show_farads(part.farads)
        equation = f"{farads} x ({say_ohms(corner.source_ohms)} + {say_ohms(load)}) = {say_seconds(seconds)}"
        shared = {"value": seconds, "limit": PASS_SECONDS, "unit": "s", "condition": "nominal", "equation": equation}
        said = f"{part.ref} of {farads} takes {say_seconds(seconds)} to recover from an overdriven grid"
        if seconds <= PASS_SECONDS:
            yield passed(part.ref, part.span, said, **shared)
            continue
        severity = Severity.WARNING if seconds > WARNING_SECONDS else Severity.INFO
        message = f"{said}, usual are {show_seconds(PASS_SECONDS)} or less"
        yield failed(severity, part.ref, part.span, message, label=say_seconds(seconds), helps=("a smaller capacitor",), **shared)


def _leaks(case: Case) -> dict[str, list[float]]:
    """Net in front of a grid, or of its stopper -> ohms of the grid's own path."""
    found: dict[str, list[float]] = {}
    for path in case.results.grid_paths:
        grid = case.netlist.by_section[path.section].grid
        stoppers = [p for p, _ in case.netlist.on_net.get(grid, ()) if isinstance(p, Resistor) and "stopper" in p.role]
        for net in {grid, *(pin.net for part in stoppers for pin in part.pins)}:
            found.setdefault(net, []).append(path.own_ohms)
    return found

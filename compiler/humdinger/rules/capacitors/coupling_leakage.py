"""Leakage of a coupling capacitor.

What it checks
    What a sound coupling capacitor of this kind leaks, and how far that lifts the grid behind it.

Why it matters
    The capacitor stands between a plate at B+ and a grid. What it leaks flows through the grid leak, takes the bias away, and the tube
    behind it draws more than it should.

How it is computed
    Electrolytic: 0.01 microamp per microfarad and volt, 3 microamps at least. Film, mica, ceramic: the volts across it over 1 gigohm, or
    over 1000 seconds divided by its farads where that is less. Times the resistance from the grid to its return.

Limits and sources
    An electrolytic: error (common practice: film only). At an output tube a shift above 5 % of the bias: warning (common practice;
    leakage of electrolytics: handbook, from memory). A small tube's own cathode resistor takes most of a film capacitor's shift back.

Example (bad)
    over: dunlin
    signal/1/coupling: 22u 450V electrolytic
    also: TUB-019

Example (good)
    over: dunlin
    signal/1/coupling: 22n 630V

When to waive it
    The warning, for capacitors whose insulation was measured at their volts.
"""

from __future__ import annotations

from collections.abc import Iterator

from ...analysis.results import CouplingLeak
from ...circuit.netlist import Capacitor
from ...diagnostics import Severity
from ...units import show_amps, show_volts
from ..model import Case, Outcome, failed, passed
from ..printed import say_ohms

NAME = "coupling-leakage"
PERCENT = 5.0


def check(case: Case) -> Iterator[Outcome]:
    """One outcome per coupling capacitor."""
    for leak in case.results.leaks:
        part = case.part(leak.capacitor)
        if isinstance(part, Capacitor):
            yield _judged(part, leak, power=leak.section in case.netlist.power_sections)


def _judged(part: Capacitor, leak: CouplingLeak, *, power: bool) -> Outcome:
    bias = abs(leak.bias_volts or 0.0)
    percent = 100.0 * leak.shift_volts / bias if leak.section and bias > 0.0 else None
    equation = f"{show_amps(leak.amps)} leak"
    if leak.section:
        equation += f" x {say_ohms(leak.ohms)} = {show_volts(leak.shift_volts)} at the grid of {leak.section}, bias {show_volts(bias)}"
    shared = {"value": leak.amps, "unit": "A", "condition": "nominal", "equation": equation}
    if percent is not None:
        shared |= {"value": percent, "limit": PERCENT, "unit": "%"}
    said = f"{part.ref} leaks {show_amps(leak.amps)}"
    lifts = f"; that lifts the grid of {leak.section} by {show_volts(leak.shift_volts)}" if leak.section else ""
    if part.polarised:
        message = f"the coupling capacitor {part.ref} is an electrolytic, which leaks {show_amps(leak.amps)}{lifts}"
        helps = ("a film capacitor; some tens of nanofarads pass all that a guitar has",)
        return failed(Severity.ERROR, part.ref, part.span, message, label="electrolytic", helps=helps, **shared)
    if percent is None or percent <= PERCENT or not power:
        return passed(part.ref, part.span, said, **shared)
    helps = ("a smaller grid leak, or a smaller film capacitor",)
    message = f"{said}{lifts}, {percent:.0f} % of its bias"
    return failed(Severity.WARNING, part.ref, part.span, message, label="leaks", helps=helps, **shared)

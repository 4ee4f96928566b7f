"""Stored energy.

What it checks
    Nothing is judged: the energy and the charge of every capacitor node at the cold B+ are printed.

Why it matters
    It tells what is in the box: 1 J above 100 V is where rules for electrical work begin to count a charge as dangerous.

How it is computed
    C V2/2 and C V of every high-tension node, tubes cold, mains at the insulation corner.

Limits and sources
    Printed, info (computed). For comparison: a charge limit of 45 µC for parts that can be touched (IEC 61010, as quoted).

Example (bad)
    over: dunlin
    supply/filter/2/capacitor: 100u 450V

Example (good)
    over: dunlin

When to waive it
    It is for information and needs no waiver.
"""

from __future__ import annotations

from collections.abc import Iterator

from ...diagnostics import Severity
from ...units import show_farads, show_joules, show_number, show_volts
from ..discharging import span_of, supply_nodes
from ..model import Case, Outcome, failed, passed
from ..rectifying import COLD

NAME = "stored-energy"
TOUCH_MICROCOULOMBS = 45.0


def check(case: Case) -> Iterator[Outcome]:
    """One outcome per high-tension node with its figures, and one info with the total of the amp."""
    notes: list[str] = []
    for node in supply_nodes(case):
        charge = 1e6 * node.farads * node.start_volts
        equation = f"{show_farads(node.farads)} at {show_volts(node.start_volts)}: {show_joules(node.joules)}"
        charged = f"{show_number(charge / 1000)} mC, {charge / TOUCH_MICROCOULOMBS:.0f} times {TOUCH_MICROCOULOMBS:g} µC"
        notes.append(f"{node.net}: {equation}, {charged}")
        shared = {"value": node.joules, "unit": "J", "condition": COLD, "equation": equation}
        yield passed(node.net, span_of(case, node), f"{node.net} stores {show_joules(node.joules)}", notes=(charged,), **shared)
    total = case.results.stored_joules
    yield failed(
        Severity.INFO,
        "total",
        case.at("supply/filter"),
        f"the capacitors store {show_joules(total)} when the tubes are cold",
        value=total,
        unit="J",
        condition=COLD,
        label="stays after switch-off until the bleeders have taken it",
        notes=tuple(notes),
    )

"""Heater volts.

What it checks
    The volts a heater winding gives its tubes, loaded, at nominal mains and at both corners; and its pilot lamp.

Why it matters
    Too cold, the cathode is poisoned and the emission goes; too hot, the coating boils off and the heater's insulation breaks down. Both
    take hundreds of hours, so nobody connects the dead tube with its winding.

How it is computed
    No-load volts - (no-load - rated) x load / rated amps, times mains over the primary's rated volts, against the heater's rated volts.
    The drop of the heater wires is not in it: in a small amp 0.1 V or less.

Limits and sources
    At nominal mains up to 5 % off passes, above is a warning, above 10 % an error. At a mains corner a warning beyond -12 % or +13 %
    (handbook, from memory: tubes are made for 5 % of heater volts, 10 % with the mains). A pilot lamp with less than 70 % of its volts,
    or more than 115 %, or a neon below 60 V: warning (common practice).

Example (bad)
    over: dunlin
    supply/transformer/heaters/0/volts: 6.8 V
    supply/transformer/heaters/0/no_load: 7.2 V

Example (good)
    over: dunlin
    supply/transformer/heaters/0/volts: 6.3 V
    supply/transformer/heaters/0/no_load: 6.8 V

When to waive it
    The warning, when the volts were measured at the tube's pins on the day's mains and are within 5 % there.
"""

from __future__ import annotations

from collections.abc import Iterator

from ...analysis.results import HeaterBudget
from ...circuit.netlist import Lamp
from ...diagnostics import Severity
from ...units import show_volts
from ..model import Case, Outcome, failed, not_evaluated, passed
from ..printed import say_volts

NAME = "heater-volts"
PASS_PERCENT = 5.0
ERROR_PERCENT = 10.0
LAMP_LOW, LAMP_HIGH = 70.0, 115.0
NEON_VOLTS = 60.0
CORNERS = {"low": -12.0, "high": 13.0}


def check(case: Case) -> Iterator[Outcome]:
    """One outcome per heater winding that feeds a tube, one per pilot lamp."""
    yield from _lamps(case)
    for budget in case.results.heaters:
        if budget.tube_volts is None:
            continue
        winding = case.winding(budget.winding)
        if not budget.regulation_known:
            missing = f"{budget.winding} has neither no-load volts nor a resistance, so its volts under load are unknown"
            yield not_evaluated(budget.winding, winding.span, missing)
            continue
        condition, percent, limit, severity = _worst(budget, budget.tube_volts)
        volts = budget.volts[condition]
        equation = f"{say_volts(volts)} / {show_volts(budget.tube_volts)} = {percent:+.1f} %; limit {limit:+.0f} %"
        shared = {"value": volts, "limit": budget.tube_volts * (1 + limit / 100), "unit": "V", "condition": condition, "equation": equation}
        said = f"{budget.winding} gives its tubes {say_volts(volts)}, {percent:+.1f} % of their {show_volts(budget.tube_volts)}"
        if severity is None:
            yield passed(budget.winding, winding.span, said, **shared)
            continue
        cure = "a resistor in each heater lead" if percent > 0.0 else "thicker heater wires, or a winding of more volts"
        label = f"{winding.volts:g} V rated"
        yield failed(severity, budget.winding, winding.span, f"{said}, limit {limit:+.0f} %", label=label, helps=(cure,), **shared)


def _worst(budget: HeaterBudget, wanted: float) -> tuple[str, float, float, Severity | None]:
    """Condition, percent off, its limit, severity: nominal mains first, then the corners."""

    def off(condition: str) -> float:
        return 100.0 * (budget.volts[condition] / wanted - 1.0)

    nominal = off("nominal")
    sign = 1.0 if nominal >= 0.0 else -1.0
    if abs(nominal) > ERROR_PERCENT:
        return "nominal", nominal, sign * ERROR_PERCENT, Severity.ERROR
    if abs(nominal) > PASS_PERCENT:
        return "nominal", nominal, sign * PASS_PERCENT, Severity.WARNING
    for condition, limit in CORNERS.items():
        percent = off(condition)
        if abs(percent) > abs(limit) and percent * limit > 0.0:
            return condition, percent, limit, Severity.WARNING
    return "nominal", nominal, sign * PASS_PERCENT, None


def _lamps(case: Case) -> Iterator[Outcome]:
    """Pilot lamps on heater windings, at nominal mains."""
    for lamp in case.netlist.of(Lamp):
        near = {lamp.net("1").split(".")[0].upper(), lamp.net("2").split(".")[0].upper()}
        budget = next((b for b in case.results.heaters if b.winding in near), None)
        if budget is None or lamp.volts <= 0.0:
            continue
        span = case.at("supply/pilot/volts")
        volts = budget.volts["nominal"]
        percent = 100.0 * volts / lamp.volts
        said = f"{budget.winding} gives {volts:.2g} V, the pilot lamp {lamp.ref} is made for {show_volts(lamp.volts)}"
        equation = f"{say_volts(volts)} / {show_volts(lamp.volts)} = {percent:.0f} %; wanted {LAMP_LOW:.0f} to {LAMP_HIGH:.0f} %"
        shared = {"value": volts, "limit": lamp.volts, "unit": "V", "condition": "nominal", "equation": equation}
        helps = (f"a lamp of {show_volts(budget.nominal_volts)}",)
        if lamp.kind == "neon" and volts < NEON_VOLTS:
            message = f"{budget.winding} gives {volts:.2g} V, the neon {lamp.ref} does not strike below {show_volts(NEON_VOLTS)}"
            yield failed(Severity.WARNING, lamp.ref, case.at("supply/pilot/lamp"), message, label="dark", helps=helps, **shared)
        elif LAMP_LOW <= percent <= LAMP_HIGH:
            yield passed(lamp.ref, span, said, **shared)
        else:
            label = "dark" if percent < LAMP_LOW else "burns out"
            yield failed(Severity.WARNING, lamp.ref, span, said, label=label, helps=helps, **shared)

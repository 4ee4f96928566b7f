"""Heater volts.

What it checks
    The volts a heater winding gives its tubes, loaded, at nominal mains and at both corners.

Why it matters
    Too cold, the cathode is poisoned and the emission goes; too hot, the coating boils off and the heater's insulation breaks down. Both
    take hundreds of hours, so nobody connects the dead tube with its winding.

How it is computed
    No-load volts - (no-load - rated) x load / rated amps, times mains over the primary's rated volts, against the heater's rated volts.
    The drop of the heater wires is not in it: in a small amp 0.1 V or less.

Limits and sources
    At nominal mains up to 5 % off passes, above is a warning, above 10 % an error. At a mains corner a warning beyond -12 % or +13 %
    (handbook, from memory: tubes are made for 5 % of heater volts, 10 % with the mains).

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
from ...diagnostics import Severity
from ...units import show_volts
from ..model import Case, Outcome, failed, not_evaluated, passed

NAME = "heater-volts"
PASS_PERCENT = 5.0
ERROR_PERCENT = 10.0
CORNERS = {"low": -12.0, "high": 13.0}


def check(case: Case) -> Iterator[Outcome]:
    """One outcome per heater winding that feeds a tube."""
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
        equation = f"{show_volts(volts)} / {show_volts(budget.tube_volts)} = {percent:+.1f} %; limit {limit:+.0f} %"
        shared = {"value": volts, "limit": budget.tube_volts * (1 + limit / 100), "unit": "V", "condition": condition, "equation": equation}
        said = f"{budget.winding} gives its tubes {show_volts(volts)}, {percent:+.1f} % of their {show_volts(budget.tube_volts)}"
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

"""High tension to chassis distance.

What it checks
    The distance between high-tension conductors and the earthed chassis.

Why it matters
    Dust and moisture make small gaps track, and an arc at B+ does not go out by itself.

How it is computed
    The declared distance, `safety/clearances`; geometry will replace it when the layout has it.

Limits and sources
    Below 3 mm error, below 5 mm warning: the shop default is 5 mm (an older equipment standard, as quoted, asks 1.9 to 2.5 mm in air and 4 to 5 mm along surfaces at these volts).

Example (bad)
    over: dunlin
    safety/clearances/high_tension_to_chassis: 2 mm

Example (good)
    over: dunlin

When to waive it
    Not: make room.
"""

from __future__ import annotations

from collections.abc import Iterator

from ...diagnostics import Severity
from ...units import Quantity
from ..model import Case, Outcome, failed, not_evaluated, passed

NAME = "high-tension-to-chassis"

ERROR_MM = 3.0
LIMIT_MM = 5.0


def check(case: Case) -> Iterator[Outcome]:
    """One outcome for the amp."""
    declared = case.spec.block("safety").block("clearances").get("high_tension_to_chassis")
    if not isinstance(declared, Quantity):
        yield not_evaluated(
            "high tension to chassis", case.at("safety"), "no distance declared (safety/clearances/high_tension_to_chassis)"
        )
        return
    mm = 1000.0 * declared.value
    span = case.at("safety/clearances/high_tension_to_chassis")
    equation = f"{mm:g} mm against {LIMIT_MM:g} mm"
    shared = {"value": mm, "limit": LIMIT_MM, "unit": "mm", "equation": equation}
    if mm < LIMIT_MM:
        said = f"high tension and chassis are {mm:g} mm apart, less than {LIMIT_MM:g} mm"
        severity = Severity.ERROR if mm < ERROR_MM else Severity.WARNING
        yield failed(
            severity, "high tension to chassis", span, said, label="too close", helps=("more air, or an insulating barrier",), **shared
        )
    else:
        yield passed("high tension to chassis", span, f"high tension and chassis are {mm:g} mm apart", **shared)

"""Mains to chassis distance.

What it checks
    The clearance between mains conductors and the earthed chassis.

Why it matters
    A strand or a loose lug bridges a gap that is too small.

How it is computed
    The declared distance, `safety/clearances`; geometry will replace it when the layout has it.

Limits and sources
    3 mm (a product safety standard, from memory). Below: error.

Example (bad)
    over: dunlin
    safety/clearances/mains_to_chassis: 2 mm

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

NAME = "mains-to-chassis"

LIMIT_MM = 3.0


def check(case: Case) -> Iterator[Outcome]:
    """One outcome for the amp."""
    declared = case.spec.block("safety").block("clearances").get("mains_to_chassis")
    if not isinstance(declared, Quantity):
        yield not_evaluated("mains to chassis", case.at("safety"), "no distance declared (safety/clearances/mains_to_chassis)")
        return
    mm = 1000.0 * declared.value
    span = case.at("safety/clearances/mains_to_chassis")
    equation = f"{mm:g} mm against {LIMIT_MM:g} mm"
    shared = {"value": mm, "limit": LIMIT_MM, "unit": "mm", "equation": equation}
    if mm < LIMIT_MM:
        said = f"mains parts and chassis are {mm:g} mm apart, less than {LIMIT_MM:g} mm"
        yield failed(
            Severity.ERROR, "mains to chassis", span, said, label="too close", helps=("more air, or an insulating barrier",), **shared
        )
    else:
        yield passed("mains to chassis", span, f"mains parts and chassis are {mm:g} mm apart", **shared)

"""Mains to secondary distance.

What it checks
    The distance between mains conductors and any secondary or signal conductor.

Why it matters
    This gap is all that keeps the mains off the strings.

How it is computed
    The declared distance, `safety/clearances`; geometry will replace it when the layout has it.

Limits and sources
    6 mm, reinforced insulation (a product safety standard, from memory; 5 mm by another). Below: danger.

Example (bad)
    over: dunlin
    safety/clearances/mains_to_secondary: 4 mm

Example (good)
    over: dunlin

When to waive it
    Never: it is a danger.
"""

from __future__ import annotations

from collections.abc import Iterator

from ...diagnostics import Severity
from ...units import Quantity
from ..model import Case, Outcome, failed, not_evaluated, passed

NAME = "mains-to-secondary"

LIMIT_MM = 6.0


def check(case: Case) -> Iterator[Outcome]:
    """One outcome for the amp."""
    declared = case.spec.block("safety").block("clearances").get("mains_to_secondary")
    if not isinstance(declared, Quantity):
        yield not_evaluated("mains to secondary", case.at("safety"), "no distance declared (safety/clearances/mains_to_secondary)")
        return
    mm = 1000.0 * declared.value
    span = case.at("safety/clearances/mains_to_secondary")
    equation = f"{mm:g} mm against {LIMIT_MM:g} mm"
    shared = {"value": mm, "limit": LIMIT_MM, "unit": "mm", "equation": equation}
    if mm < LIMIT_MM:
        said = f"mains parts and secondary conductors are {mm:g} mm apart, less than {LIMIT_MM:g} mm"
        yield failed(
            Severity.DANGER, "mains to secondary", span, said, label="too close", helps=("more air, or an insulating barrier",), **shared
        )
    else:
        yield passed("mains to secondary", span, f"mains parts and secondary conductors are {mm:g} mm apart", **shared)

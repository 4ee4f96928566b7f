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
from ..declared import distance
from ..model import Case, Outcome

NAME = "mains-to-chassis"
BANDS = ((3.0, Severity.ERROR),)


def check(case: Case) -> Iterator[Outcome]:
    """One outcome for the amp."""
    yield from distance(case, "mains_to_chassis", "mains parts and chassis", BANDS)

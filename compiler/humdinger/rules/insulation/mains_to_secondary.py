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
from ..declared import distance
from ..model import Case, Outcome

NAME = "mains-to-secondary"
BANDS = ((6.0, Severity.DANGER),)


def check(case: Case) -> Iterator[Outcome]:
    """One outcome for the amp."""
    yield from distance(case, "mains_to_secondary", "mains parts and secondary conductors", BANDS)

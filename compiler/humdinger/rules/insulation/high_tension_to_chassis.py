"""High tension to chassis distance.

What it checks
    The distance between high-tension conductors and the earthed chassis.

Why it matters
    Dust and moisture make small gaps track, and an arc at B+ does not go out by itself.

How it is computed
    The declared distance, `safety/clearances`; geometry will replace it when the layout has it.

Limits and sources
    Below 3 mm error, below 5 mm warning: the shop default is 5 mm (an older equipment standard, as quoted, asks 1.9 to 2.5 mm in air
    and 4 to 5 mm along surfaces at these volts).

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
from ..declared import distance
from ..model import Case, Outcome

NAME = "high-tension-to-chassis"
BANDS = ((3.0, Severity.ERROR), (5.0, Severity.WARNING))


def check(case: Case) -> Iterator[Outcome]:
    """One outcome for the amp."""
    yield from distance(case, "high_tension_to_chassis", "high tension and chassis", BANDS)

"""Plate volts.

What it checks
    Direct volts from plate to cathode in operation, against the rating.

Why it matters
    Above its rating a tube arcs inside its base or pinch, sooner with heat and age.

How it is computed
    Solved operating point, plate net minus cathode net.

Limits and sources
    Above the limit: error. Limits: tube library with sources (handbook, from memory, where it says so).

Example (bad)
    over: curlew
    supply/transformer/high_tension: {volts: 252-0-252 V, current: 180 mA, basis: rms, resistance: [70, 73], no_load: 267 V}
    supply/filter/1/through: 1k5 5W wirewound
    supply/mains/fuse: T 630mA H 250V

Example (good)
    over: dunlin

When to waive it
    Not: take another tube or less B+.
"""

from __future__ import annotations

from collections.abc import Iterator

from ...diagnostics import Severity
from ...units import show_volts
from ..model import Case, Outcome, failed, not_evaluated, passed
from ..ratings import rated

NAME = "plate-volts"


def check(case: Case) -> Iterator[Outcome]:
    """One outcome per section with a rating."""
    for section, rating, point, condition in rated(case):
        found = point.plate_volts
        if found is None:
            continue
        span = case.span(section.ref)
        if rating.plate_volts is None:
            yield not_evaluated(section.ref, span, "the library has no plate limit for the type")
            continue
        limit = float(rating.plate_volts)
        equation = f"{show_volts(found)} to the cathode against {show_volts(limit)}, {rating.system}"
        shared = {"value": found, "limit": limit, "unit": "V", "condition": condition, "equation": equation}
        said = f"{section.ref} has {show_volts(found)} from plate to cathode"
        if found <= limit:
            yield passed(section.ref, span, said, **shared)
        else:
            message = f"{said}, its limit is {show_volts(limit)}"
            yield failed(
                Severity.ERROR,
                section.ref,
                span,
                message,
                label=f"limit {show_volts(limit)}",
                helps=("less B+, or a tube that takes it",),
                **shared,
            )

"""Screen volts.

What it checks
    Direct volts from screen to cathode in operation, against the rating.

Why it matters
    The screen current rises faster than in proportion with its volts, and with it the heat.

How it is computed
    Solved operating point, screen net minus cathode net.

Limits and sources
    Above the limit: error. Limits: tube library with sources (handbook, from memory, where it says so).

Example (bad)
    over: curlew
    supply/transformer/high_tension: {volts: 252-0-252 V, current: 180 mA, basis: rms, resistance: [70, 73], no_load: 267 V}
    supply/filter/0/feeds: [screens]
    supply/filter/1/feeds: [output-plates]
    supply/filter/1/through: 470 10W wirewound
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

NAME = "screen-volts"


def check(case: Case) -> Iterator[Outcome]:
    """One outcome per section with a screen."""
    for section, rating, point, condition in rated(case):
        found = point.screen_volts
        if found is None:
            continue
        span = case.span(section.ref)
        if rating.screen_volts is None:
            yield not_evaluated(section.ref, span, "the library has no screen limit for the type")
            continue
        limit = float(rating.screen_volts)
        equation = f"{show_volts(found)} to the cathode against {show_volts(limit)}, {rating.system}"
        shared = {"value": found, "limit": limit, "unit": "V", "condition": condition, "equation": equation}
        said = f"{section.ref} has {show_volts(found)} from screen to cathode"
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
                helps=("a larger dropper before the screen node",),
                **shared,
            )

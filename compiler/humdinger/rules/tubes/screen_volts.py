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

from ..model import Case, Outcome
from ..ratings import volts_within

NAME = "screen-volts"


def check(case: Case) -> Iterator[Outcome]:
    """One outcome per section with a screen."""
    yield from volts_within(case, "screen", "a larger dropper before the screen node")

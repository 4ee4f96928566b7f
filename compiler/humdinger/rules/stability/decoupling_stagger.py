"""Stagger of the decoupling.

What it checks
    That neighbouring sections of the B+ filter have time constants that differ.

Why it matters
    Sections of one time constant turn the phase together: the supply then feeds back to the preamp with a shift large enough to motor-boat.

How it is computed
    R times C of each section behind the reservoir; the larger over the smaller of every two in a row.

Limits and sources
    Less than 3 to 1: info (common practice).

Example (bad)
    over: dunlin
    supply/filter/3/through: 4k7 1W flameproof

Example (good)
    over: dunlin

When to waive it
    It is only told.
"""

from __future__ import annotations

from collections.abc import Iterator
from itertools import pairwise

from ...diagnostics import Severity
from ..model import Case, Outcome, failed, passed
from ..printed import say_seconds

NAME = "decoupling-stagger"
LEAST = 3.0


def check(case: Case) -> Iterator[Outcome]:
    """One outcome per two RC sections in a row."""
    for before, after in pairwise(case.results.decouplers):
        ratio = max(before.seconds, after.seconds) / min(before.seconds, after.seconds)
        element = f"{before.node} {after.node}"
        stage = case.stage("filter")
        span = case.span(stage.parts[f"{after.node}-through"]) if stage else case.at("supply/filter")
        equation = f"{say_seconds(after.seconds)} and {say_seconds(before.seconds)}: {ratio:.1f} to 1; wanted {LEAST:g}"
        shared = {"value": ratio, "limit": LEAST, "unit": "x", "equation": equation}
        said = f"the sections to {before.node} and {after.node} differ {ratio:.1f} to 1 in time constant"
        if ratio >= LEAST:
            yield passed(element, span, said, **shared)
        else:
            helps = ("another resistor or capacitor in one of them",)
            yield failed(Severity.INFO, element, span, f"{said}, wanted {LEAST:g} to 1", label="alike", helps=helps, **shared)

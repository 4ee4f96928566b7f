"""Bass corner of the signal path.

What it checks
    The low corners of all coupling capacitors of the signal path together, and that they are not all the same.

Why it matters
    Corners add up: five of 30 Hz each are no bass amp. And where all corners fall on one frequency, feedback through the supply finds
    all of its phase shift there.

How it is computed
    Sum of 1/(2 pi C (source + load ohms)), one capacitor per stage, an upper bound of where the chain is 3 dB down; source and load as the
    working amp presents them.

Limits and sources
    A sum above 82 Hz, the low E of a guitar: warning. All corners, three or more, within 10 % of each other: warning (common practice).

Example (bad)
    over: dunlin
    signal/1/coupling: 1n 630V

Example (good)
    over: dunlin
    signal/1/coupling: 22n 630V

When to waive it
    In an amp that is meant to be thin, or a capacitor that is part of its tone.
"""

from __future__ import annotations

from collections.abc import Iterator

from ...diagnostics import Severity
from ...units import show_hertz
from ..model import Case, Outcome, failed, passed
from ..printed import say_ratio

NAME = "bass-corner"
HIGHEST = 82.0
ALIKE = 1.1
MANY = 3


def check(case: Case) -> Iterator[Outcome]:
    """Two outcomes for the amp: the sum, and whether the corners differ."""
    total = case.results.bass_corner_hertz
    if total is None:
        return
    aside = {stage.id for stage in case.netlist.stages if stage.section == "tremolo"}
    rows = {case.part(c.capacitor).stage: c for c in sorted(case.results.corners, key=lambda c: c.hertz)}
    rows = {stage: corner for stage, corner in rows.items() if stage not in aside}
    top = max(rows.values(), key=lambda c: c.hertz)
    span = case.span(top.capacitor)
    equation = " + ".join(f"{c.capacitor} {show_hertz(c.hertz)}" for c in rows.values()) + f" = {show_hertz(total)}; at most {HIGHEST:g} Hz"
    shared = {"value": total, "limit": HIGHEST, "unit": "Hz", "condition": "nominal", "equation": equation}
    said = f"the corners of the coupling capacitors add up to {show_hertz(total)}"
    if total <= HIGHEST:
        yield passed("sum", span, said, **shared)
    else:
        helps = ("a larger coupling capacitor where the corner is highest",)
        yield failed(Severity.WARNING, "sum", span, f"{said}, above {HIGHEST:g} Hz", label=show_hertz(top.hertz), helps=helps, **shared)
    if len(rows) < MANY:
        return
    ratio = top.hertz / min(c.hertz for c in rows.values())
    spread = {"value": ratio, "limit": ALIKE, "unit": "x", "condition": "nominal"}
    said = f"the highest corner is {say_ratio(ratio)} times the lowest"
    if ratio >= ALIKE:
        yield passed("spread", span, said, **spread)
    else:
        message = f"all {len(rows)} corners of the coupling capacitors lie within {100 * (ALIKE - 1):.0f} % of each other"
        yield failed(Severity.WARNING, "spread", span, message, label="all alike", helps=("make one of them larger",), **spread)

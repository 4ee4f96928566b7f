"""Shared grid path.

What it checks
    The effective grid resistance where n grids return through a common resistance: bias feed, tremolo source, intensity pot.

Why it matters
    The grid currents of all the tubes add up in the common part: to each tube it counts n times.

How it is computed
    Own ohms + n x common ohms, both by a solution of the resistor network, pots at their worst (derived: n leakages in one resistor).
    Also known as BIA-010 and TRM-007.

Limits and sources
    The same limits as for the single grid leak: tube library with sources (handbook, from memory, where it says so).

Example (bad)
    over: curlew
    output/grid_leak: 1M8
    also: TRM-008

Example (good)
    over: curlew

When to waive it
    As for the grid leak.
"""

from __future__ import annotations

from collections.abc import Iterator

from ..model import Case, Outcome
from ..printed import say_ohms
from .grid_leak import compare

NAME = "shared-grid-path"


def check(case: Case) -> Iterator[Outcome]:
    """One outcome per grid that shares its path."""
    for path in case.results.grid_paths:
        if path.sharers < 2 or path.shared_ohms <= 0.0:
            continue
        equation = f"{say_ohms(path.own_ohms)} + {path.sharers} x {say_ohms(path.shared_ohms)} = {say_ohms(path.effective_ohms)}"
        said = f"{path.section} has {say_ohms(path.effective_ohms)} effective to {path.ends_at}: {path.sharers} grids share a part"
        own = path.own_ohms >= path.sharers * path.shared_ohms
        yield from compare(case, path.section, path.effective_ohms, said, equation, own=own)

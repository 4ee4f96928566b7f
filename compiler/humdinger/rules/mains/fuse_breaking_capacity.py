"""Fuse breaking capacity.

What it checks
    That the mains fuse is of high breaking capacity.

Why it matters
    A glass fuse of low breaking capacity can burst or keep an arc when the mains shorts: the prospective current of a wall outlet is
    far above 35 A.

How it is computed
    Read off the fuse: the breaking-capacity letter.

Limits and sources
    H (1500 A) passes (IEC 60127, from memory). Low, or not said: error at 200 V mains and above, else warning (common practice).

Example (bad)
    over: curlew
    supply/mains/fuse: T 500mA L 250V

Example (good)
    over: curlew
    supply/mains/fuse: T 500mA H 250V

When to waive it
    The warning, where the plug or the branch has a fuse of high breaking capacity and the holder takes no other.
"""

from __future__ import annotations

from collections.abc import Iterator

from ...circuit.netlist import Fuse
from ...diagnostics import Severity
from ...units import show_volts
from ..model import Case, Outcome, failed, passed

NAME = "fuse-breaking-capacity"

HIGH_MAINS_VOLTS = 200.0


def check(case: Case) -> Iterator[Outcome]:
    """One outcome per mains fuse."""
    volts = float(case.netlist.region.nominal_volts)
    for fuse in case.netlist.of(Fuse):
        if fuse.where != "mains":
            continue
        if fuse.breaking == "H":
            yield passed(fuse.ref, fuse.span, f"{fuse.ref} is of high breaking capacity")
            continue
        what = f"of breaking capacity {fuse.breaking}" if fuse.breaking else "of unsaid breaking capacity"
        severity = Severity.ERROR if volts >= HIGH_MAINS_VOLTS else Severity.WARNING
        yield failed(
            severity,
            fuse.ref,
            fuse.span,
            f"the mains fuse {fuse.ref} is {what}, not H, on {show_volts(volts)} mains",
            label="not H",
            helps=("a ceramic fuse marked H",),
        )

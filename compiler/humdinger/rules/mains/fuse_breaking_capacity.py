"""Fuse breaking capacity.

What it checks
    That the mains fuse is of high breaking capacity, and made for the volts of the mains.

Why it matters
    A glass fuse of low breaking capacity can burst or keep an arc when the mains shorts: the prospective current of a wall outlet is
    far above 35 A. A fuse made for 32 V keeps its arc at 120 V whatever its letter says.

How it is computed
    Read off the fuse: the breaking-capacity letter, and its volts against the nominal mains of the region.

Limits and sources
    H (1500 A) passes (IEC 60127, from memory). Low, or not said: error at 200 V mains and above, else warning (common practice). Rated
    below the nominal mains: error (parts of 125 and 250 V are made for mains of 120 and 230 V with their tolerance: common practice).
    No volts given: not evaluated, a warning in an amp that is sold.

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
from ..model import Case, Outcome, failed, passed, undeclared

NAME = "fuse-breaking-capacity"

HIGH_MAINS_VOLTS = 200.0


def check(case: Case) -> Iterator[Outcome]:
    """Two outcomes per mains fuse: what it breaks, and at how many volts."""
    volts = float(case.netlist.region.nominal_volts)
    for fuse in case.netlist.of(Fuse):
        if fuse.where != "mains":
            continue
        yield _volts(case, fuse, volts)
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


def _volts(case: Case, fuse: Fuse, mains: float) -> Outcome:
    element = f"{fuse.ref} volts"
    if fuse.volts is None:
        said = f"the spec does not give the volts of the mains fuse {fuse.ref} (`T 500mA H 250V`)"
        return undeclared(case, element, fuse.span, said)
    shared = {"value": fuse.volts, "limit": mains, "unit": "V", "equation": f"{show_volts(fuse.volts)} against {show_volts(mains)} mains"}
    said = f"the mains fuse {fuse.ref} is made for {show_volts(fuse.volts)}"
    if fuse.volts >= mains:
        return passed(element, fuse.span, said, **shared)
    helps = ("a fuse marked 250 V",)
    message = f"{said}, the mains has {show_volts(mains)}"
    return failed(Severity.ERROR, element, fuse.span, message, label=show_volts(fuse.volts), helps=helps, **shared)

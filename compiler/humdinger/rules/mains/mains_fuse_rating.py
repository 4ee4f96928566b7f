"""Mains fuse rating.

What it checks
    The rating of the mains fuse against the computed primary current, and that it is a time-lag type.

Why it matters
    Too small, it blows at switch-on and tempts the owner to fit a larger one. Too large, it does not blow when a winding shorts.

How it is computed
    Fuse amps over the normal rms primary current at nominal mains: sum of volts times rms amps over all conducting windings plus losses,
    divided by mains volts. Normal is the mean of idle and full sine drive where full drive draws more: a class AB amp plays between the
    two, so neither alone is what the fuse carries.

Limits and sources
    1.5 to 2.0 times normal pass; 1.25 to 1.5 and 2.0 to 2.5 warning; outside error; above 5 danger: such a fuse needs ten times the
    current before it opens, and a transformer burns at less (all common practice). Full drive alone above 95 % of the rating: warning
    (common practice). Time-lag T: anything else is a warning. Ratings: IEC 60127 series, from memory. No fuse is proposed while something
    that decides the current stands open: a fuse is never raised to fit a fault.

Example (bad)
    over: dunlin
    supply/mains/fuse: T 1A H 250V

Example (good)
    over: dunlin
    supply/mains/fuse: T 400mA H 250V

When to waive it
    The danger never. The warning, for a toroidal transformer whose inrush was measured and a fuse of up to 2.5 times that was tried ten
    times from cold.
"""

from __future__ import annotations

from collections.abc import Iterator

from ...analysis.results import MainsBudget
from ...circuit.netlist import Fuse
from ...diagnostics import Severity
from ...units import fuse_at_least, show_amps
from ..drawing_current import DRAWN, FIRST
from ..model import Case, Outcome, Repair, failed, passed
from ..printed import say_ratio

NAME = "mains-fuse-rating"
WAITS_FOR, WAITING = DRAWN, FIRST

LOW, HIGH = 1.5, 2.0
LOWEST, HIGHEST = 1.25, 2.5
NO_PROTECTION = 5.0

FULL_SHARE = 0.95
SAME = 1.001
"""Up to so many times idle, full drive is idle: a single tube in class A draws the same."""


def check(case: Case) -> Iterator[Outcome]:
    """One outcome per mains fuse."""
    amps, said_amps = normal_amps(case.results.mains)
    full = case.results.mains.full_drive_rms_amps or 0.0
    for fuse in case.netlist.of(Fuse):
        if fuse.where != "mains":
            continue
        ratio = fuse.amps / amps
        equation = f"{show_amps(fuse.amps)} / {show_amps(amps)} {said_amps} = {say_ratio(ratio)}; wanted {LOW:g} to {HIGH:g}"
        shared = {"value": ratio, "limit": HIGH if ratio > LOW else LOW, "unit": "x", "condition": "nominal", "equation": equation}
        said = f"the mains fuse {fuse.ref} is {say_ratio(ratio)} times the primary current of {show_amps(amps)}"
        wanted = fuse_of(case.results.mains)
        cure = (f"T {show_amps(wanted)} is the next rating of the series",) if wanted else ()
        repair = Repair(fuse.path, (f"T {show_amps(wanted).replace(' ', '')} H 250V",)) if wanted else None
        slow = fuse.characteristic in ("T", "TT")
        if ratio > NO_PROTECTION:
            message = f"{said}: it protects nothing, the transformer burns before it opens"
            yield failed(Severity.DANGER, fuse.ref, fuse.span, message, label=f"{ratio:.1f} x", helps=cure, repair=repair, **shared)
        elif not LOWEST <= ratio <= HIGHEST:
            yield failed(Severity.ERROR, fuse.ref, fuse.span, said, label=f"{ratio:.2f} x", helps=cure, repair=repair, **shared)
        elif full > FULL_SHARE * fuse.amps:
            message = f"full drive takes {show_amps(full)} through the mains fuse {fuse.ref}, {100 * full / fuse.amps:.0f} % of its rating"
            yield failed(Severity.WARNING, fuse.ref, fuse.span, message, label="too small", helps=cure, repair=repair, **shared)
        elif LOW <= ratio <= HIGH and slow:
            yield passed(fuse.ref, fuse.span, said, **shared)
        else:
            extra = "" if slow else f" and of type {fuse.characteristic}, not time-lag"
            yield failed(Severity.WARNING, fuse.ref, fuse.span, said + extra, label=f"{ratio:.2f} x", helps=cure, repair=repair, **shared)


def normal_amps(mains: MainsBudget) -> tuple[float, str]:
    """What the fuse normally carries, and where the figure is from."""
    idle, full = mains.primary_rms_amps, mains.full_drive_rms_amps
    if full is None or full <= SAME * idle:
        return idle, "primary rms at idle"
    return 0.5 * (idle + full), f"primary rms, mean of {show_amps(idle)} idle and {show_amps(full)} full drive"


def fuse_of(mains: MainsBudget) -> float | None:
    """Amps of the smallest fuse of the series that this amp wants; None above 10 A. Shared with the rule on a missing fuse."""
    return fuse_at_least(max(LOW * normal_amps(mains)[0], (mains.full_drive_rms_amps or 0.0) / FULL_SHARE))

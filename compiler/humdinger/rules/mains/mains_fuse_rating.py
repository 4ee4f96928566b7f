"""Mains fuse rating.

What it checks
    The rating of the mains fuse against the computed primary current, and that it is a time-lag type.

Why it matters
    Too small, it blows at switch-on and tempts the owner to fit a larger one. Too large, it does not blow when a winding shorts.

How it is computed
    Fuse amps over the rms primary current at nominal mains, idle: sum of volts times rms amps over all conducting windings plus
    losses, divided by mains volts.

Limits and sources
    1.5 to 2.0 pass; 1.25 to 1.5 and 2.0 to 2.5 warning; outside error (common practice). Time-lag T: anything else is a warning.
    Ratings: IEC 60127 series, from memory.

Example (bad)
    over: dunlin
    supply/mains/fuse: T 2A H 250V

Example (good)
    over: dunlin
    supply/mains/fuse: T 400mA H 250V

When to waive it
    The warning, for a toroidal transformer whose inrush was measured and a fuse of up to 2.5 times that was tried ten times from cold.
"""

from __future__ import annotations

from collections.abc import Iterator

from ...circuit.netlist import Fuse
from ...diagnostics import Severity
from ...units import fuse_at_least, show_amps
from ..model import Case, Outcome, Repair, failed, passed

NAME = "mains-fuse-rating"

LOW, HIGH = 1.5, 2.0
LOWEST, HIGHEST = 1.25, 2.5


def check(case: Case) -> Iterator[Outcome]:
    """One outcome per mains fuse."""
    amps = case.results.mains.primary_rms_amps
    for fuse in case.netlist.of(Fuse):
        if fuse.where != "mains":
            continue
        ratio = fuse.amps / amps
        equation = f"{show_amps(fuse.amps)} / {show_amps(amps)} primary rms = {ratio:.2f}; wanted {LOW:g} to {HIGH:g}"
        shared = {"value": ratio, "limit": HIGH, "unit": "x", "condition": "nominal", "equation": equation}
        said = f"the mains fuse {fuse.ref} is {ratio:.2f} times the primary current of {show_amps(amps)}"
        wanted = fuse_at_least(LOW * amps)
        cure = (f"T {show_amps(wanted)} is the next rating of the series",) if wanted else ()
        repair = Repair(fuse.path, (f"T {wanted * 1000:g}mA H 250V",)) if wanted else None
        if LOW <= ratio <= HIGH and fuse.characteristic in ("T", "TT"):
            yield passed(fuse.ref, fuse.span, said, **shared)
        elif LOWEST <= ratio <= HIGHEST:
            extra = "" if fuse.characteristic in ("T", "TT") else f" and of type {fuse.characteristic}, not time-lag"
            yield failed(Severity.WARNING, fuse.ref, fuse.span, said + extra, label=f"{ratio:.2f} x", helps=cure, repair=repair, **shared)
        else:
            yield failed(Severity.ERROR, fuse.ref, fuse.span, said, label=f"{ratio:.2f} x", helps=cure, repair=repair, **shared)

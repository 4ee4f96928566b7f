"""Missing mains fuse.

What it checks
    That a fuse stands in the line, between the inlet and the transformer primary.

Why it matters
    Without a fuse a shorted turn or a shorted rectifier heats the transformer until something burns.

How it is computed
    Read off the netlist: a fuse on the mains side, one of its ends on the line.

Limits and sources
    Absent: danger (common practice; asked for by every product safety standard).

Example (bad)
    over: dunlin
    supply/mains/fuse: ~

Example (good)
    over: dunlin
    supply/mains/fuse: T 400mA H 250V

When to waive it
    Never: it is a danger.
"""

from __future__ import annotations

from collections.abc import Iterator

from ...circuit.netlist import Fuse
from ...diagnostics import Severity
from ...units import show_amps
from ..drawing_current import DRAWN
from ..model import Case, Outcome, failed, passed
from .mains_fuse_rating import fuse_of, normal_amps

NAME = "missing-mains-fuse"
WAITS_FOR = DRAWN
WAITING = "a time-lag fuse of high breaking capacity under supply/mains, in a shock-safe holder; mend {first} first, then choose its rating"


def check(case: Case) -> Iterator[Outcome]:
    """One outcome for the amp."""
    fuse = next((f for f in case.netlist.of(Fuse) if f.where == "mains"), None)
    if fuse is None:
        amps, said = normal_amps(case.results.mains)
        wanted = fuse_of(case.results.mains)
        which = f"fuse: T {show_amps(wanted).replace(' ', '')} H 250V" if wanted else "a time-lag fuse"
        yield failed(
            Severity.DANGER,
            "mains",
            case.at("supply/mains"),
            "there is no fuse in the mains line",
            label="no fuse",
            notes=(f"{show_amps(amps)} {said}",),
            helps=(f"{which} under supply/mains, 1.5 to 2 times that current, in a shock-safe holder",),
        )
    else:
        yield passed(fuse.ref, fuse.span, f"{fuse.ref} stands in the line")

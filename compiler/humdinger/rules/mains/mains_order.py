"""What opens the mains.

What it checks
    That the fuse stands in the line, that a single-pole switch opens the line, and that nothing opens protective earth.

Why it matters
    A fuse or switch in the neutral alone leaves the whole amp live after it has opened.

How it is computed
    Read off the netlist: the nets on the ends of the mains fuse and on the poles of the mains switch.

Limits and sources
    Fuse not in the line, a single pole in the neutral, or anything that opens PE: danger. Switch before fuse is legal (common practice).

Example (bad)
    over: dunlin
    supply/mains/switch: {poles: 1, in: neutral, rating: 250 V 4 A}

Example (good)
    over: dunlin
    supply/mains/switch: {poles: 1, in: line, rating: 250 V 4 A}

When to waive it
    Never: it is a danger.
"""

from __future__ import annotations

from collections.abc import Iterator

from ...circuit.netlist import EARTH, Fuse, Switch
from ...diagnostics import Severity
from ..model import Case, Outcome, failed, passed

NAME = "mains-order"


def check(case: Case) -> Iterator[Outcome]:
    """One outcome per fuse and switch on the mains side."""
    for part in case.netlist.parts:
        if not (isinstance(part, Fuse | Switch) and part.where == "mains"):
            continue
        nets = {pin.net for pin in part.pins}
        fault = ""
        if EARTH in nets:
            fault = f"{part.ref} opens protective earth"
        elif isinstance(part, Fuse) and any("neutral" in net for net in nets):
            fault = f"the fuse {part.ref} stands in the neutral"
        elif isinstance(part, Switch) and all("neutral" in net for net in nets):
            fault = f"the switch {part.ref} opens the neutral only"
        if fault:
            yield failed(
                Severity.DANGER,
                part.ref,
                part.span,
                fault,
                label="not in the line",
                helps=("fuse and switch belong in the line; earth is never opened",),
            )
        else:
            yield passed(part.ref, part.span, f"{part.ref} opens the line")

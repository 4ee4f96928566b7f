"""Open fuse holder.

What it checks
    That the holder of the mains fuse is of the shock-safe kind.

Why it matters
    Changing a fuse with the plug in must not lead a finger to the live contact.

How it is computed
    Read off the spec: `holder`.

Limits and sources
    An open holder is a danger (IEC 60127-6 classes, from memory); the line goes to its tip contact (common practice). Not
    said: not evaluated, a warning in an amp that is sold.

Example (bad)
    over: dunlin
    supply/mains/holder: open

Example (good)
    over: dunlin
    supply/mains/holder: shock-safe

When to waive it
    Never: it is a danger.
"""

from __future__ import annotations

from collections.abc import Iterator

from ...circuit.netlist import Fuse
from ...diagnostics import Severity
from ..model import Case, Outcome, failed, passed, undeclared

NAME = "open-fuse-holder"


def check(case: Case) -> Iterator[Outcome]:
    """One outcome per mains fuse."""
    for fuse in case.netlist.of(Fuse):
        if fuse.where != "mains":
            continue
        if fuse.holder == "shock-safe":
            yield passed(fuse.ref, fuse.span, f"the holder of {fuse.ref} is shock-safe")
        elif not fuse.holder:
            yield undeclared(case, fuse.ref, fuse.span, "the spec does not say what holder the mains fuse has (supply/mains/holder)")
        else:
            yield failed(
                Severity.DANGER,
                fuse.ref,
                case.at("supply/mains/holder"),
                f"the mains fuse {fuse.ref} sits in an open holder within reach",
                label="open",
                helps=("a panel holder that is finger-safe with the cap off, the line on its tip contact",),
            )

"""Bond of the output secondary.

What it checks
    That one side of the output transformer's secondary is on circuit ground, and circuit ground on protective earth.

Why it matters
    When the output transformer breaks down, B+ is on the secondary. Bonded, it blows a fuse; floating, it waits on the speaker jack.

How it is computed
    Read off the netlist: the secondary's foot, and a bond from circuit ground to earth.

Limits and sources
    The secondary off circuit ground: danger (common practice; required against shock). On circuit ground with that not bonded: info
    beside the danger of PE-004, which is the cause.

Example (bad)
    over: dunlin
    grounding/circuit_bond: ~
    also: PE-004

Example (good)
    over: dunlin
    grounding/circuit_bond: {kind: direct, area: 1 mm2}

When to waive it
    Never.
"""

from __future__ import annotations

from collections.abc import Iterator

from ...circuit.netlist import GROUND, Bond, OutputTransformer
from ...diagnostics import Severity
from ..model import Case, Outcome, failed, passed

NAME = "secondary-bond"


def check(case: Case) -> Iterator[Outcome]:
    """One outcome for the output transformer."""
    part = next(case.netlist.of(OutputTransformer), None)
    if part is None:
        return
    bond = next(case.netlist.of(Bond), None)
    if part.net("0") == GROUND and bond is not None:
        yield passed(part.ref, part.span, f"the secondary of {part.ref} is on ground, and {bond.ref} bonds that to earth")
        return
    grounded = part.net("0") == GROUND
    if grounded:  # the one cause is the missing bond, which PE-004 or PE-001 reports as a danger
        message = f"the secondary of {part.ref} is on circuit ground, which is not bonded to protective earth (PE-004)"
        yield failed(Severity.INFO, part.ref, case.at("grounding"), message, label="no bond")
        return
    message = f"the secondary of {part.ref} is not bonded to protective earth"
    helps = ("bond circuit ground to the earth stud (grounding/circuit_bond)",)
    yield failed(Severity.DANGER, part.ref, case.at("grounding"), message, label="no bond", helps=helps)

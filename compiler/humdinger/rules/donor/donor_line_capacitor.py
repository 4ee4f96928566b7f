"""Line-to-chassis capacitor of the donor.

What it checks
    That a capacitor from the mains to the chassis was taken out of the donor.

Why it matters
    Aged, it leaks mains onto the chassis; shorted, it is a live chassis.

How it is computed
    Read off the spec: `donor/line_to_chassis_capacitor`.

Limits and sources
    Present: danger (common practice).

Example (bad)
    over: dunlin
    donor/line_to_chassis_capacitor: present

Example (good)
    over: dunlin
    donor/line_to_chassis_capacitor: removed

When to waive it
    Never: it is a danger.
"""

from __future__ import annotations

from collections.abc import Iterator

from ...diagnostics import Severity
from ..declared import donor_word
from ..model import Case, Outcome

NAME = "donor-line-capacitor"
BAD = ("present",)


def check(case: Case) -> Iterator[Outcome]:
    """One outcome when the amp has a donor."""
    yield from donor_word(
        case,
        "line_to_chassis_capacitor",
        BAD,
        Severity.DANGER,
        "the donor has a capacitor from the mains to the chassis",
        "take it out and do not replace it",
    )

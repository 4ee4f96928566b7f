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
from ..model import Case, Outcome, failed, not_evaluated, passed

NAME = "donor-line-capacitor"

BAD = ("present",)


def check(case: Case) -> Iterator[Outcome]:
    """One outcome when the amp has a donor."""
    if "donor" not in case.spec:
        return
    found = case.spec.block("donor").get("line_to_chassis_capacitor")
    if found is None:
        yield not_evaluated("donor", case.at("donor"), "the spec does not say (donor/line_to_chassis_capacitor)")
    elif found in BAD:
        yield failed(
            Severity.DANGER,
            "donor",
            case.at("donor/line_to_chassis_capacitor"),
            "the donor has a capacitor from the mains to the chassis",
            label="stop",
            helps=("take it out and do not replace it",),
        )
    else:
        yield passed("donor", case.at("donor/line_to_chassis_capacitor"), f"declared: {found}")

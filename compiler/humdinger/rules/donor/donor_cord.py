"""Two-core cord of the donor.

What it checks
    That the donor has a three-core cord, or that its two-core cord was removed.

Why it matters
    An old two-core cord on a metal chassis gives no earth; it is cut off at the entry before any other work.

How it is computed
    Read off the spec: `donor/cord`.

Limits and sources
    A two-core cord still on it: danger (common practice).

Example (bad)
    over: dunlin
    donor/cord: two-core

Example (good)
    over: dunlin
    donor/cord: two-core-removed

When to waive it
    Never: it is a danger.
"""

from __future__ import annotations

from collections.abc import Iterator

from ...diagnostics import Severity
from ..model import Case, Outcome, failed, not_evaluated, passed

NAME = "donor-cord"

BAD = ("two-core",)


def check(case: Case) -> Iterator[Outcome]:
    """One outcome when the amp has a donor."""
    if "donor" not in case.spec:
        return
    found = case.spec.block("donor").get("cord")
    if found is None:
        yield not_evaluated("donor", case.at("donor"), "the spec does not say (donor/cord)")
    elif found in BAD:
        yield failed(
            Severity.DANGER,
            "donor",
            case.at("donor/cord"),
            "the donor still has its two-core cord",
            label="stop",
            helps=("cut it off at the entry, fit an inlet or a three-core cord",),
        )
    else:
        yield passed("donor", case.at("donor/cord"), f"declared: {found}")

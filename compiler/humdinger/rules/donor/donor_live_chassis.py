"""Transformerless donor.

What it checks
    That the donor was no set without a mains transformer.

Why it matters
    Its chassis was one side of the mains: nothing in it was built for protective earth.

How it is computed
    Read off the spec: `donor/series_heaters`.

Limits and sources
    Series heaters across the mains: danger (common practice).

Example (bad)
    over: dunlin
    donor/series_heaters: true

Example (good)
    over: dunlin
    donor/series_heaters: false

When to waive it
    Never: it is a danger.
"""

from __future__ import annotations

from collections.abc import Iterator

from ...diagnostics import Severity
from ..model import Case, Outcome, failed, not_evaluated, passed

NAME = "donor-live-chassis"

BAD = (True,)


def check(case: Case) -> Iterator[Outcome]:
    """One outcome when the amp has a donor."""
    if "donor" not in case.spec:
        return
    found = case.spec.block("donor").get("series_heaters")
    if found is None:
        yield not_evaluated("donor", case.at("donor"), "the spec does not say (donor/series_heaters)")
    elif found in BAD:
        yield failed(
            Severity.DANGER,
            "donor",
            case.at("donor/series_heaters"),
            "the donor ran without a mains transformer: its chassis was live",
            label="stop",
            helps=("take another chassis, or review every joint of this one for earth and insulation",),
        )
    else:
        yield passed("donor", case.at("donor/series_heaters"), f"declared: {found}")

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
from ..declared import donor_word
from ..model import Case, Outcome

NAME = "donor-live-chassis"
BAD = (True,)


def check(case: Case) -> Iterator[Outcome]:
    """One outcome when the amp has a donor."""
    yield from donor_word(
        case,
        "series_heaters",
        BAD,
        Severity.DANGER,
        "the donor ran without a mains transformer: its chassis was live",
        "take another chassis, or review every joint of this one for earth and insulation",
    )

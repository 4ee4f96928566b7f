"""White ceramic washers of the donor.

What it checks
    That white ceramic insulators under power devices were left whole.

Why it matters
    They may be beryllium oxide: its dust causes an incurable lung disease.

How it is computed
    Read off the spec: `donor/ceramic_washers`.

Limits and sources
    Kept in place is a danger as soon as anybody grinds or breaks one (a reference page on beryllium oxide, as quoted). Take the heat
    sink off whole.

Example (bad)
    over: dunlin
    donor/ceramic_washers: kept

Example (good)
    over: dunlin
    donor/ceramic_washers: removed

When to waive it
    Never: it is a danger.
"""

from __future__ import annotations

from collections.abc import Iterator

from ...diagnostics import Severity
from ..declared import donor_word
from ..model import Case, Outcome

NAME = "donor-ceramic-washers"
BAD = ("kept",)


def check(case: Case) -> Iterator[Outcome]:
    """One outcome when the amp has a donor."""
    yield from donor_word(
        case,
        "ceramic_washers",
        BAD,
        Severity.DANGER,
        "white ceramic washers are still in the donor: they may be beryllium oxide",
        "remove the heat sink with its devices attached; never prise, sand, drill or break a washer",
    )

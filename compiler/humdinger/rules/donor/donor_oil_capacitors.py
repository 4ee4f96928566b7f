"""Oil and paper capacitors of the donor.

What it checks
    That capacitors of oil or paper from before about 1980 were taken out.

Why it matters
    The oil may be PCB: toxic, lasting, and regulated waste.

How it is computed
    Read off the spec: `donor/oil_capacitors`.

Limits and sources
    Present: danger (standards and common practice, from memory). Do not cut or burn.

Example (bad)
    over: dunlin
    donor/oil_capacitors: present

Example (good)
    over: dunlin
    donor/oil_capacitors: none

When to waive it
    Never: it is a danger.
"""

from __future__ import annotations

from collections.abc import Iterator

from ...diagnostics import Severity
from ..declared import donor_word
from ..model import Case, Outcome

NAME = "donor-oil-capacitors"
BAD = ("present",)


def check(case: Case) -> Iterator[Outcome]:
    """One outcome when the amp has a donor."""
    yield from donor_word(
        case,
        "oil_capacitors",
        BAD,
        Severity.DANGER,
        "the donor has oil or paper capacitors that may hold PCB",
        "take them out whole, in a sealed bag, to hazardous waste",
    )

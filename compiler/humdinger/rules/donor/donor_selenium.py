"""Selenium rectifier of the donor.

What it checks
    That a selenium rectifier was taken out.

Why it matters
    A failed one gives off selenium dioxide, which is toxic, and its forward drop grows with age.

How it is computed
    Read off the spec: `donor/selenium_rectifier`.

Limits and sources
    Present: error (a radio collectors' list, as quoted).

Example (bad)
    over: dunlin
    donor/selenium_rectifier: present

Example (good)
    over: dunlin
    donor/selenium_rectifier: removed

When to waive it
    Not: replace it.
"""

from __future__ import annotations

from collections.abc import Iterator

from ...diagnostics import Severity
from ..declared import donor_word
from ..model import Case, Outcome

NAME = "donor-selenium"
BAD = ("present",)


def check(case: Case) -> Iterator[Outcome]:
    """One outcome when the amp has a donor."""
    yield from donor_word(
        case,
        "selenium_rectifier",
        BAD,
        Severity.ERROR,
        "the donor still has a selenium rectifier",
        "take it out unbroken, to hazardous waste",
    )

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
from ..model import Case, Outcome, failed, not_evaluated, passed

NAME = "donor-selenium"

BAD = ("present",)


def check(case: Case) -> Iterator[Outcome]:
    """One outcome when the amp has a donor."""
    if "donor" not in case.spec:
        return
    found = case.spec.block("donor").get("selenium_rectifier")
    if found is None:
        yield not_evaluated("donor", case.at("donor"), "the spec does not say (donor/selenium_rectifier)")
    elif found in BAD:
        yield failed(
            Severity.ERROR,
            "donor",
            case.at("donor/selenium_rectifier"),
            "the donor still has a selenium rectifier",
            label="stop",
            helps=("take it out unbroken, to hazardous waste",),
        )
    else:
        yield passed("donor", case.at("donor/selenium_rectifier"), f"declared: {found}")

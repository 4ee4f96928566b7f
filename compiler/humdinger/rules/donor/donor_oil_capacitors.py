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
from ..model import Case, Outcome, failed, not_evaluated, passed

NAME = "donor-oil-capacitors"

BAD = ("present",)


def check(case: Case) -> Iterator[Outcome]:
    """One outcome when the amp has a donor."""
    if "donor" not in case.spec:
        return
    found = case.spec.block("donor").get("oil_capacitors")
    if found is None:
        yield not_evaluated("donor", case.at("donor"), "the spec does not say (donor/oil_capacitors)")
    elif found in BAD:
        yield failed(
            Severity.DANGER,
            "donor",
            case.at("donor/oil_capacitors"),
            "the donor has oil or paper capacitors that may hold PCB",
            label="stop",
            helps=("take them out whole, in a sealed bag, to hazardous waste",),
        )
    else:
        yield passed("donor", case.at("donor/oil_capacitors"), f"declared: {found}")

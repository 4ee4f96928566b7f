"""Two-core cord of the donor.

What it checks
    That the donor has a three-core cord, or that its two-core cord was removed.

Why it matters
    An old two-core cord on a metal chassis gives no earth; it is cut off at the entry before any other work.

How it is computed
    Read off the spec: `donor/cord`.

Limits and sources
    A two-core cord still on it: danger (common practice). Not said: not evaluated, a warning in an amp that is sold; so is an amp that is
    sold and says nothing at all about what it is built into.

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
from ..declared import donor_word
from ..model import Case, Outcome, undeclared

NAME = "donor-cord"
BAD = ("two-core",)


def check(case: Case) -> Iterator[Outcome]:
    """One outcome for the amp; none for one without a donor that is not sold."""
    if "donor" not in case.spec and case.sold:
        missing = "the spec does not say what the amp is built into, and what was found in it (donor)"
        helps = ("a block `donor:` with description, cord, line_to_chassis_capacitor and the rest; a new chassis has none of them",)
        yield undeclared(case, "donor", case.at("model/sold_as"), missing, helps=helps)
        return
    yield from donor_word(
        case,
        "cord",
        BAD,
        Severity.DANGER,
        "the donor still has its two-core cord",
        "cut it off at the entry, fit an inlet or a three-core cord",
    )

"""Earth bonding resistance.

What it checks
    The measured resistance from the earth pin to chassis, panels and patch plates.

Why it matters
    Paint, a patch plate on rivets or a loose washer leaves a part of the metal unearthed, and a fault makes just that part live.

How it is computed
    The declared measurement, `safety/bonding`.

Limits and sources
    0.1 ohm at most (appliance-testing guidance, as quoted; a product standard, from memory). Above: danger. Not given: not evaluated,
    a warning in an amp that is sold; so is an amp that is sold and has no `safety` at all.

Example (bad)
    over: dunlin
    safety/bonding: 0.4 ohm

Example (good)
    over: dunlin
    safety/bonding: 0.05 ohm

When to waive it
    Never: it is a danger.
"""

from __future__ import annotations

from collections.abc import Iterator

from ...diagnostics import Severity
from ...units import Quantity, show_ohms
from ..model import Case, Outcome, failed, passed, undeclared

NAME = "earth-bonding"

LIMIT_OHMS = 0.1


def check(case: Case) -> Iterator[Outcome]:
    """One outcome for the amp."""
    if "safety" not in case.spec:
        missing = "the spec has no `safety`: bonding, clearances and the warning label are not said"
        yield undeclared(
            case, "safety", case.at("model/sold_as"), missing, helps=("measure on the built amp, and write `safety:`; do not guess",)
        )
        return
    measured = case.spec.block("safety").get("bonding")
    if not isinstance(measured, Quantity):
        yield undeclared(case, "chassis", case.at("safety"), "no measured bonding resistance (safety/bonding)")
        return
    ohms = measured.value
    equation = f"{show_ohms(ohms)} against {show_ohms(LIMIT_OHMS)}"
    shared = {"value": ohms, "limit": LIMIT_OHMS, "unit": "ohm", "equation": equation}
    span = case.at("safety/bonding")
    if ohms > LIMIT_OHMS:
        yield failed(
            Severity.DANGER,
            "chassis",
            span,
            f"the chassis is bonded to earth with {show_ohms(ohms)}, limit {show_ohms(LIMIT_OHMS)}",
            label="too high",
            helps=("bare metal, star washers, a strap to every panel and patch plate",),
            **shared,
        )
    else:
        yield passed("chassis", span, f"bonded with {show_ohms(ohms)}", **shared)

"""Mains to chassis.

What it checks
    That no capacitor joins a mains conductor to the chassis, that there is no polarity or ground-lift switch, and no mains outlet on
    the amp.

Why it matters
    The old capacitor from line to chassis puts half the mains on the strings when it leaks and all of it when it shorts.

How it is computed
    Read off the spec and the netlist.

Limits and sources
    Any of them: danger (common practice). A certified Y capacitor needs a design of its own and is not offered here.

Example (bad)
    over: dunlin
    supply/mains/line_to_chassis_capacitor: true

Example (good)
    over: dunlin

When to waive it
    Never: it is a danger.
"""

from __future__ import annotations

from collections.abc import Iterator

from ...diagnostics import Severity
from ..model import Case, Outcome, failed, passed

NAME = "line-to-chassis"

TROUBLE = (
    ("line_to_chassis_capacitor", "a capacitor joins the mains line to the chassis"),
    ("polarity_switch", "there is a polarity or ground switch"),
    ("accessory_outlet", "there is a mains outlet on the amp"),
)


def check(case: Case) -> Iterator[Outcome]:
    """One outcome per trouble found, one pass when there is none."""
    found = [(key, message) for key, message in TROUBLE if case.mains.get(key) not in (None, False, "none", "removed")]
    for key, message in found:
        yield failed(Severity.DANGER, key, case.at(f"supply/mains/{key}"), message, label="take it out", helps=("leave it out",))
    if not found:
        yield passed("mains", case.at("supply/mains"), "no capacitor to chassis, no polarity switch, no outlet")

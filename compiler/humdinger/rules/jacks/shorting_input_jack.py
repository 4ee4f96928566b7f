"""Shorting input jack.

What it checks
    That the input jack grounds its tip while nothing is plugged in.

Why it matters
    An open input of a megohm is an aerial: an amp left on without a guitar hums and picks up radio.

How it is computed
    Read off the netlist: the jack's contact.

Limits and sources
    No contact: warning (common practice).

Example (bad)
    over: dunlin
    signal/0/switched: false

Example (good)
    over: dunlin
    signal/0/switched: true

When to waive it
    For an amp with a fixed cable.
"""

from __future__ import annotations

from collections.abc import Iterator

from ...circuit.netlist import GROUND, Jack
from ...diagnostics import Severity
from ..model import Case, Outcome, failed, passed
from ..signal_path import at_stage

NAME = "shorting-input-jack"


def check(case: Case) -> Iterator[Outcome]:
    """One outcome per input jack."""
    for jack in case.netlist.of(Jack):
        if jack.purpose != "input":
            continue
        if jack.switched:
            rest = "grounds its tip" if jack.net("tip-switch") == GROUND else "joins its tip to the other jack's"
            yield passed(jack.ref, jack.span, f"{jack.ref} {rest} while it is empty")
        else:
            message = f"{jack.ref} leaves the input open while nothing is plugged in"
            helps = ("a jack with a contact that grounds the tip",)
            yield failed(Severity.WARNING, jack.ref, at_stage(case, jack.stage, "switched"), message, label="open input", helps=helps)

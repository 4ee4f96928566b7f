"""Waiting-time label.

What it checks
    That a warning with a waiting time stands inside and outside, and that the time is long enough.

Why it matters
    The next person to open the amp does not know its capacitors.

How it is computed
    Declared time against the waiting time of the safety sheet: twice the longest computed discharge time to 60 V of the supply and bias
    capacitors, fuses and switches closed or open, rounded up to half a minute.

Limits and sources
    No label, or a time that is too short: danger (a machinery standard, as quoted, asks for a warning with the delay; the factor two
    is common practice). Nothing said of a label: not evaluated, a warning in an amp that is sold.

Example (bad)
    over: dunlin
    safety/warning_label: {inside: true, outside: true, wait: 10 s}

Example (good)
    over: dunlin
    safety/warning_label: {inside: true, outside: true, wait: 120 s}

When to waive it
    Never: it is a danger.
"""

from __future__ import annotations

from collections.abc import Iterator

from ...analysis.discharge import WAITING, longest_seconds, waiting_seconds
from ...diagnostics import Severity
from ...units import Quantity, show_seconds
from ..declared import unsaid_in_safety
from ..model import Case, Outcome, failed, not_evaluated, passed

NAME = "waiting-time-label"


def check(case: Case) -> Iterator[Outcome]:
    """One outcome for the amp."""
    if "warning_label" not in case.spec.block("safety"):
        yield unsaid_in_safety(case, "label", "no warning label declared (safety/warning_label)")
        return
    label = case.spec.block("safety").block("warning_label")
    span = case.at("safety/warning_label")
    if not (label.get("inside") and label.get("outside")):
        where = "outside" if label.get("inside") else "inside"
        yield failed(
            Severity.DANGER,
            "label",
            span,
            f"no high-tension warning {where} the cover",
            label="incomplete",
            helps=("a label inside and outside",),
        )
        return
    longest = longest_seconds(case.results.discharges)
    wait = label.get("wait")
    seconds = wait.value if isinstance(wait, Quantity) else 0.0
    needed = waiting_seconds(case.results.discharges)
    if longest is None or needed is None:
        yield not_evaluated("label", span, "some capacitor never empties by itself: no waiting time is right")
        return
    twice = show_seconds(WAITING * longest)
    equation = f"{WAITING:g} x {show_seconds(longest)} = {twice}, rounded up to {needed} s; the label says {show_seconds(seconds)}"
    shared = {"value": float(needed), "limit": seconds, "unit": "s", "condition": "no-tubes-high", "equation": equation}
    if seconds < needed:
        said = f"the label says to wait {show_seconds(seconds)}, the safety sheet {needed} s"
        yield failed(
            Severity.DANGER,
            "label",
            span,
            said,
            label="too short",
            helps=(f"{needed} s or more on the label, or smaller bleeders",),
            **shared,
        )
    else:
        yield passed("label", span, f"wait {show_seconds(seconds)}", **shared)

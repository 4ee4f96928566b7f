"""Strain relief.

What it checks
    That a cord which is fixed to the amp is held by a gland or a clamp.

Why it matters
    Somebody pulls the amp by its cord. Without relief the pull is on the solder joints: the earth tears off, or the line falls on the
    chassis. A knot in the cord slips, and its bend breaks the strands.

How it is computed
    Read off the spec: `supply/mains/strain_relief`. An inlet for a loose cord has its relief in its own flange.

Limits and sources
    A fixed cord without relief: danger (product safety standards, from memory; a knot is not accepted). Not said: not evaluated, a
    warning in an amp that is sold.

Example (bad)
    over: curlew
    supply/mains/inlet: {kind: captive-cord, rating: 250 V 10 A}
    supply/mains/strain_relief: false

Example (good)
    over: curlew
    supply/mains/inlet: {kind: captive-cord, rating: 250 V 10 A}
    supply/mains/strain_relief: true

When to waive it
    Never: it is a danger.
"""

from __future__ import annotations

from collections.abc import Iterator

from ...circuit.netlist import Inlet
from ...diagnostics import Severity
from ..model import Case, Outcome, failed, passed, undeclared

NAME = "strain-relief"
FIXED = "captive-cord"


def check(case: Case) -> Iterator[Outcome]:
    """One outcome per cord that is fixed to the amp."""
    for inlet in case.netlist.of(Inlet):
        if inlet.kind != FIXED:
            continue
        span = case.at("supply/mains/strain_relief")
        if inlet.strain_relief is None:
            missing = "the spec does not say whether the fixed cord is held by a gland or clamp (supply/mains/strain_relief)"
            yield undeclared(case, inlet.ref, inlet.span, missing)
        elif inlet.strain_relief:
            yield passed(inlet.ref, span, "the fixed cord is held by a gland or clamp")
        else:
            helps = ("a gland or a clamp at the entry, holding the jacket; a knot does not count",)
            yield failed(Severity.DANGER, inlet.ref, span, "the fixed cord has no strain relief", label="pulls out", helps=helps)

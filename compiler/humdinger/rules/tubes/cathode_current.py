"""Cathode current.

What it checks
    The direct cathode current of each section at idle, against its limit.

Why it matters
    The cathode coating is worn by the current it gives, and a limit is set for its life.

How it is computed
    Sum of plate, screen and grid current of the solved operating point. The current at full drive joins with the large-signal figures.

Limits and sources
    Above the limit: error; limits: tube library with sources (handbook, from memory, where it says so).

Example (bad)
    over: curlew
    bias/resistor: 27 5W wirewound
    supply/transformer/high_tension: {volts: 150-0-150 V, current: 250 mA, basis: rms, resistance: [58, 60], no_load: 160 V}
    supply/transformer/power: 120 VA
    supply/mains/fuse: T 630mA H 250V
    also: TRM-004, TRM-008

Example (good)
    over: curlew

When to waive it
    Not: take another tube.
"""

from __future__ import annotations

from collections.abc import Iterator

from ...diagnostics import Severity
from ...units import show_amps
from ..model import Case, Outcome, failed, not_evaluated, passed
from ..ratings import rated

NAME = "cathode-current"


def check(case: Case) -> Iterator[Outcome]:
    """One outcome per section whose type has a limit."""
    for section, rating, point, condition in rated(case):
        span = case.span(section.ref)
        if rating.cathode_amps is None:
            if section.ref in case.netlist.power_sections:
                yield not_evaluated(section.ref, span, "the library has no cathode current limit for the type")
            continue
        limit = float(rating.cathode_amps)
        equation = f"{show_amps(point.cathode_amps)} against {show_amps(limit)}"
        shared = {"value": point.cathode_amps, "limit": limit, "unit": "A", "condition": condition, "equation": equation}
        said = f"{section.ref} draws {show_amps(point.cathode_amps)} at idle"
        if point.cathode_amps <= limit:
            yield passed(section.ref, span, said, **shared)
        else:
            message = f"{said}, its limit is {show_amps(limit)}"
            yield failed(Severity.ERROR, section.ref, span, message, label=f"limit {show_amps(limit)}", helps=("a colder bias",), **shared)

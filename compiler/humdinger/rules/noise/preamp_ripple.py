"""Ripple on the preamp's supply.

What it checks
    The ripple on every B+ node that feeds a stage of the preamp.

Why it matters
    Ripple on the first plate is amplified by everything behind it: a few millivolts there are hum at the speaker.

How it is computed
    Charging pulse of the rectifier through the solved filter, its first harmonics put together again: peak to peak, nominal mains.

Limits and sources
    Above 2 mV peak to peak: warning (computed; 1 to 2 mV is the usual aim, common practice).

Example (bad)
    over: dunlin
    signal/1/supply: B2

Example (good)
    over: dunlin

When to waive it
    With the hum at the speaker measured.
"""

from __future__ import annotations

from collections.abc import Iterator

from ...diagnostics import Severity
from ...units import show_volts
from ..model import Case, Outcome, failed, passed
from ..printed import say_ripple
from ..signal_path import at_stage

NAME = "preamp-ripple"
LIMIT = 2e-3


def check(case: Case) -> Iterator[Outcome]:
    """One outcome per B+ node of the preamp."""
    ripple = case.results.nominal.ripple_volts_pp
    for node in case.netlist.b_plus:
        stages = [s for s in case.netlist.stages if s.section == "preamp" and s.ports.get("supply") == node]
        if not stages or node not in ripple:
            continue
        volts = ripple[node]
        equation = f"{say_ripple(volts)} peak to peak against {show_volts(LIMIT)}"
        shared = {"value": volts, "limit": LIMIT, "unit": "V", "condition": "nominal", "equation": equation}
        said = f"{node} feeds {' and '.join(s.id for s in stages)} with {say_ripple(volts)} of ripple"
        if volts <= LIMIT:
            yield passed(node, at_stage(case, stages[0].id, "supply"), said, **shared)
        else:
            message = f"{said}, more than {show_volts(LIMIT)}"
            yield failed(
                Severity.WARNING,
                node,
                at_stage(case, stages[0].id, "supply"),
                message,
                label="ripple",
                helps=("another RC section",),
                **shared,
            )

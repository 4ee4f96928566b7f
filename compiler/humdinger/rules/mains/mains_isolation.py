"""Isolation from the mains.

What it checks
    That no resistor, coil or rectifier joins a mains conductor to the rest of the circuit.

Why it matters
    Then the strings of the guitar are the mains. Heaters, bias and high tension come from isolating windings, always.

How it is computed
    Graph search over the netlist from line and neutral, through every part but protective earth and class Y capacitors.

Limits and sources
    Any path: danger (physics).

Example (bad)
    over: dunlin
    supply/mains/line_to_chassis_capacitor: 47n 630V
    also: MNS-006, CAP-012

Example (good)
    over: dunlin

When to waive it
    Never: it is a danger.
"""

from __future__ import annotations

from collections.abc import Iterator

from ...diagnostics import Severity
from ..model import Case, Outcome, failed, passed

NAME = "mains-isolation"


def check(case: Case) -> Iterator[Outcome]:
    """One outcome per path, one pass when there is none."""
    for path in case.results.mains_paths:
        by = ", ".join(path.refs)
        yield failed(
            Severity.DANGER,
            path.refs[0],
            case.span(path.refs[0]),
            f"{by} joins {path.mains_net} to {path.net}",
            label="bridges the mains",
            helps=("only the transformer's insulation may stand between mains and circuit",),
        )
    if not case.results.mains_paths:
        yield passed("mains", case.at("supply/mains"), "no path from line or neutral to the circuit")

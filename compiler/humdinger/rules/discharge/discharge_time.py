"""Discharge time.

What it checks
    How long every high-tension capacitor takes to fall below 60 V after switch-off, tubes cold.

Why it matters
    Nobody waits five minutes with the cover off.

How it is computed
    The whole network of capacitors and resistances from the cold B+ at the insulation corner, exact; for one capacitor and one resistor
    it is t = R C ln(V0/60).

Limits and sources
    Up to 60 s passes, up to 300 s warning, above error (common practice; 60 V of direct voltage: product safety standards, from memory).
    A capacitor that nothing empties has no time: it is PSU-008.

Example (bad)
    over: dunlin
    supply/filter/0/bleeder: 390k 3W flameproof
    also: LBL-003

Example (good)
    over: dunlin
    supply/filter/0/bleeder: 100k 3W flameproof

When to waive it
    The warning, with the waiting time on the label inside and outside.
"""

from __future__ import annotations

from collections.abc import Iterator

from ...diagnostics import Severity
from ...units import show_seconds, show_volts
from ..discharging import span_of, supply_nodes
from ..model import Case, Outcome, failed, passed
from ..rectifying import COLD

NAME = "discharge-time"
PASS_SECONDS = 60.0
ERROR_SECONDS = 300.0


def check(case: Case) -> Iterator[Outcome]:
    """One outcome per high-tension capacitor node."""
    for node in supply_nodes(case):
        span = span_of(case, node)
        names = " and ".join(node.capacitors)
        helps = ("smaller bleeders, or one on this node",)
        if node.seconds is None:  # no path at all is PSU-008: one cause, one finding
            continue
        way = " + ".join(node.paths)
        equation = f"{show_volts(node.start_volts)} to 60 V over {way}: {show_seconds(node.seconds)}; limit {show_seconds(PASS_SECONDS)}"
        shared = {"value": node.seconds, "limit": PASS_SECONDS, "unit": "s", "condition": COLD, "equation": equation}
        said = f"{names} on {node.net} takes {show_seconds(node.seconds)} to fall to 60 V"
        if node.seconds <= PASS_SECONDS:
            yield passed(node.net, span, said, **shared)
        else:
            severity = Severity.ERROR if node.seconds > ERROR_SECONDS else Severity.WARNING
            yield failed(severity, node.net, span, said, label="slow", helps=helps, **shared)

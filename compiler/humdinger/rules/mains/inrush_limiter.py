"""Inrush limiter.

What it checks
    That an inrush limiter in the line, while it is cold, leaves the amp enough of the mains to start.

Why it matters
    The limiter warms by the amp's own current and then gets out of the way. With far too many ohms nothing warms: the amp stays dead, or
    hangs half-way with cold heaters and a limiter at its hottest.

How it is computed
    Its cold resistance times the normal primary current, over the nominal mains.

Limits and sources
    Above 25 % of the mains warning, above 50 % error (common practice).

Example (bad)
    over: dunlin
    supply/mains/inrush: 10k

Example (good)
    over: dunlin
    supply/mains/inrush: 10 ohm

When to waive it
    The warning, for a limiter that was tried from cold at low mains.
"""

from __future__ import annotations

from collections.abc import Iterator

from ...circuit.netlist import Resistor
from ...diagnostics import Severity
from ...units import show_amps, show_ohms, show_volts
from ..model import Case, Outcome, failed, passed

NAME = "inrush-limiter"
WARNING_PERCENT, ERROR_PERCENT = 25.0, 50.0


def check(case: Case) -> Iterator[Outcome]:
    """One outcome per inrush limiter in the line."""
    amps, mains = case.results.mains.primary_rms_amps, float(case.netlist.region.nominal_volts)
    for part in case.netlist.of(Resistor):
        if part.role != "inrush":
            continue
        volts = part.ohms * amps
        percent = 100.0 * volts / mains
        equation = f"{show_ohms(part.ohms)} x {show_amps(amps)} = {show_volts(volts)}, {percent:.0f} % of {show_volts(mains)}"
        shared = {"value": percent, "limit": WARNING_PERCENT, "unit": "%", "condition": "nominal", "equation": equation}
        said = f"cold, the inrush limiter {part.ref} would drop {percent:.0f} % of the mains at the amp's current"
        if percent <= WARNING_PERCENT:
            yield passed(part.ref, part.span, said, **shared)
        else:
            severity = Severity.ERROR if percent > ERROR_PERCENT else Severity.WARNING
            message = f"{said}: the amp does not start" if severity is Severity.ERROR else said
            helps = ("a limiter of fewer ohms: five to twenty are usual",)
            yield failed(severity, part.ref, part.span, message, label=show_ohms(part.ohms), helps=helps, **shared)

"""Switch-on surge of a silicon rectifier.

What it checks
    The first pulse of current into the empty reservoir, against the surge rating of the diodes.

Why it matters
    Switched on at the crest of the mains, nothing but resistance limits it.

How it is computed
    Crest of the winding's EMF at high mains over the resistance of winding, primary and series resistor.

Limits and sources
    Above the surge rating of the diode library: warning (handbook, from memory: 30 A for a half cycle for the 1 A family).

Example (bad)
    over: heron
    supply/transformer/bias: {volts: 55 V, current: 50 mA, basis: rms, resistance: [2]}

Example (good)
    over: heron

When to waive it
    With an inrush limiter that was counted in, or a reservoir so small that the surge ends within a quarter cycle.
"""

from __future__ import annotations

from collections.abc import Iterator

from ...circuit.netlist import Diode
from ...diagnostics import Severity
from ...units import show_amps, show_ohms, show_volts
from ..model import Case, Outcome, failed, passed
from ..rectifying import points

NAME = "switch-on-surge"


def check(case: Case) -> Iterator[Outcome]:
    """One outcome per silicon rectifier."""
    for rectifier, point in points(case, "high"):
        diode = case.netlist.by_ref.get(rectifier.devices[0])
        if not isinstance(diode, Diode):
            continue
        limit = float(diode.type.surge_amps)
        amps = point.emf_peak_volts / point.source_ohms
        equation = f"{show_volts(point.emf_peak_volts)} / {show_ohms(point.source_ohms)} = {show_amps(amps)} against {show_amps(limit)}"
        shared = {"value": amps, "limit": limit, "unit": "A", "condition": "high", "equation": equation}
        said = f"the {rectifier.id} rectifier takes up to {show_amps(amps)} at switch-on"
        if amps <= limit:
            yield passed(rectifier.id, rectifier.span, said, **shared)
        else:
            message = f"{said}, its diodes stand {show_amps(limit)}"
            helps = ("a resistor in the winding's lead (plate_resistors), or an inrush limiter",)
            yield failed(Severity.WARNING, rectifier.id, rectifier.span, message, label=diode.type.name, helps=helps, **shared)

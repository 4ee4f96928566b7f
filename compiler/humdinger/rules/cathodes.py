"""What stands under the cathodes of the output tubes."""

from __future__ import annotations

from ..circuit.netlist import GROUND, Resistor
from .model import Case


def resistor_under(case: Case, ref: str) -> Resistor | None:
    """The resistor from a section's cathode to ground; None where the cathode is on ground, or nothing leads there."""
    cathode = case.netlist.by_section[ref].cathode
    if cathode == GROUND:
        return None
    rows = case.netlist.on_net.get(cathode, ())
    return next((p for p, _ in rows if isinstance(p, Resistor) and GROUND in {pin.net for pin in p.pins}), None)

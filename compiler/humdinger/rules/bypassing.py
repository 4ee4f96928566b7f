"""Which capacitors bypass a cathode; two rules divide the capacitors between them by it."""

from __future__ import annotations

from ..circuit.netlist import Capacitor
from .model import Case


def is_bypass(case: Case, part: Capacitor) -> bool:
    """Whether it lies across a cathode resistor, of an output tube or of any other."""
    if part.role.startswith("cathode-bypass"):
        return True
    return part.role.startswith("bypass") and any(s.id == part.stage for s in case.netlist.stages_of("cathode-bias"))


def sections_on(case: Case, part: Capacitor) -> tuple[str, ...]:
    """The tube sections whose cathode it is on."""
    nets = {pin.net for pin in part.pins}
    return tuple(s.ref for s in case.netlist.sections if s.cathode in nets and not s.unused)

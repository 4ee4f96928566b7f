"""The decoupling sections of the B+ filter as time constants."""

from __future__ import annotations

from ..circuit.netlist import Capacitor, Netlist, Resistor
from .results import Decoupler


def decouplers(netlist: Netlist) -> tuple[Decoupler, ...]:
    """Every RC section behind the reservoir, away from the rectifier; choke sections have no time constant of their own."""
    found = []
    for stage in netlist.stages_of("filter"):
        for node in netlist.b_plus:
            through, capacitor = (netlist.by_ref.get(stage.parts.get(f"{node}-{role}", "")) for role in ("through", "capacitor"))
            if isinstance(through, Resistor) and isinstance(capacitor, Capacitor):
                found.append(Decoupler(node, through.ohms, capacitor.farads, through.ohms * capacitor.farads))
    return tuple(found)

"""The decoupling sections of the B+ filter as time constants."""

from __future__ import annotations

from ..circuit.netlist import Netlist, Resistor
from .results import Decoupler
from .stacks import series_farads, stack_of


def decouplers(netlist: Netlist) -> tuple[Decoupler, ...]:
    """Every RC section behind the reservoir, away from the rectifier; choke sections have no time constant of their own."""
    found = []
    for stage in netlist.stages_of("filter"):
        for node in netlist.b_plus:
            through = netlist.by_ref.get(stage.parts.get(f"{node}-through", ""))
            first = stage.parts.get(f"{node}-capacitor", stage.parts.get(f"{node}-capacitor-1", ""))
            farads = series_farads(stack_of(netlist, first))
            if isinstance(through, Resistor) and farads > 0.0:
                found.append(Decoupler(node, through.ohms, farads, through.ohms * farads))
    return tuple(found)

"""The design worked out by the textbook: formulas with this amp's numbers, each beside the solver's own number for the same thing.

Nothing is judged by these; they say how a value came to be, and what a formula on paper leaves out. Sources stand with each; those from
memory say so.
"""

from __future__ import annotations

from ..circuit.netlist import Netlist
from .results import Results, Worked
from .worked_output import output_formulas
from .worked_signal import signal_formulas
from .worked_supply import supply_formulas
from .worked_tremolo import tremolo_formulas


def worked(netlist: Netlist, results: Results) -> tuple[Worked, ...]:
    """Every formula that has its numbers in this amp, in the order of the signal, then supply and transformer. results: without these."""
    rows = [
        *signal_formulas(netlist, results),
        *output_formulas(netlist, results),
        *tremolo_formulas(netlist, results),
        *supply_formulas(netlist, results),
    ]
    return tuple(rows)

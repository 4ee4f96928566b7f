"""What every stage kind has to show, whatever it is: the same numbers as ngspice, and sheets that read back and are clean."""

from __future__ import annotations

from humdinger.analysis.operating import conditions
from humdinger.circuit.netlist import Netlist
from humdinger.drawing.lint import lint
from humdinger.drawing.readback import read_back
from humdinger.drawing.schematic import sheets
from humdinger.drawing.sheet import Sheet
from support.drawn import guessed_volts
from support.driven import nominal
from support.spice import ac_differences, dc_differences

MAINS = ("nominal", "high", "low")


def agrees_with_ngspice(netlist: Netlist, *names: str) -> None:
    """Every node at DC within 1e-5, at nominal mains or in the conditions named; every node at AC within 0.01 dB and 0.1 degree."""
    for condition in conditions(netlist):
        if condition.name in (names or ("nominal",)):
            found = dc_differences(netlist, condition)
            worst = max(found, key=lambda net: found[net])
            assert found[worst] < 1e-5, f"{condition.name}: {worst}"
    decibels, degrees = ac_differences(netlist, nominal(netlist))
    assert decibels < 0.01
    assert degrees < 0.1


def draws_clean(netlist: Netlist, volts: str) -> tuple[Sheet, ...]:
    """Its section sheets, after they and the wide sheet were read back to the netlist and found without a fault. volts: as in VOLTS."""
    sections, wide = sheets(netlist, guessed_volts(netlist, volts))
    assert read_back(netlist, sections) == []
    assert read_back(netlist, (wide,)) == []
    assert [(sheet.name, fault) for sheet in (*sections, wide) for fault in lint(sheet)] == []
    return sections

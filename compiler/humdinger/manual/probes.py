"""Which nodes a live page may ask for, and which it must not: the safety page's rules about probing, as a function of the netlist.

Never: the mains side; the high-tension winding end to end; a plate of an output tube that is in its socket (with signal, or in a howl, it swings
to twice B+); a control grid that the meter moves (it would show what is not there, and the lead makes an aerial of it). An output grid of a
fixed bias is read on purpose while its tube is out: that is how an open grid leak is found before it costs a tube.
"""

from __future__ import annotations

from collections.abc import Mapping

from ..analysis.results import Results
from ..circuit.netlist import GROUND, Netlist
from .terminals import terminal_text

PLATE = "output plate: no probe with its tube in"
GRID = "indirect: the meter moves this grid"


def refusals(netlist: Netlist, results: Results, state: str) -> Mapping[str, tuple[str, str]]:
    """Net -> (why it is not probed in that state, what to read instead)."""
    tubes_in = state not in ("no-tubes", "small-tubes")
    power = [netlist.by_section[ref] for ref in netlist.power_sections]
    found: dict[str, tuple[str, str]] = {}
    for section in power if tubes_in else ():
        node = _node_behind(netlist, results, section.plate)
        found[section.plate] = (PLATE, f"{node}, before power the ohms from plate to {node}" if node else "its B+ node")
    electrodes = {net for s in netlist.sections for net in (s.plate, s.cathode, s.screen)}
    chart = results.charts.get(state)
    moved = chart.metered_volts if chart else results.metered_volts
    loose = _grid_nets(netlist, {s.grid for s in power}) if not tubes_in else set()
    for net in moved:
        if net in netlist.nets and netlist.nets[net].domain == "signal" and net not in electrodes and net not in loose:
            found[net] = (GRID, _instead(netlist, net))
    return found


def _grid_nets(netlist: Netlist, grids: set[str]) -> set[str]:
    """The grids and what a stopper alone separates from them."""
    found = set(grids)
    for part in netlist.parts:
        if part.role.startswith("grid-stopper"):
            ends = {pin.net for pin in part.pins}
            if ends & grids:
                found |= ends
    return found


def _node_behind(netlist: Netlist, results: Results, plate: str) -> str:
    """The B+ node whose volts an output plate has with the tubes out."""
    chart = results.charts.get("no-tubes")
    if chart is None or plate not in chart.volts:
        return ""
    volts = chart.volts[plate][chart.nominal]
    return min(netlist.b_plus, key=lambda node: abs(chart.volts[node][chart.nominal] - volts), default="")


def _instead(netlist: Netlist, net: str) -> str:
    """The cathode of the tube whose grid this is."""
    near = _grid_nets(netlist, {net})
    for section in netlist.sections:
        if section.grid in near and section.cathode and section.cathode != GROUND:
            tube = netlist.by_ref[section.tube]
            pin = next((p.name for p in tube.pins if p.net == section.cathode), "")
            return f"the cathode, {terminal_text(tube.ref, pin, netlist)}" if pin else "the cathode"
    return "the stage's cathode"

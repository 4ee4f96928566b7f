"""A netlist as one SPICE deck that ngspice (39 and later) runs unedited, with the same laws, the same elements and the same 1e-14 S
from every net to ground as the engine.

supply "averaged": each rectifier is a behavioural source with the 24-point sum of the averaged law written out, so that `.op` and `.ac`
see the loaded B+. supply "real": sine EMFs, source resistance and devices, for transients, started from the averaged operating point.
Mains side, heater EMFs and everything else `elements` leaves out is left out here too.
"""

from __future__ import annotations

import re
from collections.abc import Iterable

from ..circuit.netlist import GROUND, Netlist
from .elements import Elements, elements_of
from .operating import Solved, solve_system
from .results import Condition
from .smallsignal import SOURCE_OHMS
from .spice_cards import averaged_cards, diode_cards, inductor_cards, number, photocell_cards, real_cards, transformer_cards, tube_cards
from .system import GMIN, build_system

ANALYSES = ("op", "ac", "tran")
SUPPLIES = ("averaged", "real")

SOURCE_FARADS = 1.0
"""In series with the source at the input, so that it moves no operating point."""
SETTLING_SECONDS = 1.0
"""Length of a transient with the real supply; it starts from the averaged operating point, not from cold."""
DRIVE_VOLTS = 0.01
"""Peak of the 1 kHz sine at the input of a transient with the averaged supply."""

TIGHT = "reltol=1e-9 abstol=1e-15 vntol=1e-9 gmin=1e-15 itl1=500 itl2=500"
TRANSIENT = "reltol=1e-4 abstol=1e-11 vntol=1e-6 gmin=1e-15 method=trap"


def spice_deck(netlist: Netlist, condition: Condition, supply: str = "averaged", analysis: str = "op") -> str:
    """The deck as text. Raises ValueError for an unknown supply or analysis, and for "op" or "ac" with the real supply (its B+ is 0)."""
    if supply not in SUPPLIES or analysis not in ANALYSES:
        raise ValueError(f"no such deck: supply {supply}, analysis {analysis}")
    if supply == "real" and analysis != "tran":
        raise ValueError("the real supply has no operating point: its sources are sines, so only a transient means anything")
    flat = elements_of(netlist, condition)
    names = Names(flat)
    start = solve_system(build_system(netlist, condition, flat)) if analysis == "tran" else None
    lines = [
        f"{netlist.name}: {condition.name}, {condition.mains_volts:g} V mains, tubes {condition.tubes}, {supply} supply",
        *names.table(),
        f".options {TRANSIENT if analysis == 'tran' else TIGHT}",
        *_passive(flat, names, start),
        *_active(flat, names),
    ]
    for rectifier in flat.rectifiers:
        label = names.label(rectifier.name)
        lines += (
            averaged_cards(rectifier, label, names.node)
            if supply == "averaged"
            else real_cards(rectifier, label, names.node, netlist.mains_hertz)
        )
    lines += _run(netlist, names, supply, analysis)
    if start is not None:
        lines += [f".ic v({names.node(net)})={number(start.volts(net))}" for net in flat.nets]
    return "\n".join([*lines, ".end", ""])


class Names:
    """Safe names for nets and elements: letters, digits and underscores, unique without regard to case."""

    def __init__(self, flat: Elements) -> None:
        taken: set[str] = {"0", "gnd"}
        self._nodes = {GROUND: "0"} | {net: _unique(net, taken) for net in flat.nets}
        labels: set[str] = set()
        everything = [
            *flat.resistors,
            *flat.capacitors,
            *flat.inductors,
            *(coil for t in flat.transformers for coil in t.coils),
            *flat.transformers,
            *flat.tubes,
            *flat.diodes,
            *flat.rectifiers,
            *flat.photocells,
        ]
        self._labels = {element.name: _unique(element.name, labels) for element in everything}

    def node(self, net: str) -> str:
        """Node name of a net."""
        return self._nodes[net]

    def label(self, name: str) -> str:
        """What the element of that name is called after its letter."""
        return self._labels[name]

    def table(self) -> Iterable[str]:
        """Comment lines: node = net."""
        return ("* node = net", *(f"* {node} = {net}" for net, node in self._nodes.items()))


def _unique(name: str, taken: set[str]) -> str:
    """A safe form of a name that is not taken yet; takes it. Starts with a letter."""
    safe = re.sub(r"[^A-Za-z0-9]+", "_", name).strip("_").lower() or "x"
    if not safe[0].isalpha():
        safe = f"n_{safe}"
    found, count = safe, 1
    while found in taken:
        count += 1
        found = f"{safe}_{count}"
    taken.add(found)
    return found


def _passive(flat: Elements, names: Names, start: Solved | None) -> list[str]:
    """Resistors, capacitors, chokes, transformers, and the leak of every net."""
    node, label = names.node, names.label
    lines = [f"R_{label(r.name)} {node(r.a)} {node(r.b)} {number(r.value)}" for r in flat.resistors]
    lines += [f"C_{label(c.name)} {node(c.a)} {node(c.b)} {number(c.value)}" for c in flat.capacitors]
    amps = None if start is None else {name: float(start.x[row]) for name, row in start.system.branch.items()}
    for choke in flat.inductors:
        lines += inductor_cards(choke, label(choke.name), node, None if amps is None else amps[choke.name])
    for transformer in flat.transformers:
        coils = {coil.name: label(coil.name) for coil in transformer.coils}
        lines += transformer_cards(transformer, coils, label(transformer.name), node, amps)
    return lines + [f"Rleak_{node(net)} {node(net)} 0 {number(1.0 / GMIN)}" for net in flat.nets]


def _active(flat: Elements, names: Names) -> list[str]:
    """Tubes and the diodes outside rectifiers."""
    lines: list[str] = []
    for tube in flat.tubes:
        lines += tube_cards(tube, names.label(tube.name), names.node)
    for diode in flat.diodes:
        lines += diode_cards(diode, names.label(diode.name), names.node)
    lights = {diode.name: diode for diode in flat.diodes}
    for cell in flat.photocells:
        light = lights[cell.light]
        across = f"{names.node(light.anode)},a_{names.label(light.name)}"
        lines += photocell_cards(cell, names.label(cell.name), across, names.node, light.ohms)
    return lines


def _run(netlist: Netlist, names: Names, supply: str, analysis: str) -> list[str]:
    """The source at the input and the analysis card."""
    if analysis == "op":
        return [".op"]
    out = names.node(netlist.output_net)
    source = [
        f"R_input_source input_source_a {names.node(netlist.input_net)} {number(SOURCE_OHMS)}",
        f"C_input_source input_source_b input_source_a {number(SOURCE_FARADS)}",
    ]
    if analysis == "ac":
        return [*source, "V_input_source input_source_b 0 dc 0 ac 1", ".ac dec 10 20 20k", f".print ac vdb({out}) vp({out})"]
    if supply == "real":
        step = 1.0 / (200.0 * netlist.mains_hertz)
        last = SETTLING_SECONDS - 5.0 / netlist.mains_hertz
        nets = " ".join(f"v({names.node(net)})" for net in netlist.b_plus)
        return [f".tran {number(step)} {number(SETTLING_SECONDS)} {number(last)} {number(step)}", f".print tran {nets}"]
    return [
        *source,
        f"V_input_source input_source_b 0 SIN(0 {number(DRIVE_VOLTS)} 1000)",
        ".tran 5e-06 0.02 0 5e-06",
        f".print tran v({out})",
    ]

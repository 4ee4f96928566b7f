"""Corners of the signal path: the treble corner at the first grid, the bass corner of every coupling capacitor."""

from __future__ import annotations

import math

import numpy as np

from ..circuit.netlist import GROUND, Capacitor, Netlist, TubeSection
from .drive import Drive
from .network import around, component, edges, nodes
from .results import CouplingCorner
from .smallsignal import SmallSignal
from .study import COLD, Study

PROBE_HERTZ = 100.0
"""Where source and load of a coupling capacitor are read: above its corner, below what Miller capacitance does to a 1 megohm leak."""


def input_low_pass(study: Study, at: Drive | None) -> float | None:
    """Hertz of 1/(2 pi Rs (Cgk + Cga (1 + A))) at the first grid: Rs from jack to grid, A the stage's own gain at 1 kHz.

    None when the tube's capacitances are not known or nothing but a wire leads to the grid.
    """
    section, ohms = _first(study)
    if section is None or at is None or ohms <= 0.0:
        return None
    electrodes = section.section
    if electrodes.input_farads is None or electrodes.grid_plate_farads is None:
        return None
    grid = at.volts[section.grid] - at.volts[section.cathode]
    plate = at.volts[section.plate] - at.volts[section.cathode]
    gain = abs(plate / grid) if abs(grid) > 0.0 else 0.0
    farads = electrodes.input_farads.value + electrodes.grid_plate_farads.value * (1.0 + gain)
    return 1.0 / (2.0 * math.pi * ohms * farads)


def _first(study: Study) -> tuple[TubeSection | None, float]:
    """The section whose grid hangs on the input by resistance alone, and the ohms from the jack to it with the source's own at 0."""
    netlist = study.netlist
    start = netlist.input_net
    near = component(around(edges(study.elements(COLD))), [start], {GROUND})
    nets = {start, *(net for e in near for net in (e.a, e.b))}
    section = next((s for s in netlist.sections if not s.unused and s.grid in nets - {GROUND}), None)
    if section is None or not start:
        return None, 0.0
    at = nodes(nets, near, grounded=[start])
    row = at.row[section.grid]
    if row < 0:
        return section, 0.0
    side = np.zeros(at.size)
    side[row] = 1.0
    return section, float(np.linalg.solve(at.conductance(near), side)[row])


def coupling_corners(study: Study, found: SmallSignal) -> tuple[CouplingCorner, ...]:
    """Every coupling capacitor (role "coupling", source at its first pin), in designator order.

    Source and load ohms are the real parts of what the working amp shows at either end with the capacitor taken out.
    """
    system = found.system
    parts = [p for p in study.netlist.of(Capacitor) if p.role.startswith("coupling") and all(pin.net in system.index for pin in p.pins)]
    if not parts:
        return ()
    omega = 2.0 * math.pi * PROBE_HERTZ
    nets = list(dict.fromkeys(pin.net for part in parts for pin in part.pins))
    picked = [system.index[net] for net in nets]
    sides = np.zeros((system.size, len(nets)))
    sides[picked, range(len(nets))] = 1.0
    z = np.linalg.solve(found.Y + 1j * omega * found.C, sides)[picked, :]
    rows = []
    for part in parts:
        a, b = (nets.index(pin.net) for pin in part.pins)
        # the capacitor comes out again as a change of rank one: Z + y/(1 - y u'Zu) Zu u'Z with y its admittance, u = e_a - e_b
        column, row = z[:, a] - z[:, b], z[a, :] - z[b, :]
        admittance = 1j * omega * part.farads
        share = admittance / (1.0 - admittance * (column[a] - column[b]))
        source, load = (float((z[k, k] + share * column[k] * row[k]).real) for k in (a, b))
        rows.append(CouplingCorner(part.ref, 1.0 / (2.0 * math.pi * part.farads * (source + load)), source, load))
    return tuple(rows)


def bass_corner(netlist: Netlist, corners: tuple[CouplingCorner, ...]) -> float | None:
    """Sum of the corners of the signal path's capacitors, one per stage (the higher of an inverter's two).

    The sum is an upper bound of where the whole chain is 3 dB down (standard algebra of first-order corners). None when there are none.
    """
    aside = {stage.id for stage in netlist.stages if stage.section == "tremolo"}
    by_stage: dict[str, float] = {}
    for corner in corners:
        stage = netlist.by_ref[corner.capacitor].stage
        if stage not in aside:
            by_stage[stage] = max(by_stage.get(stage, 0.0), corner.hertz)
    return sum(by_stage.values()) if by_stage else None

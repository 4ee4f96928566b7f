"""The DC resistance every control grid sees to its return, by the network and not by the names of parts.

Leakage currents of equal size in all grids of a group lift grid g by the sum of the rows of the resistance matrix Z: the own path is what
only g's current flows through, the shared path is the mutual resistance, and for n grids on one feed the sum is own + n * shared
(derived: n leakages in one resistor). A group is the output tubes together; every other grid stands alone.

Tubes are out, capacitors block, the input cable is open. The DC terminals of a rectifier count as stiff. Every pot in the path is put
at the worst of its two ends and its middle.
"""

from __future__ import annotations

from collections.abc import Mapping
from itertools import product

import numpy as np

from ..circuit.netlist import GROUND, Netlist, Pot, Switch
from .network import Edge, Floats, around, component, edges, least_ohms, nodes, with_wiper
from .results import GridPath
from .study import COLD, Study

FRACTIONS = (0.0, 0.5, 1.0)
"""Track fractions tried. The parallel of both halves of a track is largest in the middle, everything else at an end."""
MOST_POTS = 4
"""Pots in one grid's path that are tried in all combinations; more than that stand at their middles."""


def grid_paths(study: Study) -> tuple[GridPath, ...]:
    """One row per section whose grid is in use, in signal order."""
    netlist = study.netlist
    by_net = around(edges(study.elements(COLD), opened=_not_in_path(netlist)))
    stiff = _stiff(netlist)
    together = [netlist.by_section[ref].grid for ref in netlist.power_sections]
    pots = {p.ref: p for p in netlist.of(Pot)}
    rows: list[GridPath] = []
    for section in netlist.sections:
        if section.unused or not section.grid:
            continue
        group = together if section.ref in netlist.power_sections else [section.grid]
        near = component(by_net, [section.grid, *group], stiff)
        rows_tried = [_matrix_row(network, section.grid, group, stiff) for network in _wipers(near, pots)]
        own, mutual, sharers = max(rows_tried, key=lambda row: row[0] + row[1] * row[2])
        rows.append(
            GridPath(
                section=section.ref,
                own_ohms=own,
                shared_ohms=mutual,
                sharers=sharers,
                effective_ohms=own + sharers * mutual,
                ends_at=_end(netlist, near, section.grid, stiff),
            )
        )
    return tuple(rows)


def _matrix_row(network: tuple[Edge, ...], grid: str, group: list[str], stiff: set[str]) -> tuple[float, float, int]:
    """Own ohms, shared ohms (mean of the mutual ones), and how many grids share them (1: none but itself)."""
    touched = {net for e in network for net in (e.a, e.b)} | {grid, *group}
    at = nodes(touched, network, grounded=stiff & touched)
    row = at.row[grid]
    if row < 0:
        return 0.0, 0.0, 1
    drive = np.zeros(at.size)
    drive[row] = 1.0
    z: Floats = np.append(np.linalg.solve(at.conductance(network), drive), 0.0)
    others = [float(z[at.row[net]]) for net in group if net != grid]
    shared = [ohms for ohms in others if ohms > 1e-6 * z[row]]
    mutual = sum(shared) / len(shared) if shared else 0.0
    return float(z[row]) - mutual, mutual, 1 + len(shared)


def _not_in_path(netlist: Netlist) -> tuple[str, ...]:
    """The pedal of the footswitch does not count: its cable may be out."""
    return tuple(s.ref for s in netlist.of(Switch) if s.where == "footswitch")


def _stiff(netlist: Netlist) -> set[str]:
    """Ground and the DC terminals of the rectifiers."""
    return {GROUND, *(net for r in netlist.rectifiers for net in (r.plus, r.minus))}


def _wipers(network: tuple[Edge, ...], pots: Mapping[str, Pot]) -> list[tuple[Edge, ...]]:
    """The network with its pots in every combination of FRACTIONS."""
    inside = [pots[ref] for ref in dict.fromkeys(e.ref for e in network) if ref in pots]
    if len(inside) > MOST_POTS:
        inside = []
    out = []
    for fractions in product(FRACTIONS, repeat=len(inside)):
        here = network
        for pot, fraction in zip(inside, fractions, strict=True):
            here = with_wiper(here, pot, fraction)
        out.append(here)
    return out


def _end(netlist: Netlist, network: tuple[Edge, ...], grid: str, stiff: set[str]) -> str:
    """Where the path of least resistance ends: ground, or the first net of the bias or B+ supply it meets. "" when nowhere."""
    named = {name for name, net in netlist.nets.items() if net.domain in ("bias", "supply", "ground")}
    best = least_ohms(around(network), grid, stiff | named)
    return best[2] if best else ""

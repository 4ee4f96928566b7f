"""The DC resistance every control grid sees to its return, by the network and not by the names of parts.

Leakage currents of equal size in all grids of a group lift grid g by the sum of the rows of the resistance matrix Z: the own path is what
only g's current flows through, the shared path is the mutual resistance, and for n grids on one feed the sum is own + n * shared
(derived: n leakages in one resistor). A group is the output tubes together; every other grid stands alone.

Tubes are out, capacitors block, the cables of input and footswitch are open. The DC terminals of a rectifier count as stiff. Every pot in
the path is put at the worst of its two ends and its middle.
"""

from __future__ import annotations

from collections.abc import Mapping
from itertools import product

import numpy as np

from ..circuit.netlist import GROUND, Coupler, Netlist, Pot
from .network import Edge, around, component, edges, least_ohms, nodes, with_wiper
from .results import GridPath
from .study import COLD, Study, silencers

FRACTIONS = (0.0, 0.5, 1.0)
"""Track fractions tried. The parallel of both halves of a track is largest in the middle, everything else at an end."""
MOST_POTS = 4
"""Pots in one grid's path that are tried in all combinations; more than that stand at their middles."""


def grid_paths(study: Study) -> tuple[GridPath, ...]:
    """One row per section whose grid is in use, in signal order."""
    netlist = study.netlist
    by_net = around((*edges(study.elements(COLD), opened=silencers(netlist)), *_lights(netlist)))
    stiff = _stiff(netlist)
    together = [netlist.by_section[ref].grid for ref in netlist.power_sections]
    pots = {p.ref: p for p in netlist.of(Pot)}
    rows: list[GridPath] = []
    for section in netlist.sections:
        if section.unused or not section.grid:
            continue
        group = together if section.ref in netlist.power_sections else [section.grid]
        near = component(by_net, [section.grid, *group], stiff)
        own, mutual, sharers = _worst(near, pots, section.grid, group, stiff)
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


def _lights(netlist: Netlist) -> list[Edge]:
    """The diodes of optical couplers, in the way of a follower's current: what they conduct with, near enough."""
    return [Edge(part.ref, part.net("a"), part.net("k"), part.light_volts / part.bright_amps, part.ref) for part in netlist.of(Coupler)]


def _worst(network: tuple[Edge, ...], pots: Mapping[str, Pot], grid: str, group: list[str], stiff: set[str]) -> tuple[float, float, int]:
    """Own ohms, shared ohms (mean of the mutual ones) and how many grids share them, wipers where own + n * shared is largest."""
    touched = {net for e in network for net in (e.a, e.b)} | {grid, *group}
    at = nodes(touched, network, grounded=stiff & touched)
    row = at.row[grid]
    if row < 0:
        return 0.0, 0.0, 1
    base = at.conductance(network)
    moved = np.stack([base + at.matrix(change) for change in _wipers(network, pots)])
    drive = np.zeros((at.size, 1))
    drive[row] = 1.0
    z = np.linalg.solve(moved, drive)[..., 0]
    others = [at.row[net] for net in group if net != grid and at.row[net] >= 0]
    best = (0.0, 0.0, 1)
    for found in z:
        shared = [float(found[other]) for other in others if found[other] > 1e-6 * found[row]]
        mutual = sum(shared) / len(shared) if shared else 0.0
        tried = (float(found[row]) - mutual, mutual, 1 + len(shared))
        best = max(best, tried, key=lambda r: r[0] + r[1] * r[2])
    return best


def _stiff(netlist: Netlist) -> set[str]:
    """Ground and the DC terminals of the rectifiers."""
    return {GROUND, *(net for r in netlist.rectifiers for net in (r.plus, r.minus))}


def _wipers(network: tuple[Edge, ...], pots: Mapping[str, Pot]) -> list[list[tuple[str, str, float]]]:
    """What is added between nets, in siemens, to put the pots of the network in every combination of FRACTIONS."""
    inside = [pots[ref] for ref in dict.fromkeys(e.ref for e in network) if ref in pots]
    if len(inside) > MOST_POTS:
        inside = []
    halves = {pot.ref: [e for e in network if e.ref == pot.ref and e.ohms > 0.0] for pot in inside}
    out = []
    for fractions in product(FRACTIONS, repeat=len(inside)):
        change = []
        for pot, fraction in zip(inside, fractions, strict=True):
            moved = {e.name: e.ohms for e in with_wiper(halves[pot.ref], pot, fraction)}
            change += [(e.a, e.b, 1.0 / moved[e.name] - 1.0 / e.ohms) for e in halves[pot.ref]]
        out.append(change)
    return out


def _end(netlist: Netlist, network: tuple[Edge, ...], grid: str, stiff: set[str]) -> str:
    """Where the path of least resistance ends: ground, or the first net of the bias or B+ supply it meets. "" when nowhere."""
    named = {name for name, net in netlist.nets.items() if net.domain in ("bias", "supply", "ground")}
    best = least_ohms(around(network), grid, stiff | named)
    return best[2] if best else ""

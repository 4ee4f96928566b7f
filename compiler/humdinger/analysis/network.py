"""The resistances of the amp as a network of their own: for paths, discharge and grid returns, with the tubes out.

Made from the same flat list as the equations (`elements`), so both mean the same circuit. Nets that only a fuse, a closed contact or the
circuit bond separates are one node. Tubes, diodes, rectifiers and capacitors do not conduct here; what counts as stiff (a rectifier's
terminals, say) the caller joins to ground.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass
from heapq import heappop, heappush

import numpy as np
from numpy.typing import NDArray

from ..circuit.netlist import GROUND, Fuse, Netlist, Pot, Switch
from .elements import CONTACT_OHMS, POT_END, Elements

Floats = NDArray[np.float64]

INSULATION_SIEMENS = 1e-15
"""From every node to ground, so that an isolated node has a solution: a petohm, above any insulation a meter reads."""


@dataclass(frozen=True, slots=True)
class Edge:
    """A resistance between two nets, and the part it belongs to; 0 ohms joins them. name tells the two halves of a pot's track apart."""

    ref: str
    a: str
    b: str
    ohms: float
    name: str = ""


def edges(elements: Elements, *, opened: Collection[str] = ()) -> tuple[Edge, ...]:
    """Every resistance of a flat circuit. opened: refs of parts that do not conduct. Contacts are 0 ohms here."""
    found = [Edge(r.owner, r.a, r.b, 0.0 if r.value <= CONTACT_OHMS else r.value, r.name) for r in elements.resistors]
    found += [Edge(c.name, c.a, c.b, c.ohms, c.name) for c in elements.inductors]
    found += [Edge(t.name, c.a, c.b, c.ohms, c.name) for t in elements.transformers for c in t.coils]
    return tuple(e for e in found if e.ref not in opened)


def with_wiper(found: Iterable[Edge], pot: Pot, fraction: float) -> tuple[Edge, ...]:
    """The same network with the wiper of a pot at a track fraction from ccw."""
    parts = {
        f"{pot.ref}.ccw": max(fraction, POT_END) * pot.ohms,
        f"{pot.ref}.cw": max(1.0 - fraction, POT_END) * pot.ohms,
    }
    return tuple(Edge(e.ref, e.a, e.b, parts.get(e.name, e.ohms), e.name) for e in found)


def openable(netlist: Netlist) -> tuple[str, ...]:
    """The refs of every fuse and switch: what a hand or a fault may open."""
    return tuple(p.ref for p in netlist.parts if isinstance(p, Fuse | Switch))


@dataclass(frozen=True)
class Nodes:
    """Nets as rows of a matrix: joined nets share one, ground has row -1."""

    row: Mapping[str, int]
    size: int

    def conductance(self, found: Iterable[Edge]) -> Floats:
        """Conductance matrix (size, size) in siemens, symmetric, insulation to ground included."""
        return self.matrix([(e.a, e.b, 1.0 / e.ohms) for e in found if e.ohms > 0.0], INSULATION_SIEMENS)

    def matrix(self, branches: Iterable[tuple[str, str, float]], to_ground: float = 0.0) -> Floats:
        """Nodal matrix (size, size) of two-terminal elements (net, net, value), with `to_ground` on the diagonal."""
        full = np.zeros((self.size + 1, self.size + 1))
        for a, b, value in branches:
            i, j = self.row[a], self.row[b]
            full[i, i] += value
            full[j, j] += value
            full[i, j] -= value
            full[j, i] -= value
        out = full[:-1, :-1].copy()
        out[np.diag_indices(self.size)] += to_ground
        return out


def nodes(nets: Iterable[str], found: Iterable[Edge], *, grounded: Iterable[str] = ()) -> Nodes:
    """Joins nets over edges of 0 ohms; `grounded` nets are joined to circuit ground."""
    parent: dict[str, str] = {net: net for net in (GROUND, *nets)}

    def root(net: str) -> str:
        while parent[net] != net:
            parent[net] = parent[parent[net]]
            net = parent[net]
        return net

    for edge in found:
        if edge.ohms == 0.0:
            parent[root(edge.a)] = root(edge.b)
    for net in grounded:
        parent[root(net)] = root(GROUND)
    rows: dict[str, int] = {root(GROUND): -1}
    row: dict[str, int] = {}
    for net in parent:
        top = root(net)
        rows.setdefault(top, len(rows) - 1)
        row[net] = rows[top]
    return Nodes(row, len(rows) - 1)


def least_ohms(found: Iterable[Edge], start: str, ends: Collection[str]) -> tuple[float, tuple[str, ...], str] | None:
    """The path of least resistance from a net to any of `ends`: ohms, refs along it in order, the end reached; None when there is none."""
    around: dict[str, list[tuple[Edge, str]]] = {}
    for edge in found:
        around.setdefault(edge.a, []).append((edge, edge.b))
        around.setdefault(edge.b, []).append((edge, edge.a))
    queue: list[tuple[float, int, str, tuple[str, ...]]] = [(0.0, 0, start, ())]
    done: set[str] = set()
    count = 0
    while queue:
        ohms, _, net, refs = heappop(queue)
        if net in ends:
            return ohms, refs, net
        if net in done:
            continue
        done.add(net)
        for edge, other in around.get(net, ()):
            if other not in done:
                count += 1
                step = refs if refs and refs[-1] == edge.ref else (*refs, edge.ref)
                heappush(queue, (ohms + edge.ohms, count, other, step))
    return None

"""The resistances of the amp as a network of their own: for paths, discharge and grid returns, with the tubes out.

Made from the same flat list as the equations (`elements`), so both mean the same circuit. Nets that only a fuse, a closed contact or the
circuit bond separates are one node. Tubes, diodes, rectifiers and capacitors do not conduct here; what counts as stiff (a rectifier's
terminals, say) the caller joins to ground.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping
from heapq import heappop, heappush

import numpy as np
from numpy.typing import NDArray

from ..circuit.netlist import GROUND, Fuse, Netlist, Pot, Switch
from ..records import record
from .elements import POT_END, Elements

Floats = NDArray[np.float64]

JOIN_OHMS = 0.02
"""What is not more than this joins its nets: contacts, bonds, a heater winding of which nobody gave the resistance."""
TIE_SIEMENS = 1e-10
"""From one node of every island without a path to ground, so that its potential has a value (10 gigohm; nothing is read off it)."""


@record
class Edge:
    """A resistance between two nets, and the part it belongs to; 0 ohms joins them. name tells the two halves of a pot's track apart."""

    ref: str
    a: str
    b: str
    ohms: float
    name: str = ""


def edges(elements: Elements, *, opened: Collection[str] = ()) -> tuple[Edge, ...]:
    """Every resistance of a flat circuit, photocells dark; what joins (JOIN_OHMS) is 0 ohms. opened: refs of parts that do not conduct."""
    found = [(r.owner, r.a, r.b, r.value, r.name) for r in elements.resistors]
    found += [(c.name, c.a, c.b, c.dark_ohms, c.name) for c in elements.photocells]
    found += [(c.name, c.a, c.b, c.ohms, c.name) for c in elements.inductors]
    found += [(t.name, c.a, c.b, c.ohms, c.name) for t in elements.transformers for c in t.coils]
    return tuple(
        Edge(ref, a, b, 0.0 if ohms <= JOIN_OHMS else ohms, name) for ref, a, b, ohms, name in found if ref not in opened and a != b
    )


def with_wiper(found: Iterable[Edge], pot: Pot, fraction: float) -> tuple[Edge, ...]:
    """The same network with the wiper of a pot at a track fraction from ccw."""
    below = min(max(fraction, POT_END), 1.0 - POT_END)
    parts = {f"{pot.ref}.ccw": below * pot.ohms, f"{pot.ref}.cw": (1.0 - below) * pot.ohms}
    return tuple(Edge(e.ref, e.a, e.b, parts.get(e.name, e.ohms), e.name) for e in found)


def openable(netlist: Netlist) -> tuple[str, ...]:
    """The refs of every fuse and switch behind the power transformer: what a hand or a fault may open. The pedal is not one of them."""
    found = []
    for part in netlist.parts:
        pedal = isinstance(part, Switch) and part.where == "footswitch"
        if isinstance(part, Fuse | Switch) and not pedal:
            nets = [netlist.nets[pin.net].domain for pin in part.pins if pin.net in netlist.nets]
            if "mains" not in nets:
                found.append(part.ref)
    return tuple(found)


Around = Mapping[str, list[tuple[Edge, str]]]
"""Net -> its edges, each with the net at its other end."""


def around(found: Iterable[Edge]) -> Around:
    """The network by its nets, for walks."""
    by_net: dict[str, list[tuple[Edge, str]]] = {}
    for edge in found:
        by_net.setdefault(edge.a, []).append((edge, edge.b))
        by_net.setdefault(edge.b, []).append((edge, edge.a))
    return by_net


def component(by_net: Around, starts: Iterable[str], stop: Collection[str] = ()) -> tuple[Edge, ...]:
    """The edges that hang together with the nets `starts`, not looking beyond the nets `stop`."""
    queue = sorted(starts)
    reached = set(queue)
    kept: dict[int, Edge] = {}
    while queue:
        net = queue.pop()
        if net in stop:
            continue
        for edge, other in by_net.get(net, ()):
            kept[id(edge)] = edge
            if other not in reached:
                reached.add(other)
                queue.append(other)
    return tuple(kept.values())


@record(slots=False)
class Nodes:
    """Nets as rows of a matrix: joined nets share one, ground has row -1."""

    row: Mapping[str, int]
    size: int

    def conductance(self, found: Collection[Edge]) -> Floats:
        """Conductance matrix (size, size) in siemens, symmetric positive definite; islands are tied down by TIE_SIEMENS."""
        branches = [(e.a, e.b, 1.0 / e.ohms) for e in found if e.ohms > 0.0]
        g = self.matrix(branches)
        groups = self.groups(found)
        for row in {group: row for row, group in enumerate(groups[:-1])}.values():
            if groups[row] != groups[-1]:
                g[row, row] += TIE_SIEMENS
        return g

    def groups(self, found: Iterable[Edge]) -> list[int]:
        """For every row, and last for ground, the number of the island it belongs to: rows that resistances join share one."""
        parent = list(range(self.size + 1))

        def root(row: int) -> int:
            while parent[row] != row:
                parent[row] = parent[parent[row]]
                row = parent[row]
            return row

        for e in found:
            parent[root(self.row[e.a] % (self.size + 1))] = root(self.row[e.b] % (self.size + 1))
        return [root(row) for row in range(self.size + 1)]

    def matrix(self, branches: Iterable[tuple[str, str, float]]) -> Floats:
        """Nodal matrix (size, size) of two-terminal elements (net, net, value)."""
        full = np.zeros((self.size + 1, self.size + 1))
        for a, b, value in branches:
            i, j = self.row[a], self.row[b]
            full[i, i] += value
            full[j, j] += value
            full[i, j] -= value
            full[j, i] -= value
        return full[:-1, :-1].copy()


def nodes(nets: Iterable[str], found: Iterable[Edge], *, grounded: Iterable[str] = ()) -> Nodes:
    """Joins nets over edges of 0 ohms; `grounded` nets are joined to circuit ground. Rows in the order of the nets' names."""
    # callers have sets, whose order differs from run to run, and with it the last digit of every solution
    parent: dict[str, str] = {net: net for net in (GROUND, *sorted(nets))}

    def root(net: str) -> str:
        while parent[net] != net:
            parent[net] = parent[parent[net]]
            net = parent[net]
        return net

    for edge in found:
        if edge.ohms == 0.0:
            parent[root(edge.a)] = root(edge.b)
    for net in sorted(grounded):
        parent[root(net)] = root(GROUND)
    rows: dict[str, int] = {root(GROUND): -1}
    row: dict[str, int] = {}
    for net in parent:
        top = root(net)
        rows.setdefault(top, len(rows) - 1)
        row[net] = rows[top]
    return Nodes(row, len(rows) - 1)


def least_ohms(by_net: Around, start: str, ends: Collection[str]) -> tuple[float, tuple[str, ...], str] | None:
    """The path of least resistance from a net to any of `ends`: ohms, refs along it in order, the end reached; None when there is none."""
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
        for edge, other in by_net.get(net, ()):
            if other not in done:
                count += 1
                step = refs if refs and refs[-1] == edge.ref else (*refs, edge.ref)
                heappush(queue, (ohms + edge.ohms, count, other, step))
    return None

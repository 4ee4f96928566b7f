"""How the capacitors empty after switch-off: the whole network of capacitors and resistances, every tube cold.

G v + C v' = 0 with the volts of the state before as start. G = L Lt (Cholesky), M = L^-1 C L^-t is symmetric: its eigenvalues are the time
constants, and a node without capacitance is one of time constant 0, which falls at once. Exact; no assumption about which resistor
empties which capacitor. For one capacitor and one resistor it is t = R C ln(V0/60).

The limit of 60 V DC is that of the product safety standards (IEC 61010, IEC 62368, from memory; IEC 60204-1 clause 6.2.4 as quoted).
"""

from __future__ import annotations

import math
from collections.abc import Collection, Iterable, Mapping, Sequence

import numpy as np

from ..circuit.netlist import GROUND, Capacitor, Netlist, PowerTransformer, Resistor
from ..records import record
from .elements import Elements
from .network import Around, Edge, Floats, Nodes, around, edges, least_ohms, nodes, openable
from .results import Bleed, Discharge, Operating
from .stacks import series_farads, stacks
from .study import COLD, Study, silencers

SAFE_VOLTS = 60.0
LONGEST_SECONDS = 1e5
"""What is still above the limit after a day (1e5 s) counts as never."""

_GRID = np.concatenate([[0.0], np.geomspace(1e-3, LONGEST_SECONDS, 240)])


@record
class _Node:
    """Capacitors in parallel between two nets (hot, minus), and the condition in which they stand highest."""

    net: str
    minus: str
    capacitors: tuple[Capacitor, ...]
    start_volts: float
    condition: str
    farads: float
    """Of all of them together; in series where they stand one above the other."""


def discharges(study: Study) -> tuple[tuple[Discharge, ...], float]:
    """One Discharge per capacitor node that can stand above 60 V, in part order, and the joules stored in all capacitors when cold."""
    netlist, operating, elements = study.netlist, study.operating, study.elements(COLD)
    found = [n for n in _capacitor_nodes(netlist, operating) if abs(n.start_volts) > SAFE_VOLTS]
    opened = openable(netlist)
    still = silencers(netlist)
    network = edges(elements, opened=still)
    by_net = around(network)
    whole = Decay(elements, network).seconds(found, operating)
    alone = Decay(elements, edges(elements, opened=(*opened, *still))).seconds(found, operating) if opened else whole
    rows = tuple(
        Discharge(
            net=n.net,
            capacitors=tuple(c.ref for c in n.capacitors),
            farads=n.farads,
            start_volts=abs(n.start_volts),
            joules=0.5 * n.farads * n.start_volts**2,
            seconds=whole[k],
            seconds_alone=alone[k],
            fixed_path=_fixed_path(netlist, n),
            paths=_paths(by_net, n),
            minus=n.minus,
            kind=_kind(netlist, n),
            opened=opened,
        )
        for k, n in enumerate(found)
    )
    return rows, _stored(netlist, study.cold)


def discharge_with(study: Study, ohms: float) -> Mapping[str, float | None]:
    """Seconds to 60 V of each supply and bias node with a bleed tool of `ohms` held across that node alone."""
    netlist, operating, elements = study.netlist, study.operating, study.elements(COLD)
    base = edges(elements, opened=silencers(netlist))
    found = [n for n in _capacitor_nodes(netlist, operating) if abs(n.start_volts) > SAFE_VOLTS and _kind(netlist, n) != "signal"]
    times: dict[str, float | None] = {}
    for n in found:
        tool = Edge("bleed tool", n.net, n.minus, ohms)
        times[n.net] = Decay(elements, (*base, tool)).seconds([n], operating)[0]
    return times


BLEED_OHMS = 10e3
"""Of the discharge resistor on a clip (common practice)."""


def bleeds(study: Study) -> Mapping[str, Bleed]:
    """What the discharge resistor does on each supply and bias node: it takes V²/R at first."""
    times = discharge_with(study, BLEED_OHMS)
    found = {n.net: n.start_volts for n in _capacitor_nodes(study.netlist, study.operating) if n.net in times}
    return {net: Bleed(BLEED_OHMS, found[net] ** 2 / BLEED_OHMS, seconds) for net, seconds in times.items()}


class Decay:
    """The natural modes of a network of capacitors and resistances."""

    def __init__(self, elements: Elements, found: Collection[Edge]) -> None:
        self.nodes: Nodes = nodes(elements.nets, found)
        g = self.nodes.conductance(found)
        c = self.nodes.matrix([(x.a, x.b, x.value) for x in elements.capacitors])
        lower = np.linalg.cholesky(g)
        half = np.linalg.solve(lower, c)
        m = np.linalg.solve(lower, half.T)
        taus, vectors = np.linalg.eigh(0.5 * (m + m.T))
        self.groups = self.nodes.groups(found)
        real = taus > 1e-12 * max(float(taus[-1]), 1e-30)
        self.taus: Floats = taus[real]
        kept = vectors[:, real]
        self.shapes: Floats = np.asarray(np.linalg.solve(lower.T, kept), dtype=float)
        """Node volts of each mode, (nodes, modes)."""
        self.weights: Floats = np.asarray(kept.T @ lower.T, dtype=float)
        """Mode amplitudes from node volts, (modes, nodes)."""

    def amplitudes(self, volts: Mapping[str, float]) -> Floats:
        """Amplitude of every mode in every node, (nodes + 1, modes), the last row for ground, from the node volts before."""
        start = np.zeros(self.nodes.size)
        for net, value in volts.items():
            row = self.nodes.row.get(net, -1)
            if row >= 0:
                start[row] = value
        return np.vstack([self.shapes, np.zeros((1, len(self.taus)))]) * (self.weights @ start)

    def seconds(self, found: Sequence[_Node], operating: Mapping[str, Operating]) -> list[float | None]:
        """When each node has fallen to 60 V for good; None when no resistance joins its two nets, or it takes more than a day."""
        if not found:
            return []
        content = {name: self.amplitudes(operating[name].volts) for name in {n.condition for n in found}}
        row = self.nodes.row
        across = np.array([content[n.condition][row[n.net]] - content[n.condition][row[n.minus]] for n in found])
        times = last_above(across.reshape(len(found), -1), self.taus)
        joined = [self.groups[row[n.net]] == self.groups[row[n.minus]] for n in found]
        return [float(t) if ok and math.isfinite(t) else None for t, ok in zip(times, joined, strict=True)]


def last_above(amplitudes: Floats, taus: Floats, limit: float = SAFE_VOLTS) -> Floats:
    """The last time at which |sum a exp(-t/tau)| is above `limit`, per row of amplitudes (rows, modes): seconds.

    0 where it never is, infinity where it still is after a day.
    """
    tau = np.maximum(taus, 1e-12)
    above = np.abs(amplitudes @ np.exp(-_GRID / tau[:, None])) > limit
    last = above.shape[1] - 1 - np.argmax(above[:, ::-1], axis=1)
    never, always = ~above.any(axis=1), above[:, -1]
    low, high = _GRID[last], _GRID[np.minimum(last + 1, len(_GRID) - 1)]
    for _ in range(40):
        middle = 0.5 * (low + high)
        still = np.abs(np.sum(amplitudes * np.exp(-middle[:, None] / tau), axis=1)) > limit
        low, high = np.where(still, middle, low), np.where(still, high, middle)
    return np.where(always, np.inf, np.where(never, 0.0, high))


def _capacitor_nodes(netlist: Netlist, operating: Mapping[str, Operating]) -> list[_Node]:
    """Capacitors joined by their pairs of nets; the hot net is the one that is not ground, or the first terminal's."""
    groups: dict[tuple[str, str], list[Capacitor]] = {}
    farads: dict[tuple[str, str], float] = {}
    tops = {stack[0].ref: stack for stack in stacks(netlist)}
    for part in netlist.of(Capacitor):
        first, second = part.pins[0].net, part.pins[1].net
        stack = tops.get(part.ref, (part,))
        if part.ref in tops:  # a hand touches the top of a stack against ground, so it is empty when that is
            second = GROUND
        if first != second and all(net == GROUND or net in operating[COLD].volts for net in (first, second)):
            key = (second, first) if first == GROUND else (first, second)
            groups.setdefault(key, []).extend(stack)
            farads[key] = farads.get(key, 0.0) + series_farads(stack)
    found = []
    for (net, minus), parts in groups.items():
        across = {name: o.volts.get(net, 0.0) - o.volts.get(minus, 0.0) for name, o in operating.items()}
        # The cold state is what a builder meets; another one counts only where it stands clearly higher.
        worst = max(across, key=lambda name: (abs(across[name]), name == COLD))
        if abs(across[worst]) <= 1.001 * abs(across[COLD]):
            worst = COLD
        found.append(_Node(net, minus, tuple(parts), across[worst], worst, farads[net, minus]))
    return found


def _stored(netlist: Netlist, cold: Operating) -> float:
    total = 0.0
    for part in netlist.of(Capacitor):
        a, b = part.pins[0].net, part.pins[1].net
        total += 0.5 * part.farads * (cold.volts.get(a, 0.0) - cold.volts.get(b, 0.0)) ** 2
    return total


def _paths(by_net: Around, n: _Node) -> tuple[str, ...]:
    best = least_ohms(by_net, n.net, {n.minus})
    return best[1] if best and math.isfinite(best[0]) else ()


def _fixed_path(netlist: Netlist, n: _Node) -> bool:
    """Whether a resistor, or a chain of resistors with nothing else on its joints, ends on the capacitor's own two nets."""
    # a winding on the joint of a doubler's reservoirs takes nothing from the chain across them
    aside = {part.ref for stack in stacks(netlist) for part in stack} | {part.ref for part in netlist.of(PowerTransformer)}
    for part, _ in netlist.on_net.get(n.net, ()):
        at, here, seen = n.net, part, set()
        while isinstance(here, Resistor) and here.ref not in seen:
            seen.add(here.ref)
            at = here.net("2") if here.net("1") == at else here.net("1")
            if at == n.minus:
                return True
            others = [p for p, _ in netlist.on_net[at] if p.ref != here.ref and p.ref not in aside]
            if len(others) != 1:
                break
            here = others[0]
    return False


def _kind(netlist: Netlist, n: _Node) -> str:
    domains = {netlist.nets[net].domain for net in (n.net, n.minus) if net in netlist.nets and net != GROUND}
    if "bias" in domains and GROUND in (n.net, n.minus):
        return "bias"
    return "supply" if domains and domains <= {"supply", "high-tension-ac"} else "signal"


WAITING = 2.0
"""Times the longest computed discharge: what a person waits before the meter."""


def longest_seconds(found: Iterable[Discharge]) -> float | None:
    """The longest time to 60 V of any supply or bias capacitor, fuses and switches closed or open; None: some never gets there."""
    times = [t for d in found if d.kind != "signal" for t in (d.seconds, d.seconds_alone)]
    if any(t is None for t in times):
        return None
    return max((t for t in times if t is not None), default=0.0)


def waiting_seconds(found: Iterable[Discharge]) -> int | None:
    """How long to wait before the meter: twice the longest time, rounded up to half a minute (the factor is common practice)."""
    longest = longest_seconds(found)
    return None if longest is None else math.ceil(WAITING * longest / 30.0) * 30

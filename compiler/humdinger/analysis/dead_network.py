"""The amp as an ohmmeter sees it: cord out, tubes out, capacitors charged and open, diodes blocking.

Every net takes part, the mains side and the high-tension winding too. What joins (fuses, closed contacts, the circuit bond, a wiper at
the end of its track) makes one node, and the resistance between two nodes is read off the inverse of the conductances.
By Rayleigh's law a resistance between two points never falls when one of its resistors rises, so all resistors at the ends of their
tolerance give the exact ends of the reading.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping
from itertools import pairwise

import numpy as np

from ..circuit.netlist import (
    GROUND,
    Bond,
    Choke,
    Coupler,
    Diode,
    Fuse,
    InterstageTransformer,
    Jack,
    Netlist,
    OutputTransformer,
    Pot,
    PowerTransformer,
    Resistor,
    Switch,
)
from ..records import record
from .devices.softplus import Floats
from .elements import interstage_transformer, output_transformer

RESISTOR_SPREAD = 0.05
"""Of a resistor whose tolerance the spec does not give; with the two below common practice."""
POT_SPREAD = 0.20
NTC_SPREAD = 0.25
POWER_WINDING_SPREAD = 0.15
"""Of the copper of power transformers and chokes (common practice)."""
OUTPUT_WINDING_SPREAD = 0.20
"""Of output transformers (common practice)."""
UNKNOWN_SHARE = 0.10
"""A winding of unknown resistance has at most this share of rated volts over rated amps (a tenth of regulation, own assumption)."""
UNKNOWN_MATTERS = 0.01
"""A reading that an unknown winding moves by more than this share has no number."""
METER_AMPS = 1e-3
METER_OPEN_VOLTS = 3.0
"""What an ohmmeter drives at most, and its volts into nothing (common practice)."""
DIODE_OFF_VOLTS = 0.2
"""Forward volts below which a silicon diode does not show on an ohmmeter (common practice)."""

Steps = tuple[float, float, float, float]
"""Ohms as they are nominally, at the low end, at the high end, and nominally with every unknown winding at its most."""


@record
class Setup:
    """How the amp stands. Refs: of fuses out of their holders, of jacks with an open plug in, of parts lifted."""

    mains_on: bool = False
    standby_play: bool = True
    fuses_out: tuple[str, ...] = ()
    plugged: tuple[str, ...] = ()
    lifted: tuple[str, ...] = ()


@record
class Branch:
    """A resistance between two nets. 0 ohms in all steps joins them. unknown: nobody gave it."""

    ref: str
    a: str
    b: str
    ohms: Steps
    unknown: bool = False


def branches(netlist: Netlist, setup: Setup) -> tuple[Branch, ...]:
    """Every resistance of the amp in a setup, and every join. The feedback resistor is connected last of all, so it is not there yet."""
    found: list[Branch] = []
    lifted = (*setup.lifted, *(stage.parts.get("resistor", "") for stage in netlist.stages_of("feedback")))
    for part in netlist.parts:
        if part.ref not in lifted:
            found += _of(part, setup)
    return tuple(b for b in found if b.a != b.b)


def _of(part: object, setup: Setup) -> Iterable[Branch]:
    match part:
        case Resistor():
            spread = NTC_SPREAD if part.technology == "ntc" else RESISTOR_SPREAD if part.tolerance is None else part.tolerance
            yield _plain(part.ref, part.pins[0].net, part.pins[1].net, part.ohms, spread)
        case Pot():
            yield from _pot(part)
        case Coupler():  # dark; its diode is left out as every diode is
            yield Branch(
                part.ref, part.net("1"), part.net("2"), (part.dark_ohms, 0.5 * part.dark_ohms, 20.0 * part.dark_ohms, part.dark_ohms)
            )
        case Choke():
            yield _plain(part.ref, part.net("1"), part.net("2"), part.ohms, POWER_WINDING_SPREAD)
        case OutputTransformer():
            primary = len(part.primary_pins) - 1
            for k, coil in enumerate(output_transformer(part).coils):
                given = part.primary_resistance > 0.0 if k < primary else any(tap.resistance > 0.0 for tap in part.taps)
                yield _plain(part.ref, coil.a, coil.b, coil.ohms if given else 0.0, OUTPUT_WINDING_SPREAD, unknown=not given)
        case InterstageTransformer():
            for k, coil in enumerate(interstage_transformer(part).coils):
                given = (part.secondary_resistance if k else part.primary_resistance) > 0.0
                yield _plain(part.ref, coil.a, coil.b, coil.ohms if given else 0.0, OUTPUT_WINDING_SPREAD, unknown=not given)
        case PowerTransformer():
            yield from _power_transformer(part)
        case Fuse():
            if part.ref not in setup.fuses_out:
                yield _join(part.ref, part.net("1"), part.net("2"))
        case Bond():
            yield _join(part.ref, part.net("1"), part.net("2"))
        case Switch():
            yield from _switch(part, setup)
        case Jack():
            if part.switched and part.ref not in setup.plugged and any(pin.name == "tip-switch" for pin in part.pins):
                yield _join(part.ref, part.net("tip"), part.net("tip-switch"))
        case _:
            return


def _plain(ref: str, a: str, b: str, ohms: float, spread: float, *, unknown: bool = False) -> Branch:
    return Branch(ref, a, b, (ohms, ohms * (1.0 - spread), ohms * (1.0 + spread), ohms), unknown)


def _join(ref: str, a: str, b: str) -> Branch:
    return Branch(ref, a, b, (0.0, 0.0, 0.0, 0.0))


def _pot(pot: Pot) -> Iterable[Branch]:
    """Controls fully clockwise and bias trimmers at their cold end, so that no reading hangs on a taper; hum balance in the middle."""
    share = wiper_share(pot)
    for a, b, part in ((pot.net("ccw"), pot.net("wiper"), share), (pot.net("wiper"), pot.net("cw"), 1.0 - share)):
        yield _plain(pot.ref, a, b, pot.ohms * part, POT_SPREAD)


def wiper_share(pot: Pot) -> float:
    """Where the wiper of a pot stands in the dead tests, as a share of the track from ccw."""
    if pot.role.endswith("hum-balance"):
        return 0.5
    return 0.0 if pot.role.startswith("adjustment") else 1.0


def _power_transformer(part: PowerTransformer) -> Iterable[Branch]:
    ohms = part.primary_resistance
    yield _plain(part.ref, part.net("L"), part.net("N"), ohms, POWER_WINDING_SPREAD, unknown=ohms <= 0.0)
    for winding in part.windings:
        ends = [part.net(pin) for pin in winding.pins if pin]
        for half, (a, b) in enumerate(pairwise(ends)):
            known = [r for r in winding.resistance if r > 0.0]
            if known:
                each = known[min(half, len(known) - 1)] / (1 if winding.centre_tapped or len(ends) == 2 else 2)
                yield _plain(part.ref, a, b, each, POWER_WINDING_SPREAD)
            else:
                most = UNKNOWN_SHARE * winding.volts / winding.amps if winding.amps > 0.0 else 1.0
                yield Branch(part.ref, a, b, (0.0, 0.0, most, most), True)


def _switch(switch: Switch, setup: Setup) -> Iterable[Branch]:
    closed = {"mains": setup.mains_on, "standby": setup.standby_play}.get(switch.where, False)
    nets = {pin.name: pin.net for pin in switch.pins}
    for pole in range(1, switch.poles + 1):
        if closed and f"{pole}a" in nets and f"{pole}b" in nets:
            yield _join(switch.ref, nets[f"{pole}a"], nets[f"{pole}b"])


@record
class Reading:
    """Between two nets: ohms, its ends, whether an unknown winding moves it. All None: open. swapped: only with the leads changed over do
    the diodes block. forward_volts: what a diode then gets the wrong way at most."""

    ohms: float | None
    low_ohms: float | None
    high_ohms: float | None
    unknown: tuple[str, ...] = ()
    swapped: bool = False
    forward_volts: float = 0.0


class DeadNetwork:
    """The network of one setup with its inverses, for any number of readings."""

    def __init__(self, netlist: Netlist, setup: Setup) -> None:
        self.netlist = netlist
        self.found = branches(netlist, setup)
        self.unknown = tuple(dict.fromkeys(b.ref for b in self.found if b.unknown))
        nets = dict.fromkeys((GROUND, *netlist.nets, *netlist.on_net))
        self.islands = _groups(nets, ((b.a, b.b) for b in self.found))
        self.steps = [_Step(nets, self.islands, self.found, k) for k in range(4)]
        self.diodes = [(d.net("a"), d.net("k")) for d in netlist.of(Diode) if d.ref not in setup.lifted]

    def read(self, red: str, black: str) -> Reading:
        """The reading between two nets, plus lead on `red` unless `swapped` says otherwise."""
        if self.islands[red] != self.islands[black]:
            forward = [self._forward(a, b, 1.0, METER_OPEN_VOLTS) for a, b in ((red, black), (black, red))]
            swapped = forward[0] > DIODE_OFF_VOLTS and forward[1] < forward[0]
            return Reading(None, None, None, (), swapped, forward[swapped])
        ohms, low, high, most = (step.between(red, black) for step in self.steps)
        moved = most - ohms > UNKNOWN_MATTERS * max(ohms, 1.0)
        volts = min(METER_AMPS * max(ohms, 1e-9), METER_OPEN_VOLTS)
        forward = [self._forward(a, b, max(ohms, 1e-9), volts) for a, b in ((red, black), (black, red))]
        swapped = forward[0] > DIODE_OFF_VOLTS and forward[1] < forward[0]
        return Reading(ohms, low, high, self.unknown if moved else (), swapped, forward[swapped])

    def _forward(self, plus: str, minus: str, ohms: float, volts: float) -> float:
        """Largest forward volts of any way through diodes, floating islands passed through, the meter's volts across plus and minus."""
        step, main = self.steps[0], {self.islands[plus], self.islands[minus]}
        whole = self.islands[plus] == self.islands[minus]

        def at(net: str) -> float:
            if whole:
                return volts * step.share(net, plus, minus, ohms)
            return volts if self.islands[net] == self.islands[plus] else 0.0

        ways: dict[int, list[str]] = {}
        for anode, cathode in self.diodes:
            ways.setdefault(self.islands[anode], []).append(cathode)
        worst = 0.0
        for anode, cathode in self.diodes:
            if self.islands[anode] not in main:
                continue
            queue, seen = [cathode], set()
            while queue:
                net = queue.pop()
                island = self.islands[net]
                if island in main:
                    worst = max(worst, at(anode) - at(net))
                elif island not in seen:
                    seen.add(island)
                    queue += ways.get(island, [])
        return worst


class _Step:
    """One set of values: nets as rows, and the inverse of the conductances, one row of every island left out."""

    def __init__(self, nets: Iterable[str], islands: Mapping[str, int], found: Collection[Branch], step: int) -> None:
        nodes = _groups(nets, ((b.a, b.b) for b in found if b.ohms[step] <= 0.0))
        lead: dict[int, int] = {}
        for net, node in nodes.items():
            lead.setdefault(islands[net], node)
        rows: dict[int, int] = {}
        for node in nodes.values():
            if node not in lead.values():
                rows.setdefault(node, len(rows))
        self.row = {net: rows.get(node, -1) for net, node in nodes.items()}
        size = len(rows)
        g = np.zeros((size + 1, size + 1))
        for b in found:
            if b.ohms[step] > 0.0:
                i, j, y = self.row[b.a], self.row[b.b], 1.0 / b.ohms[step]
                g[i, i] += y
                g[j, j] += y
                g[i, j] -= y
                g[j, i] -= y
        self.z: Floats = np.zeros((size + 1, size + 1))
        if size:
            self.z[:size, :size] = np.linalg.inv(g[:size, :size])

    def between(self, a: str, b: str) -> float:
        """Ohms between two nets of one island."""
        i, j = self.row[a], self.row[b]
        return 0.0 if i == j else float(self.z[i, i] + self.z[j, j] - 2.0 * self.z[i, j])

    def share(self, net: str, plus: str, minus: str, ohms: float) -> float:
        """Volts of a net as a share of those between plus and minus, minus at 0."""
        n, i, j = self.row[net], self.row[plus], self.row[minus]
        return float(self.z[n, i] - self.z[n, j] - self.z[j, i] + self.z[j, j]) / ohms


def _groups(nets: Iterable[str], joined: Iterable[tuple[str, str]]) -> dict[str, int]:
    """Net -> number of the group it is in."""
    parent = {net: net for net in nets}

    def root(net: str) -> str:
        while parent[net] != net:
            parent[net] = parent[parent[net]]
            net = parent[net]
        return net

    for a, b in joined:
        parent[root(a)] = root(b)
    numbers: dict[str, int] = {}
    return {net: numbers.setdefault(root(net), len(numbers)) for net in parent}

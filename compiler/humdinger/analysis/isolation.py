"""What must be apart: the mains from everything else, the centre tap from the bridge.

Walks over the netlist as it is built; no volts are needed.
"""

from __future__ import annotations

from collections import deque
from collections.abc import Iterator
from itertools import pairwise

from ..circuit.netlist import (
    GROUND,
    WHOLE_WINDING,
    Bond,
    Capacitor,
    Choke,
    Coupler,
    Diode,
    Fuse,
    InterstageTransformer,
    Lamp,
    Netlist,
    OutputTransformer,
    Part,
    Pot,
    PowerTransformer,
    Rectifier,
    Resistor,
    Speaker,
    Switch,
)
from .results import CentreTap, MainsPath

MAINS = "mains"
CLASS_Y = "class-Y"
LEAD_OHMS = 1000.0
"""A resistor up to this still joins a centre tap to where it leads: a back-bias resistor does, a balancing resistor does not."""


def mains_paths(netlist: Netlist) -> tuple[MainsPath, ...]:
    """Paths from a mains net to any other net over anything that does not isolate: the shortest one per other net reached.

    What isolates: a class-Y capacitor, and the windings of a transformer from each other. Protective earth at the inlet is its own net.
    """
    starts = [name for name, net in netlist.nets.items() if net.domain == MAINS]
    around: dict[str, list[tuple[str, str]]] = {}
    for part in netlist.parts:
        for a, b in _conducts(part):
            around.setdefault(a, []).append((b, part.ref))
            around.setdefault(b, []).append((a, part.ref))
    found: dict[str, MainsPath] = {}
    for start in starts:
        queue: deque[tuple[str, tuple[str, ...]]] = deque([(start, ())])
        seen = {start}
        while queue:
            net, refs = queue.popleft()
            for other, ref in around.get(net, ()):
                if other in seen:
                    continue
                seen.add(other)
                path = (*refs, ref)
                if netlist.nets[other].domain != MAINS:
                    if other not in found or len(path) < len(found[other].refs):
                        found[other] = MainsPath(start, other, path)
                else:
                    queue.append((other, path))
    return tuple(found[net] for net in sorted(found))


def _conducts(part: Part) -> Iterator[tuple[str, str]]:
    """Pairs of nets that a part joins, however weakly."""
    match part:
        case Capacitor() if part.technology.startswith(CLASS_Y):
            return
        case Resistor() | Capacitor() | Choke() | Diode() | Fuse() | Lamp() | Bond() | Speaker():
            yield part.pins[0].net, part.pins[1].net
        case Coupler():
            yield part.net("a"), part.net("k")
            yield part.net("1"), part.net("2")
        case Pot():
            yield part.net("ccw"), part.net("wiper")
            yield part.net("wiper"), part.net("cw")
        case Switch():
            names = {pin.name for pin in part.pins}
            for pole in range(1, part.poles + 1):
                if {f"{pole}a", f"{pole}b"} <= names:
                    yield part.net(f"{pole}a"), part.net(f"{pole}b")
        case PowerTransformer():
            yield from _windings(part)
        case OutputTransformer():
            yield from _chain(part, part.primary_pins)
            yield from _chain(part, ("0", *(tap.pin for tap in part.taps)))
        case InterstageTransformer():
            yield from _chain(part, ("P", "B"))
            yield from _chain(part, ("S1", "CT", "S2"))
        case _:
            return


def _windings(part: PowerTransformer) -> Iterator[tuple[str, str]]:
    yield from _chain(part, ("L", "N"))
    for winding in part.windings:
        yield from _chain(part, tuple(pin for pin in winding.pins if pin))


def _chain(part: Part, pins: tuple[str, ...]) -> Iterator[tuple[str, str]]:
    nets = {pin.name: pin.net for pin in part.pins}
    wired = [nets[pin] for pin in pins if pin in nets]
    yield from pairwise(wired)


def centre_taps(netlist: Netlist) -> tuple[CentreTap, ...]:
    """Where the tap of every winding that feeds a rectifier goes; rectifiers on windings without a wired tap have no row."""
    return tuple(row for r in netlist.rectifiers if (row := _centre_tap(netlist, r)))


def _centre_tap(netlist: Netlist, rectifier: Rectifier) -> CentreTap | None:
    transformer = netlist.by_ref.get(rectifier.transformer)
    if not isinstance(transformer, PowerTransformer):
        return None
    pin = transformer.winding(rectifier.winding).pins[1]
    nets = {p.name: p.net for p in transformer.pins}
    tap = nets.get(pin) or next((net for name, net in nets.items() if name == f"{rectifier.winding}-CT"), "")
    if not tap:
        return None
    terminals = {"plus": rectifier.plus, "minus": rectifier.minus, "ground": GROUND}
    reached = _leads(netlist, tap)
    joined = tuple(name for name, net in terminals.items() if net in reached)
    through = tuple(dict.fromkeys(ref for name in joined for ref in reached[terminals[name]]))
    if rectifier.arrangement in WHOLE_WINDING:
        # ground only matters when the bridge is on it, and then it is one of the terminals
        legal = "plus" not in joined and "minus" not in joined
    else:
        legal = "plus" not in joined and "minus" in joined
    return CentreTap(rectifier.id, rectifier.winding, tap, joined, through, legal)


def _leads(netlist: Netlist, start: str) -> dict[str, tuple[str, ...]]:
    """Nets a lead reaches over fuses, switches, the bond and small resistors, with the refs on the way."""
    reached: dict[str, tuple[str, ...]] = {start: ()}
    queue = deque([start])
    while queue:
        net = queue.popleft()
        for part, _ in netlist.on_net.get(net, ()):
            leads = isinstance(part, Fuse | Switch | Bond) or (isinstance(part, Resistor) and part.ohms <= LEAD_OHMS)
            if not leads:
                continue
            for a, b in _conducts(part):
                if net in (a, b):
                    other = b if a == net else a
                    if other not in reached:
                        reached[other] = (*reached[net], part.ref)
                        queue.append(other)
    return reached

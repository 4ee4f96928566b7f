"""Screens of wires to control grids: which wire has one, and the one terminal its drain goes to.

A screen is drained at one end, the one away from the tube, to a terminal of circuit ground that stands there: on the same board, on the
same jack or pot, on the strip beside it. The drain counts among the leads of that terminal; where all are full a tie is put beside one, or
a ground wire is taken off a tag. Where no ground is near that end the other end has it; where none is near either, the wire has no screen.
The wire that takes a jack's tip to a board where the jack's return goes as well has that return for its screen, soldered at both ends: one
cable (all common practice).
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from ..circuit.netlist import GROUND, Bond, Jack, Netlist, Tube
from .ground import BIAS, DIRECT, HEATER, SPEAKER
from .joining import ON_TOP, Edge, Joined, Node, Spot, ends_at, relieve, tie_beside, top
from .model import Terminal
from .planks import Plank

LOUD = (DIRECT, BIAS, HEATER, SPEAKER)
"""Returns that a screen keeps away from."""


def gridlike(netlist: Netlist) -> frozenset[str]:
    """Nets of control grids, and those that reach one through its stopper."""
    grids = {s.grid for s in netlist.sections if s.grid and not s.unused and netlist.nets[s.grid].domain == "signal"}
    stoppers = (p for p in netlist.parts if "stopper" in p.role and "screen" not in p.role)
    behind = {pin.net for p in stoppers if any(pin.net in grids for pin in p.pins) for pin in p.pins}
    return frozenset(net for net in grids | behind if netlist.nets[net].domain == "signal")


def drain_screens(netlist: Netlist, planks: list[Plank], made: Joined, joints: Mapping[Terminal, Terminal]) -> None:
    """Gives every wire that has a screen its drain, or its jack's return for a screen, and makes room where there is none."""
    bench = _Bench(netlist, planks, made, joints)
    nets = gridlike(netlist)
    for net, wires in made.wires.items():
        for wire in [w for w in wires if net in nets and not w.outside]:
            bench.drain(wire)
    for plank in planks:
        relieve(plank, made)


Place = int | str
"""A board by its number, else the part that a tag is of or that its strip stands at."""


class _Bench:
    def __init__(self, netlist: Netlist, planks: list[Plank], made: Joined, joints: Mapping[Terminal, Terminal]) -> None:
        self.netlist, self.planks, self.made = netlist, planks, made
        self.hosts = {strip.name: strip.host for strip in made.strips}
        self.lugs = {lug: strip.host for strip in made.strips for lug, net in zip(strip.lugs, strip.nets, strict=True) if net == GROUND}
        self.leads: dict[Terminal, int] = {}
        for tag in joints.values():
            self.leads[tag] = self.leads.get(tag, 0) + 1
        self.ties: dict[Spot, list[Spot]] = {}

    def place(self, node: Node) -> Place:
        """Where a wire's end is."""
        return node.plank if isinstance(node, Spot) else self.hosts.get(node.ref, node.ref)

    def is_tube(self, node: Node) -> bool:
        """Whether an end is at a socket or on the strip beside it."""
        return isinstance(self.netlist.by_ref.get(str(self.place(node))), Tube)

    def drain(self, wire: Edge) -> None:
        """The screen of one wire; none where both its ends are at one place."""
        if self.place(wire.a) == self.place(wire.b):
            return
        if (back := self._return(wire)) is not None:
            self.made.braids[wire] = back
            return
        ends = (wire.b, wire.a) if self.is_tube(wire.a) else (wire.a, wire.b)
        for node in ends:
            if (spot := self._ground_near(node)) is not None:
                self.made.drains[wire] = (spot, node is wire.a)
                return

    def _return(self, wire: Edge) -> Edge | None:
        """The ground wire between the same jack and the same board, that no other wire has for its screen."""
        places = {self.place(wire.a), self.place(wire.b)}
        if not any(isinstance(self.netlist.by_ref.get(str(place)), Jack) for place in places):
            return None
        taken = {id(edge) for edge in self.made.braids.values()}
        for edge in self._grounds():
            same = {self.place(edge.a), self.place(edge.b)} == places
            if same and not edge.own and id(edge) not in taken and not any(self._bonded(node) for node in (edge.a, edge.b)):
                return edge
        return None

    def _grounds(self) -> list[Edge]:
        return [edge for edge in self.made.wires.get(GROUND, []) if not edge.outside]

    def _bonded(self, node: Node) -> bool:
        """Whether the bond hangs there: what leads to it is no screen."""
        return any(ends_at(edge, node) and self._is_bond(edge) for edge in self._grounds())

    def _is_bond(self, edge: Edge) -> bool:
        return any(isinstance(n, Terminal) and isinstance(self.netlist.by_ref.get(n.ref), Bond) for n in (edge.a, edge.b))

    # -- a terminal of ground --
    def _ground_near(self, node: Node) -> Node | None:
        if isinstance(node, Spot):
            return self._on_board(self.planks[node.plank], node)
        tags = list(self._tags(self.place(node)))
        return next((tag for tag in tags if self._top(tag) < ON_TOP), None) or self._cleared(tags)

    def _on_board(self, plank: Plank, node: Spot) -> Spot | None:
        """The nearest terminal of ground on a board that has room, else a tie beside the nearest."""
        row = {strip: i for i, strip in enumerate(plank.strips)}
        grounds = [spot for spot in plank.spots if spot.net == GROUND and spot.group not in LOUD]
        near = sorted(grounds, key=lambda spot: abs(row[spot.strip] - row[node.strip]))
        free = next((spot for spot in near if top(spot, self.made) < ON_TOP), None)
        return free or (tie_beside(plank, near[0], self.made, self.ties) if near else None)

    def _tags(self, place: Place) -> Iterator[Terminal]:
        """Tags of ground of a jack or a pot and of the strip beside a part. A tube's pin on ground is not one: it has its own job."""
        part = self.netlist.by_ref.get(str(place))
        if part is not None and not isinstance(part, Tube):
            yield from (Terminal(part.ref, pin.name) for pin in part.pins if pin.net == GROUND)
        yield from (lug for lug, host in self.lugs.items() if host == place)

    def _top(self, tag: Terminal) -> int:
        """Leads on a tag: of parts, of wires, of screens."""
        return (
            self.leads.get(tag, 0) + sum(ends_at(e, tag) for e in self._grounds()) + sum(at == tag for at, _ in self.made.drains.values())
        )

    def _cleared(self, tags: list[Terminal]) -> Terminal | None:
        """Takes a ground wire that goes on from one of these tags to the board that feeds them; None where none can go."""
        grounds = self._grounds()
        feeds = [e for e in grounds if any(n in tags for n in (e.a, e.b)) and any(isinstance(n, Spot) for n in (e.a, e.b))]
        for feed in feeds:
            spot, tag = (feed.a, feed.b) if isinstance(feed.a, Spot) else (feed.b, feed.a)
            assert isinstance(spot, Spot)
            joined = {tag}
            while more := {n for e in grounds if {e.a, e.b} & joined for n in (e.a, e.b) if n in tags} - joined:
                joined |= more
            for wire in grounds:
                ends = [n for n in (wire.a, wire.b) if n in joined and isinstance(n, Terminal)]
                goes = len(ends) == 1 and wire is not feed and not wire.own and not self._is_bond(wire)
                inside = any(isinstance(n, Spot) and n.plank == spot.plank for n in (wire.a, wire.b))
                if goes and not inside and self._top(ends[0]) <= ON_TOP:
                    wire.move(ends[0], spot)
                    return ends[0]
        return None

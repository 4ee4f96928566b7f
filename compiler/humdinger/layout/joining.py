"""From trees of part leads to what is soldered: links under the boards, and wires between terminals.

Leads that share a terminal are joined by it. On a board the terminals of a net are linked in the order of the rows; of ground only those
that follow each other in their star. Everything else of a tree is a wire. A terminal takes three leads on top, wires and parts together,
and three ends of links below (common practice); what is more goes to a neighbour of the same net, else to a tie terminal put beside it.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from itertools import pairwise

from ..circuit.netlist import EARTH, GROUND, Capacitor, Netlist
from .model import Hop, TagStrip, Terminal
from .planks import Plank, Spot, Strip
from .seats import with_lug
from .trees import is_outside

ON_TOP = 3
BELOW = 3
Node = Spot | Terminal


class Edge:
    """A link or a wire in the making. own: nothing else may share it, so it stays where it is. outside: a cable that is plugged in."""

    __slots__ = ("a", "b", "net", "outside", "own")

    def __init__(self, net: str, a: Node, b: Node, own: bool = False, outside: bool = False) -> None:
        self.net, self.a, self.b, self.own, self.outside = net, a, b, own, outside

    def move(self, old: Node, new: Node) -> None:
        """Takes an end elsewhere."""
        if self.a is old:
            self.a = new
        else:
            self.b = new

    def at(self, node: Node) -> bool:
        """Whether it ends there."""
        return self.a is node or self.b is node


class Joined:
    """Links and wires of all nets, in the order of their trees.

    drains: screened wire -> where its screen is soldered, and whether that is at its end `a`. braids: screened wire -> the ground wire that
    is its screen. strips: the tag strips, with lugs for what tags have no room for.
    """

    __slots__ = ("braids", "drains", "links", "strips", "wires")

    def __init__(self, strips: tuple[TagStrip, ...] = ()) -> None:
        self.strips = strips
        self.links: list[Edge] = []
        self.wires: dict[str, list[Edge]] = {}
        self.drains: dict[Edge, tuple[Node, bool]] = {}
        self.braids: dict[Edge, Edge] = {}


def join(
    netlist: Netlist,
    planks: list[Plank],
    joints: Mapping[Terminal, Terminal],
    hops: Mapping[str, Iterable[Hop]],
    own: set[Terminal],
    strips: tuple[TagStrip, ...] = (),
) -> Joined:
    """Links and wires that join what the hops join. own: leads whose wire nothing else may share."""
    spots = {lead: spot for plank in planks for spot in plank.spots for lead in spot.leads}
    on_net: dict[str, list[Spot]] = {}
    for plank in planks:
        for spot in plank.spots:
            on_net.setdefault(spot.net, []).append(spot)
    plus = {spot for spot in spots.values() if any(_is_filter_plus(netlist, lead) for lead in spot.leads)}
    made = Joined(strips)
    for net, tree in hops.items():
        groups = _Groups()
        links: list[Edge] = []
        if net != GROUND:
            for a, b in pairwise(on_net.get(net, ())):
                if a.plank == b.plank and groups.join(a, b):
                    links.append(Edge(net, a, b))
        wires = made.wires.setdefault(net, [])
        for start, end in tree:
            a, b = (spots.get(lead) or joints.get(lead, lead) for lead in (start, end))
            if not groups.join(a, b):
                continue
            if isinstance(a, Spot) and isinstance(b, Spot) and a.plank == b.plank:
                links.append(Edge(net, a, b))
            else:
                outside = any(is_outside(netlist.by_ref[lead.ref]) for lead in (start, end))
                wires.append(Edge(net, _from_plus(a, on_net, plus), _from_plus(b, on_net, plus), start in own or end in own, outside))
        made.links += links
    _relieve_tags(planks, made, joints)
    for net, wires in made.wires.items():
        made.links += [w for w in wires if _on_one_board(w)]
        made.wires[net] = [w for w in wires if not _on_one_board(w)]
    for plank in planks:
        relieve(plank, made)
    return made


def _on_one_board(edge: Edge) -> bool:
    return isinstance(edge.a, Spot) and isinstance(edge.b, Spot) and edge.a.plank == edge.b.plank


def _is_filter_plus(netlist: Netlist, lead: Terminal) -> bool:
    part = netlist.by_ref[lead.ref]
    return isinstance(part, Capacitor) and part.stage == "filter" and lead.pin == "+"


def _from_plus(node: Node, on_net: Mapping[str, list[Spot]], plus: set[Spot]) -> Node:
    """A wire of a B+ node leaves its board at the plus of the capacitor."""
    if isinstance(node, Spot) and node not in plus:
        return next((s for s in on_net[node.net] if s.plank == node.plank and s in plus), node)
    return node


class _Groups:
    """What hangs together."""

    def __init__(self) -> None:
        self._parent: dict[Node, Node] = {}

    def _root(self, node: Node) -> Node:
        while (up := self._parent.get(node, node)) is not node:
            node = up
        return node

    def join(self, a: Node, b: Node) -> bool:
        """Joins two; False when they hang together already. Terminals are equal by name, and one object stands for each name."""
        a, b = self._root(a), self._root(b)
        if a == b:
            return False
        self._parent[b] = a
        return True


# -- room on the terminals ------------------------------------------------------------------------------------------
def _relieve_tags(planks: list[Plank], made: Joined, joints: Mapping[Terminal, Terminal]) -> None:
    """Takes wires off tags of chassis parts that are full: to a tie on a board that the tag is wired to, else to a lug beside the part."""
    leads: dict[Terminal, int] = {}
    for tag in joints.values():
        leads[tag] = leads.get(tag, 0) + 1
    for net, wires in made.wires.items():
        tags = list(dict.fromkeys(node for w in wires for node in (w.a, w.b) if isinstance(node, Terminal)))
        for tag in tags:
            ends = [w for w in wires if ends_at(w, tag) and not w.outside]
            if leads.get(tag, 0) + len(ends) <= ON_TOP or net == EARTH:
                continue
            beside = next((n for w in ends for n in (w.a, w.b) if isinstance(n, Spot)), None)
            if beside is not None:
                tie: Node = _tie_row(planks[beside.plank], beside)
            else:
                host = next((strip.host for strip in made.strips if strip.name == tag.ref), tag.ref)
                made.strips, tie = with_lug(made.strips, host, net)
                tags.append(tie)
            keep = max(ON_TOP - 1 - leads.get(tag, 0), 0)
            for wire in sorted(ends, key=lambda w: not w.own)[keep:]:
                wire.move(wire.a if wire.a == tag else wire.b, tie)
            wires.append(Edge(net, tag, tie))


def _tie_row(plank: Plank, beside: Spot) -> Spot:
    """A terminal without a part, on the right, in the next row."""
    strip = Strip(None, None)
    strip.right = Spot(beside.net, beside.group, "right", strip, beside.plank, tie=True)
    plank.strips.insert(_row_after(plank, beside.strip), strip)
    return strip.right


def ends_at(edge: Edge, tag: Node) -> bool:
    """Whether a wire ends at a tag or a terminal."""
    return edge.a == tag or edge.b == tag


def relieve(plank: Plank, made: Joined) -> None:
    """Takes wires and links off terminals of a board that are full."""
    queue = plank.spots
    ties: dict[Spot, list[Spot]] = {}
    while queue:
        spot = queue.pop(0)
        wires = made.wires.get(spot.net, [])
        while top(spot, made) > ON_TOP:
            ends = [w for w in wires if w.at(spot)]
            wire = next((w for w in reversed(ends) if not w.own), ends[-1])
            room = [s for s in (*ties.get(spot, ()), *_neighbours(plank, spot)) if top(s, made) < ON_TOP]
            if not room:
                room = [tie_beside(plank, spot, made, ties)]
                queue.append(room[0])
            wire.move(spot, room[0])
        links = [link for link in made.links if link.at(spot)]
        if len(links) > BELOW:
            tie = tie_beside(plank, spot, made, ties)
            for link in links[BELOW - 1 :]:
                if link.net == spot.net and not link.at(tie):
                    link.move(spot, tie)
            queue.append(tie)


def top(spot: Spot, made: Joined) -> int:
    """Leads on a terminal of a board: of parts, of wires, of screens."""
    wires = sum(w.at(spot) for w in made.wires.get(spot.net, ()))
    return len(spot.leads) + wires + sum(at is spot for at, _ in made.drains.values())


def _neighbours(plank: Plank, spot: Spot) -> list[Spot]:
    """Other terminals that could take a wire of this one, the nearest first. Ground keeps to its star point."""
    if spot.net == GROUND:
        return []
    order = {strip: i for i, strip in enumerate(plank.strips)}
    same = [s for s in plank.spots if s is not spot and s.net == spot.net]
    return sorted(same, key=lambda s: abs(order[s.strip] - order[spot.strip]))


def tie_beside(plank: Plank, spot: Spot, made: Joined, ties: dict[Spot, list[Spot]]) -> Spot:
    """A terminal without a part in the next row, linked to one that is full."""
    strip = Strip(None, None)
    tie = Spot(spot.net, spot.group, spot.side, strip, spot.plank, tie=True)
    if spot.side == "left":
        strip.left = tie
    else:
        strip.right = tie
    beside = ties.get(spot, [spot])[-1].strip
    plank.strips.insert(_row_after(plank, beside), strip)
    made.links.append(Edge(spot.net, spot, tie))
    ties.setdefault(spot, []).append(tie)
    return tie


def _row_after(plank: Plank, strip: Strip) -> int:
    """The row behind one, past rows whose parts share terminals with the row before: their leads must not pass a tie."""
    at = plank.strips.index(strip) + 1
    while at < len(plank.strips):
        before, here = plank.strips[at - 1], plank.strips[at]
        if not (here.left and here.left is before.left) and not (here.right and here.right is before.right):
            break
        at += 1
    return at

"""The boards: cut, joined and routed so that each prints at full size on one sheet of either paper."""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import field

from ..circuit.netlist import GROUND, Netlist, PowerTransformer, Resistor
from ..records import record
from .bodies import bodies
from .ground import charging, ground, returns
from .joining import Edge, Joined, Node, join
from .model import Board, Hop, Seat, TagStrip, Terminal
from .planks import Plank, Spot, length_mm, planks
from .routing import Apart, name_terminals, route
from .screens import drain_screens
from .seats import seats, tag_joints

LETTERS = ("A", "M", "N", "Q", "U", "Z")
"""Names of boards: letters that no designator, pin, electrode or node of an amp begins with; after them two letters, AA, AM, ..."""
LONGEST_MM = 198.0
"""The longest board that prints upright at full size with its title, its legend and its scale bar on A4 and Letter."""
FIRST_TRY_MM = (172.0, 160.0, 172.0)
"""What the parts of a board of each family may take up at first: volts, heat and wires ask for the rest. What proves too long is cut."""
HOT_WATTS = 1.0
"""A resistor that turns so much into heat keeps its distance (common practice)."""

States = Sequence[Mapping[str, float]]
"""Volts of every net, for each state of the amp that was computed."""


@record
class Boarded:
    """Boards, the seat of every part, where each lead is soldered, the wires of each net as hops between terminals, tag strips.

    drains: net and hop of a screened wire -> where its screen is soldered, and whether that is at its start. braids: net and hop of a
    screened wire -> the hop of ground that is its screen.
    """

    boards: tuple[Board, ...]
    seats: tuple[Seat, ...]
    joints: Mapping[Terminal, Terminal]
    hops: Mapping[str, tuple[Hop, ...]]
    strips: tuple[TagStrip, ...] = ()
    drains: Mapping[tuple[str, Hop], tuple[Terminal, bool]] = field(default_factory=dict)
    braids: Mapping[tuple[str, Hop], Hop] = field(default_factory=dict)


def boarded(netlist: Netlist, trees: Mapping[str, Sequence[Hop]], states: States = ()) -> Boarded:
    """Everything that stands on boards and tags. trees: net -> its tree over the leads of parts, for all nets but ground."""
    sizes = bodies(netlist)
    found = seats(netlist, sizes)
    joints, strips = tag_joints(netlist, found)
    groups, own = returns(netlist), charging(netlist)
    apart = _apart(netlist, states)
    hot = _hot(netlist, states)
    longest = list(FIRST_TRY_MM)
    while True:
        made = planks(netlist, sizes, found, groups, longest)
        rows_of = {lead: (plank.number, row) for plank in made for row, spot in enumerate(plank.spots) for lead in spot.leads}
        hops: dict[str, Iterable[Hop]] = dict(trees)
        hops[GROUND] = ground(netlist, rows_of) if GROUND in netlist.on_net else ()
        joined = join(netlist, made, joints, hops, own, strips)
        drain_screens(netlist, made, joined, joints)
        boards = _routed(made, joined, apart, hot)
        over = [plank for plank, board in zip(made, boards, strict=True) if board.height_mm > LONGEST_MM and len(board.mounts) > 1]
        if not over:
            break
        for plank in over:  # what is shorter than this one is cut otherwise
            length = length_mm((strip.part for strip in plank.strips if strip.part), sizes)
            longest[plank.family] = min(longest[plank.family], length - 0.1)
    letter = {lead: spot.terminal for plank in made for spot in plank.spots for lead in spot.leads}
    on_board = {mount.ref: board.name for board in boards for mount in board.mounts}
    placed = tuple(Seat(s.ref, s.kind, on_board.get(s.ref, s.at), s.why) for s in found.values())
    wires = {net: tuple(map(_hop, edges)) for net, edges in joined.wires.items()}
    drains = {(e.net, _hop(e)): (_terminal(at), start) for e, (at, start) in joined.drains.items()}
    braids = {(e.net, _hop(e)): _hop(back) for e, back in joined.braids.items()}
    return Boarded(boards, placed, {**joints, **letter}, wires, joined.strips, drains, braids)


def _hop(edge: Edge) -> Hop:
    return _terminal(edge.a), _terminal(edge.b)


def _terminal(node: Node) -> Terminal:
    return node.terminal if isinstance(node, Spot) else node


def letters(count: int) -> tuple[str, ...]:
    """Names for so many boards."""
    names = [*LETTERS, *(a + b for a in LETTERS for b in LETTERS)]
    return tuple(names[i] if i < len(names) else f"A{names[i % len(LETTERS)]}{i}" for i in range(count))


def _routed(made: list[Plank], joined: Joined, apart: Apart, hot: set[str]) -> tuple[Board, ...]:
    titles = _titles(made)
    taken: dict[Spot, int] = {}
    for edges in joined.wires.values():
        for edge in edges:
            for node in (edge.a, edge.b):
                if isinstance(node, Spot):
                    taken[node] = taken.get(node, 0) + 1
    for node, _ in joined.drains.values():
        if isinstance(node, Spot):
            taken[node] = taken.get(node, 0) + 1
    boards: list[Board] = []
    for plank, letter, title in zip(made, letters(len(made)), titles, strict=True):
        name_terminals(plank, letter)
        links = [e for e in joined.links if isinstance(e.a, Spot) and e.a.plank == plank.number]
        boards.append(route(plank, links, taken, apart, hot, title))
    return tuple(boards)


def _titles(made: list[Plank]) -> list[str]:
    """What is on each board; boards of one title are counted."""
    plain = [_and(plank.titles) for plank in made]
    return [f"{t}, {plain[:i].count(t) + 1} of {plain.count(t)}" if plain.count(t) > 1 else t for i, t in enumerate(plain)]


def _and(titles: list[str]) -> str:
    words = [titles[0], *(title[0].lower() + title[1:] for title in titles[1:])]
    return words[0] if len(words) == 1 else f"{', '.join(words[:-1])} and {words[-1]}"


def _hot(netlist: Netlist, states: States) -> set[str]:
    """Resistors that run hot in any state, and those in the leads of the high-tension winding, whose volts no state has."""
    found: set[str] = set()
    for part in netlist.of(Resistor):
        a, b = part.pins
        alternates = "high-tension-ac" in (netlist.nets[a.net].domain, netlist.nets[b.net].domain)
        watts = max(((volts.get(a.net, 0.0) - volts.get(b.net, 0.0)) ** 2 / part.ohms for volts in states), default=0.0)
        if alternates or watts >= HOT_WATTS:
            found.add(part.ref)
    return found


def _apart(netlist: Netlist, states: States) -> Apart:
    """The volts between two nets: the largest of all states; where a net alternates, with its peak added. 0 where nothing is known."""
    peaks = {
        part.net(pin): math.sqrt(2.0) * (w.no_load_volts or w.volts)
        for part in netlist.of(PowerTransformer)
        for w in part.windings
        for pin in w.pins
        if pin and w.kind != "heater" and part.net(pin) != GROUND
    }

    def between(a: str, b: str) -> float:
        direct = max((abs(volts.get(a, 0.0) - volts.get(b, 0.0)) for volts in states), default=0.0)
        return direct + max(peaks.get(a, 0.0), peaks.get(b, 0.0)) if a != b else 0.0

    return between

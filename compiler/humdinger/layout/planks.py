"""Boards in the making: which parts share a board, in which order they lie on it, and which leads share a terminal.

A board is two columns of terminals; each part lies between them in a row of its own, in the order of the stages. Two leads of one net in
neighbouring rows share a terminal. On the left is the side of the tubes, on the right that of ground and of B+ (all common practice).
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Mapping, Sequence

from ..circuit.netlist import GROUND, Netlist, Part, StageInstance
from .ground import DIRECT
from .model import Body, Seat, Terminal

PITCH_MM = 8.0
"""Least distance of two terminals of a column (common practice)."""
GAP_MM = 1.4
"""Least distance between what two rows take up."""
TEXT_MM = 3.4
"""Height of the line of text over a body that is too small to carry it."""
CARRIES_MM = (5.4, 13.5)
"""From this diameter and length on a body carries its designator and value itself."""
BANDS_MM = 6.0
"""Below this diameter a resistor has bands, and text would lie on them."""
SHARE_MM = 14.0
"""Rows farther apart than this do not share a terminal: a lead would hang free."""
PART_LEADS = 2
"""Leads of parts on one terminal, at most, so that a wire finds room."""

SIGNAL = (("preamp", "Preamp"), ("inverter", "Phase inverter"), ("output", "Output"), ("tremolo", "Tremolo"))
"""Sections whose parts follow each other, and share a board where they fit on one."""
SUPPLY, BIAS = "Power supply", "Bias supply"
Sizes = Mapping[str, Body | None]


class Spot:
    """A terminal in the making. group: for ground, the star it belongs to. tie: it holds no part."""

    __slots__ = ("group", "leads", "net", "plank", "side", "strip", "terminal", "tie")

    def __init__(self, net: str, group: str, side: str, strip: Strip, plank: int, tie: bool = False) -> None:
        self.net, self.group, self.side, self.strip, self.plank, self.tie = net, group, side, strip, plank, tie
        self.leads: list[Terminal] = []
        self.terminal = Terminal("", "")


class Strip:
    """A row of a board: a part and the two terminals it lies between, or a tie terminal alone."""

    __slots__ = ("body", "left", "part", "pins", "right")

    def __init__(self, part: Part | None, body: Body | None, pins: tuple[str, str] = ("", "")) -> None:
        self.part, self.body, self.pins = part, body, pins
        self.left: Spot | None = None
        self.right: Spot | None = None

    def of(self, side: str) -> Spot | None:
        """The terminal on one side."""
        return self.left if side == "left" else self.right


class Plank:
    """A board in the making."""

    __slots__ = ("family", "number", "strips", "titles")

    def __init__(self, number: int, family: int, titles: list[str]) -> None:
        self.number, self.family, self.titles = number, family, titles
        self.strips: list[Strip] = []

    @property
    def spots(self) -> list[Spot]:
        """Its terminals, row by row, each once."""
        return list(dict.fromkeys(s for strip in self.strips for s in (strip.left, strip.right) if s is not None))


def own_text(body: Body) -> bool:
    """Whether the body carries its own text."""
    if body.kind == "diode" or (body.kind == "resistor" and body.diameter_mm < BANDS_MM):
        return False
    return body.diameter_mm >= CARRIES_MM[0] and body.length_mm >= CARRIES_MM[1]


def height_mm(body: Body | None) -> float:
    """What a row takes of the board's length, before volts and wires ask for more."""
    if body is None:
        return PITCH_MM
    text = 0.0 if own_text(body) else TEXT_MM
    return max(PITCH_MM, body.diameter_mm + text + GAP_MM)


def planks(
    netlist: Netlist, sizes: Sizes, seats: Mapping[str, Seat], returns: Mapping[Terminal, str], longest_mm: Sequence[float]
) -> list[Plank]:
    """The boards, with a terminal for every lead.

    longest_mm: for each family (signal, power supply, bias supply) what its parts may take up.
    """
    made: list[Plank] = []
    for family, (groups, longest) in enumerate(zip(_grouped(netlist, seats), longest_mm, strict=True)):
        for titles, parts in _cut(groups, sizes, longest):
            plank = Plank(len(made), family, titles)
            for part in parts:
                _lay(netlist, plank, part, sizes[part.ref], returns)
            made.append(plank)
    return made


def _grouped(netlist: Netlist, seats: Mapping[str, Seat]) -> list[list[tuple[str, list[Part]]]]:
    """Families of boards; in each the groups (title, parts in order) that may share one. No board carries parts of two families."""
    found: dict[str, list[list[Part]]] = {}
    for stage in netlist.stages:
        parts = [netlist.by_ref[ref] for ref in dict.fromkeys(stage.parts.values()) if seats[ref].kind == "board"]
        if parts:
            found.setdefault(_title(stage), []).append(_in_order(parts, netlist))
    families = [[title for _, title in SIGNAL], [SUPPLY], [BIAS]]
    return [[(title, [p for parts in found[title] for p in parts]) for title in family if title in found] for family in families]


def _title(stage: StageInstance) -> str:
    if stage.kind == "fixed-bias":
        return BIAS
    return dict(SIGNAL).get(stage.section, SUPPLY)


def _in_order(parts: list[Part], netlist: Netlist) -> list[Part]:
    """The parts of a stage as they lie: next comes the part that shares most nets with the one before, else the next of the stage."""
    left, done = list(parts), []
    while left:
        nets = {pin.net for pin in done[-1].pins} if done else set()
        # ground and B+ are everywhere: they make neighbours only of parts that share something else as well
        common = {GROUND, *netlist.b_plus}
        best = max(
            left, key=lambda p: (len({q.net for q in p.pins} & (nets - common)), len({q.net for q in p.pins} & nets), -left.index(p))
        )
        left.remove(best)
        done.append(best)
    return done


def _cut(groups: list[tuple[str, list[Part]]], sizes: Sizes, longest_mm: float) -> Iterator[tuple[list[str], list[Part]]]:
    """Groups to boards: as many groups as fit on one; a group that is too long alone is cut into boards of like length."""
    titles: list[str] = []
    parts: list[Part] = []
    for title, group in groups:
        if parts and length_mm(parts, sizes) + length_mm(group, sizes) > longest_mm:
            yield titles, parts
            titles, parts = [], []
        pieces = _pieces(group, sizes, longest_mm)
        for piece in pieces[:-1]:
            yield [*titles, title], [*parts, *piece]
            titles, parts = [], []
        titles, parts = [*titles, title], [*parts, *pieces[-1]]
    if parts:
        yield titles, parts


def length_mm(parts: Iterable[Part], sizes: Sizes) -> float:
    """What parts take of a board's length, before volts and wires ask for more."""
    return sum(height_mm(sizes[part.ref]) for part in parts)


def _pieces(parts: list[Part], sizes: Sizes, longest_mm: float) -> list[list[Part]]:
    """A group as pieces of like length, cut between blocks where one ends near the place."""
    whole = length_mm(parts, sizes)
    count = max(math.ceil(whole / longest_mm), 1)
    aim = whole / count
    pieces: list[list[Part]] = [[]]
    length = 0.0
    for i, part in enumerate(parts):
        here = pieces[-1]
        own = height_mm(sizes[part.ref])
        block = [p for p in parts[i:] if _block(p) == _block(part)]
        ends = bool(here) and _block(here[-1]) != _block(part)
        near = ends and len(pieces) < count and length + length_mm(block, sizes) / 2 > aim
        full = length + (length_mm(block, sizes) if ends and length > aim / 2 else own) > longest_mm
        if here and (full or near):
            pieces.append([])
            length = 0.0
        pieces[-1].append(part)
        length += own
    return pieces


def _block(part: Part) -> tuple[str, str]:
    """Parts that stay together where they can: those of a stage; of the filter those of a node, the rectifier with the first one."""
    if part.stage == "rectifier":
        return "filter", "B1"
    return (part.stage, part.role.partition("-")[0]) if part.stage == "filter" else (part.stage, "")


# -- one row --------------------------------------------------------------------------------------------------------
def _lay(netlist: Netlist, plank: Plank, part: Part, body: Body | None, returns: Mapping[Terminal, str]) -> None:
    """Puts a part into the next row, turned so that it shares most with the row before."""
    first, second = (pin.name for pin in part.pins)
    turned = max(((first, second), (second, first)), key=lambda pins: _score(netlist, plank, part, body, pins, returns))
    strip = Strip(part, body, turned)
    before = plank.strips[-1] if plank.strips else None
    for side, pin in zip(("left", "right"), turned, strict=True):
        lead = Terminal(part.ref, pin)
        spot = before.of(side) if before and _shares(before, side, part, body, pin, returns) else None
        if spot is None:
            spot = Spot(part.net(pin), returns.get(lead, ""), side, strip, plank.number)
        spot.leads.append(lead)
        if side == "left":
            strip.left = spot
        else:
            strip.right = spot
    plank.strips.append(strip)


def _shares(before: Strip, side: str, part: Part, body: Body | None, pin: str, returns: Mapping[Terminal, str]) -> bool:
    """Whether a lead may go to the terminal of the row before: same net, of ground the same star, and room for it."""
    spot = before.of(side)
    if spot is None or spot.strip is not before or spot.net != part.net(pin) or len(spot.leads) >= PART_LEADS:
        return False
    group = returns.get(Terminal(part.ref, pin), "")
    if spot.group != group:
        return False
    if group == DIRECT and before.part is not None and type(before.part) is not type(part):
        return False
    return (height_mm(before.body) + height_mm(body)) / 2 <= SHARE_MM


def _score(netlist: Netlist, plank: Plank, part: Part, body: Body | None, pins: tuple[str, str], returns: Mapping[Terminal, str]) -> int:
    before = plank.strips[-1] if plank.strips else None
    points = 0
    for side, pin in zip(("left", "right"), pins, strict=True):
        net = part.net(pin)
        if before and _shares(before, side, part, body, pin, returns):
            points += 4
        if side == "left" and net != GROUND and any(net in (s.plate, s.grid, s.cathode, s.screen) for s in netlist.sections):
            points += 2
        if side == "right" and net == GROUND:
            points += 2
        elif side == "right" and net in netlist.b_plus:
            points += 1
    return points

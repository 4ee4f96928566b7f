"""A block is one cell of a sheet, recorded in its own coordinates: parts, wires, marks and texts, not yet drawn.

Cells only place things. Dots are put where three or more conductors meet and hops where two nets cross, both worked out from the geometry
once the sheet is laid out, so that the drawing cannot say something else than the wires do.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field

from ..records import record
from .geometry import EPS, STYLES, Box, Line, Point, around, span, text_width

Owner = tuple[str, str]
"""("part", group name) or ("net", net name)."""


@record
class Text:
    """One line of text; `at` is on the baseline. anchor: "start", "middle" or "end"."""

    owner: Owner
    at: Point
    string: str
    style: str
    anchor: str = "start"

    @property
    def box(self) -> Box:
        """The box of its ink, ascenders and descenders included."""
        wide = text_width(self.string, self.style)
        x = self.at[0] - {"start": 0.0, "middle": wide / 2, "end": wide}[self.anchor]
        tall = STYLES[self.style].pitch / 1.2
        return Box(x, self.at[1] - 0.2 * tall, x + wide, self.at[1] + 0.73 * tall)


@record
class Symbol:
    """Something `symbols` can draw: its kind, the points that place it, and the room its body takes (leads not included)."""

    owner: Owner
    kind: str
    points: tuple[Point, ...]
    params: Mapping[str, object]
    bodies: tuple[Box, ...]
    leads: tuple[Line, ...] = ()


@record
class Wire:
    """A conductor of a net along upright and level lines."""

    net: str
    points: tuple[Point, ...]
    dashed: bool = False

    @property
    def lines(self) -> tuple[Line, ...]:
        """Its pieces."""
        return tuple(zip(self.points, self.points[1:], strict=False))


@record
class Terminal:
    """Where a terminal of a part is on the sheet. `lead`: the conductor of the part that ends there, if one is drawn.

    group: the name of the group it belongs to when that is not the part's ("V1a").
    """

    ref: str
    pin: str
    net: str
    at: Point
    lead: Line | None = None
    group: str = ""


@record
class Mark:
    """What names a net at a point: "ground", "earth", "arrow" (a B+ node), "flag", or "name" (on a wire that goes on).

    Same text, same net, wherever it stands. "open" names nothing: it is the ring at the end of a lead that nobody uses.
    """

    kind: str
    net: str
    at: Point
    text: str = ""
    side: str = "down"


@record
class Port:
    """A net that wants to leave the block at a point: to the neighbour when that has a port on the same net, else to a flag."""

    name: str
    net: str
    at: Point
    side: str


@dataclass
class Block:
    """The recording. `drawn` lists units: a designator, "V1a" for a tube section, "V1:heater", "T1:primary" for parts drawn in pieces."""

    name: str = ""
    texts: list[Text] = field(default_factory=list)
    symbols: list[Symbol] = field(default_factory=list)
    wires: list[Wire] = field(default_factory=list)
    terminals: list[Terminal] = field(default_factory=list)
    marks: list[Mark] = field(default_factory=list)
    ports: dict[str, Port] = field(default_factory=dict)
    titles: dict[str, str] = field(default_factory=dict)
    drawn: list[str] = field(default_factory=list)
    floats: bool = False
    """May be moved up or down so that its first wire to the left neighbour runs straight."""

    # -- recording ----------------------------------------------------------------------------------------------
    def symbol(
        self,
        owner: Owner,
        kind: str,
        points: Sequence[Point],
        bodies: Iterable[Box] = (),
        leads: Iterable[Line] = (),
        **params: object,
    ) -> None:
        """Puts a symbol down."""
        self.symbols.append(Symbol(owner, kind, tuple(points), params, tuple(bodies), tuple(leads)))

    def wire(self, net: str, *points: Point, dashed: bool = False) -> None:
        """A conductor; pieces of no length are left out."""
        kept = [points[0]]
        for x, y in points[1:]:
            if abs(x - kept[-1][0]) > EPS or abs(y - kept[-1][1]) > EPS:
                kept.append((x, y))
        if len(kept) > 1:
            self.wires.append(Wire(net, tuple(kept), dashed))

    def terminal(self, ref: str, pin: str, net: str, at: Point, lead: Line | None = None, group: str = "") -> None:
        """Says where a terminal is."""
        self.terminals.append(Terminal(ref, pin, net, at, lead, group or ref))

    def mark(self, kind: str, net: str, at: Point, text: str = "", side: str = "down") -> None:
        """Names a net at a point."""
        self.marks.append(Mark(kind, net, at, text, side))

    def port(self, name: str, net: str, at: Point, side: str) -> None:
        """Offers a net to the neighbours."""
        self.ports[name] = Port(name, net, at, side)

    def text(self, owner: Owner, at: Point, string: str, style: str, anchor: str = "start") -> None:
        """One line of text. Empty text is left out."""
        if string:
            self.texts.append(Text(owner, at, string, style, anchor))

    def lines(self, owner: Owner, at: Point, rows: Sequence[tuple[str, str]], side: str) -> None:
        """Stacked lines (text, style) beside a point. side: "left", "right", "above", "below"; "above-left", "above-right" are flush."""
        rows = [row for row in rows if row[0]]
        if not rows:
            return
        pitches = [STYLES[style].pitch for _, style in rows]
        tall = STYLES[rows[0][1]].pitch / 1.2
        anchor = {"left": "end", "right": "start", "above-left": "start", "above-right": "end"}.get(side, "middle")
        if side.startswith("above"):
            y = at[1] + sum(pitches[1:]) + 0.2 * tall
        elif side == "below":
            y = at[1] - 0.73 * tall
        else:
            y = at[1] + sum(pitches) / 2 - 0.78 * pitches[0]
        for index, (string, style) in enumerate(rows):
            if index:
                y -= pitches[index]
            self.text(owner, (at[0], y), string, style, anchor)

    # -- measures -----------------------------------------------------------------------------------------------
    def extent(self) -> Box:
        """The room the block takes, texts included."""
        return around(self.boxes())

    def boxes(self) -> list[Box]:
        """The rooms of everything on it."""
        boxes = [t.box for t in self.texts] + [b for s in self.symbols for b in s.bodies]
        boxes += [span(w.points) for w in self.wires] + [span(line) for s in self.symbols for line in s.leads]
        boxes += [mark_box(m) for m in self.marks]
        return boxes

    def copy(self) -> Block:
        """The same block, to be added to."""
        return Block(
            self.name,
            list(self.texts),
            list(self.symbols),
            list(self.wires),
            list(self.terminals),
            list(self.marks),
            dict(self.ports),
            dict(self.titles),
            list(self.drawn),
            self.floats,
        )

    def moved(self, dx: float, dy: float) -> Block:
        """The same block elsewhere."""

        def at(p: Point) -> Point:
            return (p[0] + dx, p[1] + dy)

        def line(found: Line | None) -> Line | None:
            return (at(found[0]), at(found[1])) if found else None

        return Block(
            self.name,
            [Text(t.owner, at(t.at), t.string, t.style, t.anchor) for t in self.texts],
            [
                Symbol(
                    s.owner,
                    s.kind,
                    tuple(map(at, s.points)),
                    s.params,
                    tuple(b.moved(dx, dy) for b in s.bodies),
                    tuple((at(a), at(b)) for a, b in s.leads),
                )
                for s in self.symbols
            ],
            [Wire(w.net, tuple(map(at, w.points)), w.dashed) for w in self.wires],
            [Terminal(t.ref, t.pin, t.net, at(t.at), line(t.lead), t.group) for t in self.terminals],
            [Mark(m.kind, m.net, at(m.at), m.text, m.side) for m in self.marks],
            {name: Port(p.name, p.net, at(p.at), p.side) for name, p in self.ports.items()},
            dict(self.titles),
            list(self.drawn),
            self.floats,
        )

    def take(self, other: Block) -> None:
        """Adds another block's recording to this one (its ports are not taken)."""
        self.texts += other.texts
        self.symbols += other.symbols
        self.wires += other.wires
        self.terminals += other.terminals
        self.marks += other.marks
        self.titles |= {k: v for k, v in other.titles.items() if k not in self.titles}
        self.drawn += other.drawn


def mark_box(mark: Mark) -> Box:
    """The room a mark takes, its text not included (flags: text included)."""
    x, y = mark.at
    if mark.kind == "arrow":
        return Box(x - 0.2, y, x + 0.2, y + 0.36)
    if mark.kind == "flag":
        wide = flag_width(mark.text)
        if mark.side == "left":
            return Box(x - wide, y - 0.24, x, y + 0.24)
        return Box(x, y - 0.24, x + wide, y + 0.24)
    if mark.kind == "name":
        return Box(x, y, x, y)
    if mark.kind == "earth":
        return Box(x - 0.38, y - 0.76, x + 0.38, y)
    return Box(x - 0.28, y - 0.24, x + 0.28, y)


def flag_width(text: str) -> float:
    """Length of a flag with its text and point."""
    return text_width(text, "flag") + 0.55

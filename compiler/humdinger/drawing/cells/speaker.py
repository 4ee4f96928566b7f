"""Speakers: load resistor, extension jack, jack and speakers on the hot line; the plug's lead is dashed."""

from __future__ import annotations

from ...circuit.netlist import GROUND, StageInstance
from ..common import other_net
from ..geometry import SIDE, Box, Point
from ..jacks import jack, jack_back, jack_ground
from ..pen import Pen, role

LINE = 6.6
FOOT = LINE - 2.9
OVER = 1.3
"""Wires that pass over a jack or run along several speakers lie this far above the line."""
CONTACT = 0.5
"""From a jack's tip to its contact."""
SPEAKER_DROP, BETWEEN = 0.58, 1.5
"""From plus to minus of one of several speakers, and from there to the plus of the next in series."""


def draw(pen: Pen, stage: StageInstance) -> None:
    """hot on the left."""
    pen.block.floats = True
    hot = stage.ports["hot"]
    pen.block.port("hot", hot, (0.0, LINE), "left")
    x = 0.4
    pen.wire(hot, (0.0, LINE), (x, LINE))
    load = role(stage, "load-resistor")
    if load:
        pen.two(load, (x, LINE), (x, FOOT), start=hot, label="right")
        pen.ground((x, FOOT), other_net(pen, load, hot))
        right = x + SIDE + pen.width(load) + 0.9
        pen.wire(hot, (x, LINE), (right, LINE))
        x = right
    net = stage.ports.get("inside", hot)
    extension = role(stage, "extension-jack")
    if extension:
        x = _extension(pen, extension, hot, net, x)
    plug = role(stage, "jack")
    several = [ref for name, ref in stage.parts.items() if name.startswith("speaker-")]
    if plug is None:
        if several:
            _several(pen, several, net, (x, LINE), None)
            return
        speaker(pen, stage.parts["speaker"], (x + 0.6, LINE))
        _fixed(pen, stage.parts["speaker"], net, (x, LINE), (x + 0.6, LINE))
        return
    tags = x + 0.3
    pen.wire(net, (x, LINE), (tags, LINE))
    back = jack(pen, plug, (tags + 1.83, LINE), mirror=True)
    jack_ground(pen, plug, back, LINE, FOOT, mirror=True)
    tip, sleeve = jack_back(pen, plug, (tags + 1.83, LINE), mirror=True)
    if several:
        _several(pen, several, net, tip, sleeve)
        return
    at = (tags + 3.0, LINE)
    plus, minus = speaker(pen, stage.parts["speaker"], at, drop=LINE - sleeve[1])
    pen.wire(net, tip, plus, dashed=True)
    pen.wire(pen.net(stage.parts["speaker"], "-"), sleeve, minus, dashed=True)


def _extension(pen: Pen, ref: str, hot: str, net: str, x: float) -> float:
    """The extension jack on the hot line; what its contact carries goes on to the right. Returns x behind it."""
    tags = x + 0.55
    pen.wire(hot, (x, LINE), (tags, LINE))
    back = jack(pen, ref, (tags + 1.83, LINE), mirror=True)
    jack_ground(pen, ref, back, LINE, FOOT, mirror=True)
    over, right = LINE + OVER, tags + 1.83 + 0.7
    if net == hot:
        pen.wire(hot, (x, LINE), (x, over), (right, over), (right, LINE))
        return right
    start, column = (tags, LINE - CONTACT), tags - 0.28
    pen.wire(net, start, (column, start[1]), (column, over), (right, over), (right, LINE))
    return right


def _several(pen: Pen, refs: list[str], net: str, hot: Point, cold: Point | None) -> None:
    """Rows of speakers side by side, what is in series one below the other. cold: the plug's sleeve; None for wires that are soldered."""
    rows: list[list[str]] = []
    for ref in refs:
        if pen.net(ref, "+") == net:
            rows.append([])
        rows[-1].append(ref)
    dashed = cold is not None
    over, step = LINE + OVER, SPEAKER_DROP + BETWEEN
    deep = max(len(row) for row in rows)
    foot = LINE - (deep - 1) * step - SPEAKER_DROP - 0.75
    x = hot[0] + 1.6
    first, ends = x, []
    for row in rows:
        plus, minus = (x - 0.62, LINE), (x, LINE)
        if len(rows) > 1:
            pen.wire(net, (plus[0], over), plus, (x, LINE), dashed=dashed)
        for place, ref in enumerate(row):
            if place:
                pen.wire(pen.net(ref, "+"), minus, (x, LINE - place * step), dashed=dashed)
            minus = speaker(pen, ref, (x, LINE - place * step), drop=SPEAKER_DROP)[1]
        pen.wire(GROUND, minus, (x, foot), dashed=dashed)
        ends.append(x)
        x += 1.0 + max(pen.width(ref) for ref in row) + 1.4
    if len(rows) == 1:
        pen.wire(net, hot, (first, LINE), dashed=dashed)
    else:
        pen.wire(net, hot, (first - 0.92, hot[1]), (first - 0.92, over), *((end - 0.62, over) for end in ends), dashed=dashed)
    back = first - 0.92
    points = [(end, foot) for end in reversed(ends)]
    if cold is None:
        pen.wire(GROUND, *points, (back, foot), (back, foot - 0.35))
        pen.ground((back, foot - 0.35))
    else:
        pen.wire(GROUND, *points, (back, foot), (back, cold[1]), cold, dashed=True)


def _fixed(pen: Pen, ref: str, hot: str, start: Point, end: Point) -> None:
    """Wires soldered to the speaker."""
    minus = next(t.at for t in pen.block.terminals if t.ref == ref and t.pin == "-")
    pen.wire(hot, start, end)
    turn = (minus[0] - 0.35, minus[1])
    pen.wire(pen.net(ref, "-"), minus, turn, (turn[0], FOOT))
    pen.ground((turn[0], FOOT), pen.net(ref, "-"))


def speaker(pen: Pen, ref: str, at: Point, *, drop: float = 0.58) -> tuple[Point, Point]:
    """A speaker with its plus terminal at `at`, minus `drop` lower. Returns both."""
    x, y = at
    minus = (x, y - drop)
    middle, owner = y - drop / 2, ("part", ref)
    half = drop / 2 + 0.14
    box = ((x, middle - half), (x, middle + half), (x + 0.32, middle + half), (x + 0.32, middle - half))
    horn = ((x + 0.32, middle + half), (x + 0.8, middle + half + 0.42), (x + 0.8, middle - half - 0.42), (x + 0.32, middle - half))
    room = Box(x, middle - half - 0.42, x + 0.8, middle + half + 0.42)
    pen.block.symbol(owner, "strokes", box, (room,), closed=True)
    pen.block.symbol(owner, "strokes", horn, closed=True)
    pen.block.terminal(ref, "+", pen.net(ref, "+"), at)
    pen.block.terminal(ref, "-", pen.net(ref, "-"), minus)
    pen.block.text(owner, (x - 0.1, y + 0.1), "+", "pin", "end")
    pen.drawn(ref)
    pen.block.lines(owner, (x + 1.0, middle), pen.rows(ref), "right")
    return at, minus

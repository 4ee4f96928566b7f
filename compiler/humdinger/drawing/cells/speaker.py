"""Speaker: load resistor, jack and speaker on the hot line; the plug's lead is dashed."""

from __future__ import annotations

from ...circuit.netlist import StageInstance
from ..common import other_net
from ..geometry import SIDE, Box, Point
from ..jacks import jack, jack_back, jack_ground
from ..pen import Pen, role

LINE = 6.6
FOOT = LINE - 2.9


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
    plug = role(stage, "jack")
    if plug is None:
        speaker(pen, stage.parts["speaker"], (x + 0.6, LINE))
        _fixed(pen, stage.parts["speaker"], hot, (x, LINE), (x + 0.6, LINE))
        return
    tags = x + 0.3
    pen.wire(hot, (x, LINE), (tags, LINE))
    back = jack(pen, plug, (tags + 1.83, LINE), mirror=True)
    jack_ground(pen, plug, back, LINE, FOOT, mirror=True)
    tip, sleeve = jack_back(pen, plug, (tags + 1.83, LINE), mirror=True)
    at = (tags + 3.0, LINE)
    plus, minus = speaker(pen, stage.parts["speaker"], at, drop=LINE - sleeve[1])
    pen.wire(hot, tip, plus, dashed=True)
    pen.wire(pen.net(stage.parts["speaker"], "-"), sleeve, minus, dashed=True)


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

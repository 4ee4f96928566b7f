"""Mains input: inlet, fuse and switch in the line, the switch's other pole in the neutral, protective earth on the inlet."""

from __future__ import annotations

from ...circuit.netlist import EARTH, StageInstance
from ...records import record
from ..chain import Link, draw_link, run, walk
from ..common import other_net
from ..geometry import Box, Point
from ..pen import Pen, role

LINE, NEUTRAL, EARTH_Y = 8.56, 6.04, 4.9
"""Heights of the conductors; the power transformer's primary stands on the first two."""
INLET = 1.15
"""Width of the inlet."""


def draw(pen: Pen, stage: StageInstance) -> None:
    """line and neutral on the right."""
    ref = stage.parts["inlet"]
    inlet(pen, ref)
    net = pen.net(ref, "L")
    at: Point = (INLET + 0.55, LINE)
    pen.wire(net, (INLET + 0.08, LINE), at)
    done = _neutral(pen, stage, pen.net(ref, "N"))
    links = walk(pen, stage, net, stage.ports["line"])
    shunts = [r for name in ("x-capacitor", "line-to-chassis-capacitor") if (r := role(stage, name))]
    while True:
        at, shunts = _shunts(pen, shunts, net, at)
        if not links:
            break
        at, net = run(pen, links[:1], net, at), links[0].net
        done = _second_pole(pen, stage, links[0].ref, done)
        links = links[1:]
    _ends(pen, stage, at, done)
    _earth(pen, ref)


def inlet(pen: Pen, ref: str) -> None:
    """A panel with three tags on its right."""
    owner = ("part", ref)
    low = EARTH_Y - 0.5
    corners = ((0.0, low), (0.0, LINE + 0.5), (INLET, LINE + 0.5), (INLET, low))
    pen.block.symbol(owner, "strokes", corners, (Box(0.0, low, INLET, LINE + 0.5),), closed=True, holds=True)
    for pin, y in (("L", LINE), ("N", NEUTRAL), ("PE", EARTH_Y)):
        pen.block.symbol(owner, "ring", ((INLET, y),), radius=0.08)
        pen.block.terminal(ref, pin, pen.net(ref, pin), (INLET + 0.08, y))
        pen.block.text(owner, (INLET - 0.18, y - 0.1), pin, "value", "end")
    pen.drawn(ref)
    pen.block.lines(owner, (0.0, LINE + 0.68), pen.rows(ref), "above-left")


@record
class Neutral:
    """How far the neutral is drawn: the net there, and the links still to come."""

    x: float
    net: str
    links: tuple[Link, ...]


def _neutral(pen: Pen, stage: StageInstance, net: str) -> Neutral:
    """The neutral at the inlet."""
    return Neutral(INLET + 0.08, net, tuple(walk(pen, stage, net, stage.ports["neutral"])))


def _second_pole(pen: Pen, stage: StageInstance, ref: str, done: Neutral) -> Neutral:
    """The neutral's pole of a switch right under the line's, with the dashed bar that moves both levers."""
    if not done.links or done.links[0].ref != ref:
        return done
    link = done.links[0]
    xs = sorted(t.at[0] for t in pen.block.terminals if t.ref == ref)
    a, b = (xs[0], NEUTRAL), (xs[-1], NEUTRAL)
    pen.wire(done.net, (done.x, NEUTRAL), a)
    pen.pole(ref, link.near, link.far, a, b, label="")
    bar = (xs[0] + xs[-1]) / 2 + 0.02
    pen.block.symbol(("part", ref), "strokes", ((bar, LINE + 0.2), (bar, NEUTRAL + 0.24)), lw=0.8, ls="3,2.4")
    return Neutral(b[0], link.net, done.links[1:])


def _shunts(pen: Pen, refs: list[str], net: str, at: Point) -> tuple[Point, list[str]]:
    """Capacitors from the line's net to the neutral or to earth. Returns where the line goes on, and what is left for later nets."""
    left = []
    for ref in refs:
        nets = {p.net for p in pen.part(ref).pins}
        if net not in nets:
            left.append(ref)
            continue
        far = other_net(pen, ref, net)
        x = at[0] + 0.35
        foot = NEUTRAL - 1.2 if far == EARTH else NEUTRAL
        pen.two(ref, (x, LINE), (x, foot), start=net, label="right", centre=(x, (LINE + NEUTRAL) / 2))
        if far == EARTH:
            pen.ground((x, foot), far)
        end = (x + 0.7 + pen.width(ref), LINE)
        pen.wire(net, at, end)
        at = end
    return at, left


def _ends(pen: Pen, stage: StageInstance, at: Point, done: Neutral) -> None:
    """Both conductors to the right edge."""
    x, net = done.x, done.net
    for link in done.links:  # what opens the neutral alone
        stop = (max(x + 0.4, at[0] - 1.9) + 1.9, NEUTRAL)
        pen.wire(net, (x, NEUTRAL), (stop[0] - 1.9, NEUTRAL))
        draw_link(pen, link, net, (stop[0] - 1.9, NEUTRAL), stop, "above")
        x, net = stop[0], link.net
    right = max(at[0], x + 0.3)
    pen.wire(stage.ports["line"], at, (right, LINE))
    pen.wire(net, (x, NEUTRAL), (right, NEUTRAL))
    for name, y in (("line", LINE), ("neutral", NEUTRAL)):
        pen.block.port(name, stage.ports[name], (right, y), "right")


def _earth(pen: Pen, ref: str) -> None:
    """Protective earth of the inlet to its symbol."""
    net = pen.net(ref, "PE")
    end: Point = (INLET + 0.6, EARTH_Y)
    pen.wire(net, (INLET + 0.08, EARTH_Y), end, (end[0], EARTH_Y - 0.3))
    pen.ground((end[0], EARTH_Y - 0.3), net)

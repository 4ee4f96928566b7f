"""Mains input: inlet, fuse and switch in the line, the switch's other pole in the neutral, protective earth on the inlet."""

from __future__ import annotations

from ...circuit.netlist import StageInstance, Switch
from ..geometry import Box, Point
from ..pen import Pen, role
from .chain import run, walk
from .common import other_net

LINE, NEUTRAL, EARTH_Y = 8.56, 6.04, 4.9
"""Heights of the conductors; the power transformer's primary stands on the first two."""
INLET = 1.15
"""Width of the inlet."""


def draw(pen: Pen, stage: StageInstance) -> None:
    """line and neutral on the right."""
    ref = stage.parts["inlet"]
    inlet(pen, ref)
    line, neutral = pen.net(ref, "L"), pen.net(ref, "N")
    start = INLET + 0.55
    links = walk(pen, stage, line, stage.ports["line"])
    pen.wire(line, (INLET + 0.08, LINE), (start, LINE))
    end = run(pen, links, line, (start, LINE))
    right = _neutral(pen, stage, neutral, end[0])
    right = _shunts(pen, stage, right)
    pen.wire(stage.ports["line"], end, (right, LINE))
    pen.block.port("line", stage.ports["line"], (right, LINE), "right")
    pen.block.port("neutral", stage.ports["neutral"], (right, NEUTRAL), "right")
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


def _neutral(pen: Pen, stage: StageInstance, neutral: str, right: float) -> float:
    """The neutral, with the second pole right under the first. Returns how far right both conductors reach."""
    out = stage.ports["neutral"]
    links = walk(pen, stage, neutral, out)
    x, net = INLET + 0.08, neutral
    for link in links:
        place = pole_place(pen, link.ref)
        a, b = place if place else (x + 0.4, x + 2.0)
        pen.wire(net, (x, NEUTRAL), (a, NEUTRAL))
        if isinstance(pen.part(link.ref), Switch):
            pen.pole(link.ref, link.near, link.far, (a, NEUTRAL), (b, NEUTRAL), label="")
            if place:
                _linkage(pen, link.ref, (a + b) / 2)
        else:
            pen.two(link.ref, (a, NEUTRAL), (b, NEUTRAL), start=net, label="above")
        x, net = b, link.net
    end = max(right, x + 0.3)
    pen.wire(out, (x, NEUTRAL), (end, NEUTRAL))
    return end


def pole_place(pen: Pen, ref: str) -> tuple[float, float] | None:
    """Where along the line a switch's first pole was drawn."""
    xs = sorted(t.at[0] for t in pen.block.terminals if t.ref == ref)
    return (xs[0], xs[-1]) if xs else None


def _linkage(pen: Pen, ref: str, x: float) -> None:
    """The dashed bar that moves both levers."""
    at = x + 0.02
    pen.block.symbol(("part", ref), "strokes", ((at, LINE + 0.2), (at, NEUTRAL + 0.24)), lw=0.8, ls="3,2.4")


def _shunts(pen: Pen, stage: StageInstance, x: float) -> float:
    """Capacitors across the line. Returns the next free x."""
    across = role(stage, "x-capacitor")
    if across:
        first = next(p.net for p in pen.part(across).pins)
        x = _room(pen, stage, x, x + 0.4)
        pen.two(across, (x, LINE), (x, NEUTRAL), start=first, label="right")
        x = _room(pen, stage, x, x + 0.6 + pen.width(across))
    leak = role(stage, "line-to-chassis-capacitor")
    if leak:
        line = next(p.net for p in pen.part(leak).pins)
        x = _room(pen, stage, x, x + 0.5)
        foot = NEUTRAL - 1.2
        pen.two(leak, (x, LINE), (x, foot), start=line, label="right", centre=(x, (LINE + NEUTRAL) / 2))
        pen.ground((x, foot), other_net(pen, leak, line))
        x = _room(pen, stage, x, x + 0.6 + pen.width(leak))
    return x


def _room(pen: Pen, stage: StageInstance, x: float, to: float) -> float:
    """Draws both conductors on to the right."""
    pen.wire(stage.ports["neutral"], (x, NEUTRAL), (to, NEUTRAL))
    return to


def _earth(pen: Pen, ref: str) -> None:
    """Protective earth of the inlet to its symbol."""
    net = pen.net(ref, "PE")
    end: Point = (INLET + 0.6, EARTH_Y)
    pen.wire(net, (INLET + 0.08, EARTH_Y), end, (end[0], EARTH_Y - 0.3))
    pen.ground((end[0], EARTH_Y - 0.3), net)

"""Fixed bias: winding, rectifier, filter, and the adjustable divider from which the grids are fed.

Test resistors in the output cathodes stand under their tubes, in the cell of the output stage.
"""

from __future__ import annotations

from ...circuit.netlist import StageInstance
from ..chain import run, walk
from ..common import other_net
from ..geometry import SIDE, Point
from ..pen import Pen, role

LINE = 8.6
STEP = 1.75
"""Height of one part of the divider."""


def draw(pen: Pen, stage: StageInstance) -> None:
    """The winding on the left, the feed to the grid leaks on the right."""
    ac, reservoir, negative = (stage.ports[name] for name in ("ac", "reservoir", "negative"))
    pen.block.port("bias-a", ac, (0.0, LINE), "left")
    pen.wire(ac, (0.0, LINE), (0.3, LINE))
    at = run(pen, walk(pen, stage, ac, reservoir), ac, (0.3, LINE), slot=1.5)
    net, number = reservoir, 1
    while True:
        x = at[0] + 0.3
        pen.wire(net, at, (x, LINE))
        at = _shunt(pen, stage, number, net, (x, LINE))
        through = role(stage, f"filter-resistor-{number}")
        if through is None:
            break
        end = (at[0] + max(1.9, pen.width(through, level=True) + 0.3), LINE)
        pen.two(through, at, end, start=net, label="above")
        net, at, number = other_net(pen, through, net), end, number + 1
        if role(stage, f"filter-capacitor-{number}") is None:
            break
    _divider(pen, stage, negative, at)


def _shunt(pen: Pen, stage: StageInstance, number: int, net: str, at: Point) -> Point:
    """A filter capacitor with its plus on ground. Returns where the line goes on."""
    ref = role(stage, f"filter-capacitor-{number}")
    if ref is None:
        return at
    foot = LINE - 2.6
    pen.two(ref, at, (at[0], foot), start=net, label="right")
    pen.ground((at[0], foot), other_net(pen, ref, net))
    pen.node_volts(net, (at[0] - 0.15, LINE - 0.6))
    end = (at[0] + max(0.5, SIDE + pen.width(ref) - 1.2), LINE)
    pen.wire(net, at, end)
    return end


def _divider(pen: Pen, stage: StageInstance, negative: str, at: Point) -> None:
    """Down from the negative line: resistor, pot, resistor to ground; the wiper feeds the grids."""
    upper, pot, lower = role(stage, "to-negative"), role(stage, "adjustment"), role(stage, "to-ground")
    labels = [pen.width(r) for r in (upper, pot, lower) if r]
    x = at[0] + 0.5 + SIDE + max(labels, default=0.0)
    pen.wire(negative, at, (x, LINE))
    y, net = LINE, negative
    wiper: Point | None = None
    for ref in (upper, pot, lower):
        if ref is None:
            continue
        low = y - STEP
        if ref == pot:
            wiper = pen.pot(ref, (x, y), (x, low), first="ccw", label="left")
            net = pen.net(ref, "cw")
        else:
            pen.two(ref, (x, y), (x, low), start=net, label="left")
            net = other_net(pen, ref, net)
        y = low
    pen.ground((x, y), net)
    if wiper is not None:
        _feed(pen, stage, negative, (x, LINE), wiper)


def _feed(pen: Pen, stage: StageInstance, negative: str, top: Point, wiper: Point) -> None:
    """Fail-safe resistor from the wiper up to the negative line, then the feed resistor and its capacitor."""
    net, out = stage.ports["wiper"], stage.ports["feed"]
    x, y = wiper[0] + 0.5, wiper[1]
    pen.wire(net, wiper, (x, y))
    safe = role(stage, "fail-safe")
    if safe:
        pen.wire(negative, top, (x, LINE))
        pen.two(safe, (x, LINE), (x, y), start=negative, label="right")
    at: Point = (x, y)
    feed = role(stage, "feed")
    if feed and net != out:
        begin = (x + 0.3, y)
        pen.wire(net, at, begin)
        at = (begin[0] + max(1.9, pen.width(feed, level=True) + 0.3), y)
        pen.two(feed, begin, at, start=net, label="below")
    capacitor = role(stage, "feed-capacitor")
    end = (at[0] + 0.6, y)
    pen.wire(out, at, (at[0] + 0.3, y), end)
    if capacitor:
        here = at[0] + 0.3
        pen.two(capacitor, (here, y), (here, y - 2.2), start=out, label="right")
        pen.ground((here, y - 2.2), other_net(pen, capacitor, out))
    pen.node_volts(out, (at[0] + 0.05, y + 0.14), "start")
    pen.block.port("feed", out, end, "right")

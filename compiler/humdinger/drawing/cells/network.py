"""Network: the way from `in` to `out` along one line, what leads from it to ground hanging from it, every other part between two flags."""

from __future__ import annotations

from ...circuit.netlist import GROUND, Pot, StageInstance
from ..chain import Link, draw_link, walk
from ..common import other_net
from ..geometry import LOW, OUT, SIDE
from ..pen import Pen

TOP = 5.3
"""Height of the upper flags of parts that stand apart, under the line."""
NEXT = 0.6
"""Between what hangs side by side."""
STOREY = 2.0
"""From one parallel part up to the next: the body, and four rows of label."""


def draw(pen: Pen, stage: StageInstance) -> None:
    """In and out at plate height; a network without an output begins with flags only."""
    source, out = stage.ports.get("in", ""), stage.ports.get("out", "")
    links = walk(pen, stage, source, out) if source and out else []
    left = [ref for ref in stage.parts.values() if ref not in {link.ref for link in links}]
    if not links:
        _apart(pen, left, 0.3)
        return
    pen.block.port("in", source, (0.0, OUT), "left")
    x, net = _hang(pen, left, source, 0.0), source
    for link in links:
        x = _along(pen, link, net, x, left)
        net = link.net
        x = _hang(pen, left, net, x)
    end = max(x + 0.4, _apart(pen, left, x + 0.5) if left else 0.0)
    pen.wire(out, (x, OUT), (end, OUT))
    pen.block.port("out", out, (end, OUT), "right")


def _along(pen: Pen, link: Link, net: str, x: float, left: list[str]) -> float:
    """A part of the way, and what lies parallel to it one above the other; taken from `left`. Returns where it ends."""
    beside = [ref for ref in left if {pin.net for pin in pen.part(ref).pins} == {net, link.net} and not isinstance(pen.part(ref), Pot)]
    way = max([1.9, *(pen.width(ref, level=True) + 0.35 for ref in (link.ref, *beside))])
    start, end = (x + 0.3, x + 0.3 + way) if beside else (x, x + way)
    pen.wire(net, (x, OUT), (start, OUT))
    draw_link(pen, link, net, (start, OUT), (end, OUT), "above")
    y = OUT
    for ref in beside:
        left.remove(ref)
        low, y = y, y + STOREY
        pen.wire(net, (start, low), (start, y))
        pen.two(ref, (start, y), (end, y), start=net, label="above")
        pen.wire(link.net, (end, low), (end, y))
    return end


def _hang(pen: Pen, left: list[str], net: str, x: float) -> float:
    """What leads from this node to ground with nothing between; taken from `left`. Returns how far right the line is drawn."""
    for ref in [ref for ref in left if _shunts(pen, ref, net)]:
        left.remove(ref)
        at = x + 0.35
        pen.wire(net, (x, OUT), (at, OUT))
        pen.two(ref, (at, OUT), (at, LOW), start=net, label="right")
        pen.ground((at, LOW))
        far = at + SIDE + pen.width(ref) + NEXT - 0.35
        pen.wire(net, (at, OUT), (far, OUT))
        x = far
    return x


def _shunts(pen: Pen, ref: str, net: str) -> bool:
    part = pen.part(ref)
    return not isinstance(part, Pot) and net in {pin.net for pin in part.pins} and other_net(pen, ref, net) == GROUND


def _apart(pen: Pen, refs: list[str], x: float) -> float:
    """Parts side by side, each end with the name of its net. Returns how far right they reach."""
    for ref in refs:
        pins = [(pin.name, pin.net) for pin in pen.part(ref).pins]
        pot = isinstance(pen.part(ref), Pot)
        upper, lower = (pins[2], pins[0]) if pot else (pins[0], pins[1])
        if upper[1] == GROUND:
            upper, lower = lower, upper
        axis = x + (pen.width(ref) + SIDE if pot else 0.3)
        reach = axis + SIDE + (0.0 if pot else pen.width(ref))
        if pot:
            wiper = pen.pot(ref, (axis, TOP), (axis, LOW + 0.5), first=upper[0], label="left")
            reach = max(reach, wiper[0] + _named(pen, pins[1][1], wiper))
        else:
            pen.two(ref, (axis, TOP), (axis, LOW + 0.5), start=upper[1], label="right")
        for net, y in ((upper[1], TOP), (lower[1], LOW + 0.5)):
            reach = max(reach, axis + _named(pen, net, (axis, y)))
        x = reach + NEXT
    return x


def _named(pen: Pen, net: str, at: tuple[float, float]) -> float:
    """A ground symbol or a flag to the right of a point. Returns how far it reaches."""
    if net == GROUND:
        pen.ground(at)
        return 0.3
    end = (at[0] + 0.4, at[1])
    pen.wire(net, at, end)
    pen.flag(net, end, "right")
    return 0.4 + pen.flag_width(net)

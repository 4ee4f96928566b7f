"""Parts in series along a line: found by walking the nets, drawn one after the other."""

from __future__ import annotations

from ..circuit.netlist import EARTH, GROUND, StageInstance, Switch
from ..records import record
from .geometry import Point
from .pen import Pen

SLOT = 1.9
"""Least room along the line for one part."""


@record
class Link:
    """One part (or pole of a switch) on the way: entered at one terminal, left at the other."""

    ref: str
    near: str
    far: str
    net: str
    """The net behind it."""


def walk(pen: Pen, stage: StageInstance, start: str, end: str, *, avoid: tuple[str, ...] = (GROUND, EARTH)) -> list[Link]:
    """The parts of a stage between two nets, in order; empty when the nets are one or not joined by this stage."""
    edges = [edge for ref in stage.parts.values() for edge in _edges(pen, ref)]
    queue: list[tuple[str, list[Link]]] = [(start, [])]
    seen = {start}
    while queue:
        net, way = queue.pop(0)
        if net == end:
            return way
        for ref, (pin1, net1), (pin2, net2) in edges:
            for near, here, far, there in ((pin1, net1, pin2, net2), (pin2, net2, pin1, net1)):
                if here == net and there not in seen and (there == end or there not in avoid):
                    seen.add(there)
                    queue.append((there, [*way, Link(ref, near, far, there)]))
    return []


def _edges(pen: Pen, ref: str) -> list[tuple[str, tuple[str, str], tuple[str, str]]]:
    """The ways through a part: one for two terminals, one per pole of a switch."""
    part = pen.part(ref)
    pins = [(p.name, p.net) for p in part.pins]
    if isinstance(part, Switch):
        return [(ref, pins[i], pins[i + 1]) for i in range(0, len(pins) - 1, 2)]
    return [(ref, pins[0], pins[1])] if len(pins) == 2 else []


def run(pen: Pen, links: list[Link], start: str, at: Point, *, label: str = "above", slot: float = SLOT) -> Point:
    """Draws links along a level line to the right from `at`. Returns where the line ends."""
    x, y = at
    net = start
    for link in links:
        way = max(slot, pen.width(link.ref, level=True) + (0.6 if label == "below" else 0.35))
        draw_link(pen, link, net, (x, y), (x + way, y), label)
        x, net = x + way, link.net
    return (x, y)


def draw_link(pen: Pen, link: Link, net: str, a: Point, b: Point, label: str) -> None:
    """One part between two points."""
    if isinstance(pen.part(link.ref), Switch):
        pen.pole(link.ref, link.near, link.far, a, b, label=label)
    else:
        pen.two(link.ref, a, b, start=net, label=label)

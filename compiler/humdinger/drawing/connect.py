"""What the geometry of a sheet says about connections: where dots belong, where wires hop, which things touch.

Conductors are wires and the leads of parts. Two conductors of one net join where an end of one lies on the other.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable

from .block import Block
from .geometry import EPS, Line, Point, crossing, on_line, same

HOP = 0.19
"""Radius of a hop."""


def conductors(block: Block) -> dict[str, list[Line]]:
    """Net -> its pieces: wires and the leads of parts that end on it. Order is that of drawing."""
    found: dict[str, list[Line]] = defaultdict(list)
    for wire in block.wires:
        found[wire.net] += wire.lines
    for terminal in block.terminals:
        if terminal.lead is not None:
            found[terminal.net].append(terminal.lead)
    return dict(found)


def ends(block: Block) -> dict[str, list[Point]]:
    """Net -> points where something without a lead sits: tube pins, coil ends, marks."""
    found: dict[str, list[Point]] = defaultdict(list)
    seen = {(t.ref, t.at) for t in block.terminals if t.lead is not None}
    for terminal in block.terminals:
        if terminal.lead is None and (terminal.ref, terminal.at) not in seen:
            seen.add((terminal.ref, terminal.at))
            found[terminal.net].append(terminal.at)
    for mark in block.marks:
        if mark.kind != "name":  # a name stands on its wire and ends nothing
            found[mark.net].append(mark.at)
    return dict(found)


def dots(block: Block) -> list[tuple[str, Point]]:
    """(net, point) of every junction: three or more conductors meeting. A wire that passes counts as two."""
    pieces, fixed = conductors(block), ends(block)
    found: list[tuple[str, Point]] = []
    for net in sorted(set(pieces) | set(fixed)):
        lines, points = pieces.get(net, []), fixed.get(net, [])
        for point in distinct([p for line in lines for p in line] + points):
            degree = sum(1 for p in points if same(p, point))
            for line in lines:
                if same(line[0], point) or same(line[1], point):
                    degree += 1
                elif on_line(point, line):
                    degree += 2
            if degree >= 3:
                found.append((net, point))
    return found


def hops(block: Block) -> dict[Line, list[Point]]:
    """Level wire piece -> where it jumps over an upright conductor of another net."""
    pieces = conductors(block)
    upright = [(net, line) for net, lines in pieces.items() for line in lines if abs(line[0][0] - line[1][0]) < EPS]
    found: dict[Line, list[Point]] = {}
    for wire in block.wires:
        for line in wire.lines:
            if abs(line[0][1] - line[1][1]) > EPS:
                continue
            left, right = sorted((line[0][0], line[1][0]))
            near = [(net, other) for net, other in upright if left < other[0][0] < right and net != wire.net]
            points = [at for _, other in near if (at := crossing(line, other))]
            if points:
                found[line] = sorted(distinct(points))
    return found


def distinct(points: Iterable[Point]) -> list[Point]:
    """The points without repeats, in order."""
    seen: set[tuple[float, float]] = set()
    kept = []
    for point in points:
        key = (round(point[0], 5), round(point[1], 5))
        if key not in seen:
            seen.add(key)
            kept.append(point)
    return kept

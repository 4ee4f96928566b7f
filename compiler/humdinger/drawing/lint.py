"""Faults of a laid-out sheet that a reader would stumble over. Tests demand none; the eye judges the rest.

A part that would be shorter than its symbol never gets this far: the pen refuses it.
"""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Iterable, Iterator
from itertools import combinations

from ..records import record
from .block import Block, Mark, Owner, Symbol, Text, mark_box
from .connect import HOP, conductors, hops
from .geometry import EPS, MAX_WIDTH, UNIT_MM, Bins, Box, Line, crossing, span
from .sheet import MARGIN, STRIP, WIDEST, Sheet

LABEL_GAP = 1.2 / UNIT_MM
"""Least distance between the labels of two parts: 1.2 mm on paper."""
LINE_GAP = 0.05
"""Least distance of a label or a voltage from a conductor, 0.4 mm on paper: closer, it reads as underlined. Pin numbers may be nearer."""
SKIN = 0.03
"""Bodies are taken this much smaller, so that a conductor may end on their edge."""
EDGE = 0.3
"""Nothing comes closer to the border than this."""

LABELS = ("ref", "value", "name")


@record
class Fault:
    """kind: "text/text", "text/line", "text/body", "body/body", "wire/body", "overlap", "crossing", "hop", "off-sheet"."""

    kind: str
    what: str


@record
class Solid:
    """Something with a surface. radius > 0: round, around the box's centre. holds: texts of its owner stand inside on purpose."""

    owner: Owner
    box: Box
    radius: float = 0.0
    holds: bool = False
    name: str = ""

    def meets(self, box: Box, gap: float = 0.0) -> bool:
        """Whether a box comes closer than `gap`."""
        if not self.radius:
            return self.box.meets(box, gap)
        x, y = self._centre
        near = (min(max(x, box.left), box.right), min(max(y, box.bottom), box.top))
        return math.dist((x, y), near) < self.radius + gap - EPS

    def cut_by(self, line: Line) -> bool:
        """Whether a line passes through its inside."""
        if not self.radius:
            return self.box.grown(-SKIN).cut_by(line)
        x, y = self._centre
        box = span(line)
        near = (min(max(x, box.left), box.right), min(max(y, box.bottom), box.top))
        return math.dist((x, y), near) < self.radius - SKIN

    @property
    def _centre(self) -> tuple[float, float]:
        return ((self.box.left + self.box.right) / 2, (self.box.bottom + self.box.top) / 2)


def lint(sheet: Sheet) -> list[Fault]:
    """All faults of a sheet, in a fixed order."""
    content = sheet.content
    solids = [*_bodies(content.symbols), *_marks(content.marks)]
    pieces = [(net, line) for net, lines in conductors(content).items() for line in lines]
    return [
        *_texts([*content.texts, *sheet.strip.texts(sheet.width - MARGIN)]),
        *_text_line(content.texts, pieces),
        *_text_solid(content.texts, solids),
        *_solid_solid(solids),
        *_wire_solid(content, solids),
        *_overlaps(pieces),
        *_crossings(content, pieces),
        *_hops(content, solids),
        *_off_sheet(sheet),
    ]


def _bodies(symbols: Iterable[Symbol]) -> Iterator[Solid]:
    for symbol in symbols:
        for body in symbol.bodies:
            radius = (body.right - body.left) / 2 if symbol.kind == "tube" else 0.0
            yield Solid(symbol.owner, body, radius, bool(symbol.params.get("holds")), symbol.owner[1])


def _marks(marks: Iterable[Mark]) -> Iterator[Solid]:
    for mark in marks:
        yield Solid(("net", mark.net), mark_box(mark), 0.0, mark.kind == "flag", f"{mark.kind} {mark.net}")


def _texts(texts: list[Text]) -> Iterator[Fault]:
    boxes = [t.box for t in texts]
    bins = Bins(boxes)
    for i, (a, box) in enumerate(zip(texts, boxes, strict=True)):
        for j in bins.near(box, LABEL_GAP):
            if j <= i:
                continue
            b, other = texts[j], boxes[j]
            apart = LABEL_GAP if a.owner != b.owner and a.style in LABELS and b.style in LABELS else 0.0
            if box.meets(other, apart):
                yield Fault("text/text", f"{a.string!r} of {a.owner[1]} and {b.string!r} of {b.owner[1]}")


def _text_line(texts: list[Text], pieces: list[tuple[str, Line]]) -> Iterator[Fault]:
    bins = Bins(span(line) for _, line in pieces)
    for text in texts:
        box = text.box.grown(LINE_GAP if text.style in (*LABELS, "volts") else -0.02)
        for index in bins.near(box):
            net, line = pieces[index]
            if box.cut_by(line):
                yield Fault("text/line", f"{text.string!r} of {text.owner[1]} on a conductor of {net}")


def _text_solid(texts: list[Text], solids: list[Solid]) -> Iterator[Fault]:
    bins = Bins(solid.box for solid in solids)
    for text in texts:
        box = text.box.grown(-0.02)
        for solid in (solids[index] for index in bins.near(box)):
            if solid.holds and solid.owner == text.owner:
                continue
            if solid.meets(box):
                yield Fault("text/body", f"{text.string!r} of {text.owner[1]} on {solid.name}")


def _solid_solid(solids: list[Solid]) -> Iterator[Fault]:
    bins = Bins(solid.box for solid in solids)
    for i, a in enumerate(solids):
        for j in bins.near(a.box):
            b = solids[j]
            if j <= i or (a.owner == b.owner and a.owner[0] == "part"):
                continue
            first, second = a.box.grown(-SKIN), b.box.grown(-SKIN)
            if a.meets(second) if a.radius else b.meets(first):
                yield Fault("body/body", f"{a.name} and {b.name}")


def _wire_solid(content: Block, solids: list[Solid]) -> Iterator[Fault]:
    runs = [(("net", w.net), line) for w in content.wires for line in w.lines]
    runs += [(s.owner, line) for s in content.symbols for line in s.leads]
    bins = Bins(solid.box for solid in solids)
    for owner, line in runs:
        room = span(line).grown(SKIN)
        for solid in (solids[index] for index in bins.near(room)):
            if solid.owner == owner and owner[0] == "part":
                continue
            if solid.box.meets(room) and solid.cut_by(line):
                yield Fault("wire/body", f"conductor of {owner[1]} through {solid.name}")


def _overlaps(pieces: list[tuple[str, Line]]) -> Iterator[Fault]:
    """Two conductors on top of each other: drawn twice, or worse, two nets on one line."""
    lanes: dict[tuple[str, float], list[tuple[str, float, float]]] = defaultdict(list)
    for net, ((ax, ay), (bx, by)) in pieces:
        if abs(ay - by) < EPS:
            lanes["level", round(ay, 4)].append((net, min(ax, bx), max(ax, bx)))
        elif abs(ax - bx) < EPS:
            lanes["upright", round(ax, 4)].append((net, min(ay, by), max(ay, by)))
    for lane in lanes.values():
        for (net, a, b), (other, c, d) in combinations(lane, 2):
            if min(b, d) - max(a, c) > 0.01:
                yield Fault("overlap", f"conductors of {net} and {other} on one line")


def _crossings(content: Block, pieces: list[tuple[str, Line]]) -> Iterator[Fault]:
    """Crossings that no hop can make clear: of one net with itself, or of two leads."""
    wires = {line for w in content.wires for line in w.lines}
    upright = [(net, line) for net, line in pieces if abs(line[0][0] - line[1][0]) < EPS]
    bins = Bins(span(line) for _, line in upright)
    for net, level in pieces:
        if abs(level[0][1] - level[1][1]) > EPS:
            continue
        for index in bins.near(span(level)):
            other, line = upright[index]
            if crossing(level, line) is None:
                continue
            if net == other:
                yield Fault("crossing", f"{net} crosses itself without joining")
            elif level not in wires:
                yield Fault("crossing", f"a lead on {net} crosses {other}")


def _hops(content: Block, solids: list[Solid]) -> Iterator[Fault]:
    for line, points in hops(content).items():
        left, right = sorted((line[0][0], line[1][0]))
        for index, (x, y) in enumerate(points):
            if x - HOP < left + 0.05 or x + HOP > right - 0.05:
                yield Fault("hop", f"no room for a hop at ({x:.2f}, {y:.2f})")
            if index and x - points[index - 1][0] < 2 * HOP + 0.1:
                yield Fault("hop", f"two hops run together at ({x:.2f}, {y:.2f})")
            arc = Box(x - HOP, y, x + HOP, y + HOP)
            for solid in solids:
                if solid.meets(arc):
                    yield Fault("hop", f"a hop touches {solid.name}")
            for text in content.texts:
                if text.box.meets(arc):
                    yield Fault("hop", f"a hop touches {text.string!r} of {text.owner[1]}")


def _off_sheet(sheet: Sheet) -> Iterator[Fault]:
    room = Box(EDGE, STRIP + EDGE, sheet.width - EDGE, sheet.height - EDGE)
    box = sheet.content.extent()
    most = WIDEST + 2 * MARGIN if sheet.name == "wide" else MAX_WIDTH
    if sheet.width > most + EPS:
        yield Fault("off-sheet", f"{sheet.width:.1f} units are wider than paper")
    if box.left < room.left or box.right > room.right or box.bottom < room.bottom or box.top > room.top:
        yield Fault("off-sheet", f"content {box} does not fit {room}")

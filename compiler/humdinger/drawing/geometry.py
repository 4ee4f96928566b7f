"""Points, boxes and the measures of a schematic sheet. One unit is 8.5 mm on paper; y goes up.

The heights are those of a row of signal stages: parts of one kind stand on one line across the whole sheet, so the eye can follow it.
"""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Iterable
from functools import cache

from ..records import record

Point = tuple[float, float]
Line = tuple[Point, Point]

UNIT_MM = 8.5
PX = UNIT_MM / 25.4 * 72
"""svg user units (1/72 inch) per sheet unit."""

ARROW = 9.4
OUT = 6.6
GRID = 5.0
CATHODE = 3.45
LOW = 0.9
"""B+ arrows, plate nodes and signal OUT line, control grids, cathode nodes, local grounds: heights in a row of about 10 units."""

MAX_WIDTH = 31.2
"""Widest sheet: 265.2 mm, what Letter on its side takes at full size between margins of 7 mm."""

MAX_HEIGHT = 22.4
"""Tallest sheet: 190.4 mm, what A4 on its side takes at full size between margins of 9.5 and 9 mm."""

SIDE = 0.42
"""From the axis of an upright part to its label."""

EPS = 1e-6


@record
class TextStyle:
    """Size in svg user units (points on paper at true size), weight and colour variable."""

    size: float
    bold: bool = False
    colour: str = "ink"

    @property
    def pitch(self) -> float:
        """Line spacing in sheet units."""
        return self.size * 1.2 / PX


STYLES = {
    "ref": TextStyle(7.6, bold=True),
    "value": TextStyle(7.6),
    "name": TextStyle(7.6, bold=True),
    "volts": TextStyle(7.2, bold=True, colour="volt"),
    "flag": TextStyle(7.2),
    "pin": TextStyle(5.8),
    "note": TextStyle(6.4),
    "title": TextStyle(10.0, bold=True),
}


@cache
def text_width(string: str, style: str) -> float:
    """Width in sheet units. schemdraw's table is within -4..+2 % of real widths of a common sans (measured); bold is about 7 % wider."""
    from .schemdraw_loader import load

    load()
    from schemdraw.backends.svgtext import string_width

    look = STYLES[style]
    return string_width(string, look.size, "Arial") / PX * (1.07 if look.bold else 1.02)


@record
class Box:
    """An upright rectangle."""

    left: float
    bottom: float
    right: float
    top: float

    def moved(self, dx: float, dy: float) -> Box:
        """The same box elsewhere."""
        return Box(self.left + dx, self.bottom + dy, self.right + dx, self.top + dy)

    def grown(self, by: float) -> Box:
        """Larger (or smaller) by the same margin on every side."""
        return Box(self.left - by, self.bottom - by, self.right + by, self.top + by)

    def meets(self, other: Box, gap: float = 0.0) -> bool:
        """Whether the boxes come closer to each other than `gap`."""
        return (
            self.left - gap < other.right - EPS
            and other.left < self.right + gap - EPS
            and self.bottom - gap < other.top - EPS
            and other.bottom < self.top + gap - EPS
        )

    def cut_by(self, line: Line) -> bool:
        """Whether an upright or level line passes through the inside. Slanted lines are taken as their box."""
        (ax, ay), (bx, by) = line
        return (
            self.left + EPS < max(ax, bx)
            and min(ax, bx) < self.right - EPS
            and self.bottom + EPS < max(ay, by)
            and min(ay, by) < self.top - EPS
        )


class Bins:
    """Boxes sorted into upright strips of a sheet, so that only neighbours are compared: a wide sheet has a thousand of them."""

    STRIP = 1.5

    def __init__(self, boxes: Iterable[Box]):
        self.found: dict[int, list[int]] = defaultdict(list)
        for index, box in enumerate(boxes):
            for strip in self._strips(box):
                self.found[strip].append(index)

    def near(self, box: Box, gap: float = 0.0) -> list[int]:
        """Indices of the boxes that share a strip with this one, in order."""
        strips = self._strips(box.grown(gap))
        if len(strips) == 1:
            return self.found.get(strips[0], [])
        return sorted({index for strip in strips for index in self.found.get(strip, ())})

    def _strips(self, box: Box) -> range:
        return range(math.floor(box.left / self.STRIP), math.floor(box.right / self.STRIP) + 1)


def around(boxes: Iterable[Box]) -> Box:
    """The smallest box around all. Raises ValueError when there is none."""
    found = list(boxes)
    return Box(min(b.left for b in found), min(b.bottom for b in found), max(b.right for b in found), max(b.top for b in found))


def span(points: Iterable[Point]) -> Box:
    """The smallest box around points."""
    return around(Box(x, y, x, y) for x, y in points)


def on_line(point: Point, line: Line) -> bool:
    """Whether a point lies on an upright or level line, ends included."""
    (ax, ay), (bx, by) = line
    return (
        min(ax, bx) - EPS <= point[0] <= max(ax, bx) + EPS
        and min(ay, by) - EPS <= point[1] <= max(ay, by) + EPS
        and (abs(ax - bx) < EPS or abs(ay - by) < EPS)
    )


def same(a: Point, b: Point) -> bool:
    """Whether two points are one."""
    return abs(a[0] - b[0]) < EPS and abs(a[1] - b[1]) < EPS


def crossing(level: Line, upright: Line) -> Point | None:
    """Where a level line crosses an upright one, both strictly inside; None when they do not."""
    (ax, ay), (bx, by) = level
    (cx, cy), (dx, dy) = upright
    if abs(ay - by) > EPS or abs(cx - dx) > EPS:
        return None
    if min(ax, bx) + EPS < cx < max(ax, bx) - EPS and min(cy, dy) + EPS < ay < max(cy, dy) - EPS:
        return (cx, ay)
    return None

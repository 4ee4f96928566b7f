"""A sketch in millimetres, for what is drawn to scale: on the paper of paper.py, with a memory.

It keeps the boxes of what it wrote, so that a lint can find text on text, text on a body and text on a line.
"""

from __future__ import annotations

import xml.etree.ElementTree as ET
from itertools import pairwise

from ..records import record
from .paper import frame, mm, text_mm
from .style import colour

Point = tuple[float, float]

_ASCENT, _DESCENT = 0.74, 0.22


@record
class Area:
    """What something takes up: left, top, right, bottom. kind: "text", "body", "band", "turret". owner: what it belongs to."""

    kind: str
    owner: str
    name: str
    left: float
    top: float
    right: float
    bottom: float

    def meets(self, other: Area, gap: float = 0.0) -> bool:
        """Whether two come closer than a gap."""
        return (
            self.left < other.right + gap
            and other.left < self.right + gap
            and self.top < other.bottom + gap
            and other.top < self.bottom + gap
        )


@record
class Stroke:
    """A straight line. kind: "lead", "wire", "link", "edge"."""

    kind: str
    owner: str
    start: Point
    end: Point


class Sketch:
    """A drawing in the making."""

    def __init__(self, id: str, width: float, height: float, title: str, description: str, css: str) -> None:
        self.width, self.height = width, height
        self.areas: list[Area] = []
        self.strokes: list[Stroke] = []
        self.root = frame(id, title, description, width, height)
        self.root.set("class", "sch")
        ET.SubElement(self.root, "style").text = css

    def group(self, **attributes: str) -> ET.Element:
        """A group; `class_` and `data_x` stand for class and data-x."""
        return ET.SubElement(self.root, "g", {key.rstrip("_").replace("_", "-"): value for key, value in attributes.items()})

    def rect(self, at: ET.Element, area: Area, fill: str, *, radius: float = 0.0, stroke: str = "ink", width: float = 0.25) -> None:
        """A filled rectangle; its area is kept when it is a body or a band on one."""
        if area.kind in ("body", "band"):
            self.areas.append(area)
        attributes = {
            "x": mm(area.left),
            "y": mm(area.top),
            "width": mm(area.right - area.left),
            "height": mm(area.bottom - area.top),
            "fill": fill,
        }
        if radius:
            attributes["rx"] = mm(radius)
        if stroke:
            attributes |= {"stroke": colour(stroke), "stroke-width": mm(width)}
        ET.SubElement(at, "rect", attributes)

    def circle(self, at: ET.Element, centre: Point, radius: float, fill: str, *, owner: str = "", kind: str = "") -> None:
        """A filled circle; its area is kept when it has a kind."""
        x, y = centre
        if kind:
            self.areas.append(Area(kind, owner, owner, x - radius, y - radius, x + radius, y + radius))
        ET.SubElement(
            at,
            "circle",
            {"cx": mm(x), "cy": mm(y), "r": mm(radius), "fill": fill, "stroke": colour("ink"), "stroke-width": "0.25"},
        )

    def line(
        self,
        at: ET.Element,
        points: list[Point],
        kind: str,
        owner: str,
        *,
        width: float,
        stroke: str = "",
        dashes: str = "",
        keep: bool = True,
    ) -> None:
        """A polyline."""
        if keep:
            self.strokes += [Stroke(kind, owner, a, b) for a, b in pairwise(points)]
        attributes = {
            "points": " ".join(f"{mm(x)},{mm(y)}" for x, y in points),
            "fill": "none",
            "stroke": stroke or colour("ink"),
            "stroke-width": mm(width),
            "stroke-linejoin": "round",
        }
        if dashes:
            attributes["stroke-dasharray"] = dashes
        ET.SubElement(at, "polyline", attributes)

    def hit(self, at: ET.Element, points: list[Point], shut: bool = False) -> None:
        """What a pointer can hit, and what is seen of it when it is lit."""
        way = [*points, points[0]] if shut else points
        ET.SubElement(at, "polyline", {"class": "hit", "fill": "none", "points": " ".join(f"{mm(x)},{mm(y)}" for x, y in way)})

    def text(
        self,
        at: ET.Element,
        string: str,
        x: float,
        y: float,
        size: float,
        owner: str,
        *,
        anchor: str = "start",
        bold: bool = False,
        fill: str = "",
    ) -> None:
        """A line of text with its baseline at y."""
        wide = text_mm(string, size, bold=bold)
        left = {"start": x, "middle": x - wide / 2, "end": x - wide}[anchor]
        self.areas.append(Area("text", owner, string, left, y - _ASCENT * size, left + wide, y + _DESCENT * size))
        attributes = {"x": mm(x), "y": mm(y), "font-size": mm(size), "fill": fill or colour("ink")}
        if anchor != "start":
            attributes["text-anchor"] = anchor
        if bold:
            attributes["font-weight"] = "bold"
        ET.SubElement(at, "text", attributes).text = string

    def svg(self) -> str:
        """The drawing as text."""
        return ET.tostring(self.root, encoding="unicode")


def faults(sketch: Sketch, gap: float = 0.2) -> list[str]:
    """What a reader would stumble over: text on text, on a body or terminal of something else, on a line, or off the sheet."""
    found: list[str] = []
    texts = [a for a in sketch.areas if a.kind == "text"]
    others = [a for a in sketch.areas if a.kind not in ("text", "band")]
    bands = [a for a in sketch.areas if a.kind == "band"]
    for i, a in enumerate(texts):
        found += [f"{a.name!r} on {b.name!r}" for b in texts[:i] if a.meets(b, gap)]
        found += [
            f"{a.name!r} on the {b.kind} of {b.owner}" for b in others if not (b.kind == "body" and b.owner == a.owner) and a.meets(b)
        ]
        found += [f"{a.name!r} on a band of {b.owner}" for b in bands if a.meets(b)]
        found += [f"{a.name!r} on a {s.kind} of {s.owner}" for s in sketch.strokes if _passes(s, a)]
        if a.left < 0 or a.top < 0 or a.right > sketch.width or a.bottom > sketch.height:
            found.append(f"{a.name!r} hangs off the sheet")
        body = next((b for b in others if b.kind == "body" and b.owner == a.owner and a.meets(b)), None)
        if body is not None and (a.left < body.left or a.right > body.right or a.top < body.top or a.bottom > body.bottom):
            found.append(f"{a.name!r} is larger than the body of {a.owner}")
    for i, a in enumerate(others):
        found += [f"{a.kind} of {a.owner} on {b.kind} of {b.owner}" for b in others[:i] if a.meets(b, -0.05)]
    return found


def _passes(stroke: Stroke, area: Area) -> bool:
    """Whether a line runs through an area: clipped against its box."""
    (ax, ay), (bx, by) = stroke.start, stroke.end
    low, high = 0.0, 1.0
    for start, delta, least, most in ((ax, bx - ax, area.left, area.right), (ay, by - ay, area.top, area.bottom)):
        if abs(delta) < 1e-9:
            if not least < start < most:
                return False
            continue
        first, last = sorted(((least - start) / delta, (most - start) / delta))
        low, high = max(low, first), min(high, last)
    return low < high - 1e-9

"""A small SVG writer in millimetres, for what is drawn to scale: one user unit is one millimetre, y goes down.

It keeps the boxes of what it wrote, so that a lint can find text on text, text on a body and text on a line.
"""

from __future__ import annotations

import xml.etree.ElementTree as ET
from itertools import pairwise

from ..records import record
from .style import FONT, colour

Point = tuple[float, float]

_WIDTHS = {
    " ": 278, "!": 278, "(": 333, ")": 333, "+": 584, ",": 278, "-": 333, ".": 278, "/": 278, ":": 278, "%": 889, "→": 1000, "×": 584,
    "A": 667, "B": 667, "C": 722, "D": 722, "E": 667, "F": 611, "G": 778, "H": 722, "I": 278, "J": 500, "K": 667, "L": 556, "M": 833,
    "N": 722, "O": 778, "P": 667, "Q": 778, "R": 722, "S": 667, "T": 611, "U": 722, "V": 667, "W": 944, "X": 667, "Y": 667, "Z": 611,
    "a": 556, "b": 556, "c": 500, "d": 556, "e": 556, "f": 278, "g": 556, "h": 556, "i": 222, "j": 222, "k": 500, "l": 222, "m": 833,
    "n": 556, "o": 556, "p": 556, "q": 556, "r": 333, "s": 500, "t": 278, "u": 556, "v": 500, "w": 722, "x": 500, "y": 500, "z": 500,
    "Ω": 768, "µ": 576, "\u00a0": 278,
}  # fmt: skip
"""Widths of the sans-serif faces that FONT names, in thousandths of the size (from memory); others and digits are taken as 556."""
_ASCENT, _DESCENT = 0.74, 0.22


def text_mm(string: str, size: float, bold: bool = False) -> float:
    """Width of a text."""
    return sum(_WIDTHS.get(c, 556) for c in string) * size / 1000.0 * (1.08 if bold else 1.02)


def number(value: float) -> str:
    """A coordinate, to a hundredth of a millimetre."""
    return f"{value:.2f}".rstrip("0").rstrip(".") if abs(value) >= 0.005 else "0"


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
        self.root = ET.Element(
            "svg",
            {
                "xmlns": "http://www.w3.org/2000/svg",
                "id": id,
                "class": "sch",
                "width": f"{number(width)}mm",
                "height": f"{number(height)}mm",
                "viewBox": f"0 0 {number(width)} {number(height)}",
                "role": "img",
                "aria-labelledby": f"{id}-title {id}-desc",
                "font-family": FONT,
            },
        )
        ET.SubElement(self.root, "title", {"id": f"{id}-title"}).text = title
        ET.SubElement(self.root, "desc", {"id": f"{id}-desc"}).text = description
        ET.SubElement(self.root, "style").text = css

    def group(self, **attributes: str) -> ET.Element:
        """A group; `class_` and `data_x` stand for class and data-x."""
        return ET.SubElement(self.root, "g", {key.rstrip("_").replace("_", "-"): value for key, value in attributes.items()})

    def rect(self, at: ET.Element, area: Area, fill: str, *, radius: float = 0.0, stroke: str = "ink", width: float = 0.25) -> None:
        """A filled rectangle; its area is kept when it is a body or a band on one."""
        if area.kind in ("body", "band"):
            self.areas.append(area)
        attributes = {
            "x": number(area.left),
            "y": number(area.top),
            "width": number(area.right - area.left),
            "height": number(area.bottom - area.top),
            "fill": fill,
        }
        if radius:
            attributes["rx"] = number(radius)
        if stroke:
            attributes |= {"stroke": colour(stroke), "stroke-width": number(width)}
        ET.SubElement(at, "rect", attributes)

    def circle(self, at: ET.Element, centre: Point, radius: float, fill: str, *, owner: str = "", kind: str = "") -> None:
        """A filled circle; its area is kept when it has a kind."""
        x, y = centre
        if kind:
            self.areas.append(Area(kind, owner, owner, x - radius, y - radius, x + radius, y + radius))
        ET.SubElement(
            at,
            "circle",
            {"cx": number(x), "cy": number(y), "r": number(radius), "fill": fill, "stroke": colour("ink"), "stroke-width": "0.25"},
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
            "points": " ".join(f"{number(x)},{number(y)}" for x, y in points),
            "fill": "none",
            "stroke": stroke or colour("ink"),
            "stroke-width": number(width),
            "stroke-linejoin": "round",
        }
        if dashes:
            attributes["stroke-dasharray"] = dashes
        ET.SubElement(at, "polyline", attributes)

    def hit(self, at: ET.Element, points: list[Point], shut: bool = False) -> None:
        """What a pointer can hit, and what is seen of it when it is lit."""
        way = [*points, points[0]] if shut else points
        ET.SubElement(at, "polyline", {"class": "hit", "fill": "none", "points": " ".join(f"{number(x)},{number(y)}" for x, y in way)})

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
        wide = text_mm(string, size, bold)
        left = {"start": x, "middle": x - wide / 2, "end": x - wide}[anchor]
        self.areas.append(Area("text", owner, string, left, y - _ASCENT * size, left + wide, y + _DESCENT * size))
        attributes = {"x": number(x), "y": number(y), "font-size": number(size), "fill": fill or colour("ink")}
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

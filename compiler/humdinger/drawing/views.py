"""A small drawing in millimetres: lines, circles and texts as SVG elements, and where its texts stand, for the lint."""

from __future__ import annotations

from collections.abc import Mapping
from xml.etree import ElementTree as ET

from ..records import record
from .style import DARK, FONT, LIGHT, colour

WIDTHS: Mapping[str, float] = {
    **dict.fromkeys("ijl.,:;'|! \u00a0", 0.28),
    **dict.fromkeys("ftrI()-/", 0.34),
    **dict.fromkeys("abcdeghknopqsuvxyz0123456789", 0.56),
    **dict.fromkeys("ABCDEFGHJKLNPRSTUVXYZ", 0.72),
    **dict.fromkeys("mwMWOQΩ", 0.89),
}
"""Widths of Arial over its size, on the wide side (from memory of the font)."""
OTHER = 0.6
BOLD = 1.08


def text_width(string: str, size: float, bold: bool = False) -> float:
    """Width in the unit of the size."""
    return size * (BOLD if bold else 1.0) * sum(WIDTHS.get(letter, OTHER) for letter in string)


@record
class TextBox:
    """Where a text stands, in millimetres; y downwards."""

    string: str
    left: float
    top: float
    right: float
    bottom: float


@record
class View:
    """A finished drawing."""

    name: str
    title: str
    svg: str
    width_mm: float
    height_mm: float
    texts: tuple[TextBox, ...]


class Canvas:
    """Collects elements. All lengths in millimetres, y downwards."""

    def __init__(self, name: str, title: str, desc: str, width: float, height: float) -> None:
        self.name, self.title = name, title
        self.width, self.height = width, height
        self.boxes: list[TextBox] = []
        id = self.id = "view-" + "".join(c if c.isalnum() else "-" for c in name)
        self.root = ET.Element(
            "svg",
            {
                "xmlns": "http://www.w3.org/2000/svg",
                "id": id,
                "role": "img",
                "aria-labelledby": f"{id}-title {id}-desc",
                "width": f"{number(width)}mm",
                "height": f"{number(height)}mm",
                "viewBox": f"0 0 {number(width)} {number(height)}",
                "font-family": FONT,
            },
        )
        ET.SubElement(self.root, "title", {"id": f"{id}-title"}).text = title
        ET.SubElement(self.root, "desc", {"id": f"{id}-desc"}).text = desc
        ET.SubElement(self.root, "style").text = _colours(id)

    def line(self, *points: tuple[float, float], width: float = 0.3, ink: str = "ink", dash: str = "") -> None:
        """A line through points."""
        made = {"points": " ".join(f"{number(x)},{number(y)}" for x, y in points), "style": f"fill:none;stroke:{colour(ink)}"}
        made["stroke-width"] = number(width)
        made["stroke-linejoin"] = made["stroke-linecap"] = "round"
        if dash:
            made["stroke-dasharray"] = dash
        ET.SubElement(self.root, "polyline", made)

    def circle(self, x: float, y: float, radius: float, width: float = 0.3, fill: str = "none", ink: str = "ink", dash: str = "") -> None:
        """A circle. fill: the name of a colour, or "none"."""
        filled = "none" if fill == "none" else colour(fill)
        made = {"cx": number(x), "cy": number(y), "r": number(radius), "style": f"fill:{filled};stroke:{colour(ink)}"}
        made["stroke-width"] = number(width)
        if dash:
            made["stroke-dasharray"] = dash
        ET.SubElement(self.root, "circle", made)

    def path(self, d: str, width: float = 0.3, fill: str = "none") -> None:
        """A path."""
        filled = "none" if fill == "none" else colour(fill)
        ET.SubElement(self.root, "path", {"d": d, "style": f"fill:{filled};stroke:{colour('ink')}", "stroke-width": number(width)})

    def text(self, x: float, y: float, string: str, size: float, anchor: str = "start", bold: bool = False, ink: str = "ink") -> None:
        """One line of text, y at its baseline."""
        made = {"x": number(x), "y": number(y), "font-size": number(size), "style": f"fill:{colour(ink)}"}
        if anchor != "start":
            made["text-anchor"] = anchor
        if bold:
            made["font-weight"] = "bold"
        ET.SubElement(self.root, "text", made).text = string
        wide = text_width(string, size, bold)
        left = x - {"start": 0.0, "middle": wide / 2, "end": wide}[anchor]
        self.boxes.append(TextBox(string, left, y - 0.74 * size, left + wide, y + 0.22 * size))

    def done(self) -> View:
        """The drawing."""
        text = ET.tostring(self.root, encoding="unicode")
        return View(self.name, self.title, text, self.width, self.height, tuple(self.boxes))


def number(value: float) -> str:
    """A hundredth of a millimetre is finer than any printer."""
    text = f"{value:.2f}".rstrip("0").rstrip(".")
    return "0" if text in ("-0", "") else text


def _colours(id: str) -> str:
    """Light, then dark, print last: it wins on paper."""

    def variables(values: Mapping[str, str]) -> str:
        return "".join(f"--sch-{name}:{value};" for name, value in values.items())

    rules = (
        f"#{id}{{{variables(LIGHT)}}}",
        f"@media (prefers-color-scheme:dark){{#{id}{{{variables(DARK)}}}}}",
        f"@media print{{#{id}{{{variables(LIGHT)}}}}}",
    )
    return "\n".join(rules)


def overlaps(view: View, gap: float = 0.2) -> list[tuple[str, str]]:
    """Texts that touch each other or leave the drawing: (text, other text or "the edge")."""
    found = []
    for i, a in enumerate(view.texts):
        if a.left < 0 or a.top < 0 or a.right > view.width_mm or a.bottom > view.height_mm:
            found.append((a.string, "the edge"))
        for b in view.texts[i + 1 :]:
            if a.left < b.right + gap and b.left < a.right + gap and a.top < b.bottom and b.top < a.bottom:
                found.append((a.string, b.string))
    return found

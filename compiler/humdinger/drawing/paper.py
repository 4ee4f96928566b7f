"""Drawings in millimetres, to be printed at full size: text set to a width, boxes and lines, ink on white in light and dark."""

from __future__ import annotations

from xml.etree import ElementTree as ET

from .style import FONT

INK, PAPER = "#000000", "#ffffff"
THIN, THICK = 0.2, 0.5
"""Lines of a cut and of a frame, in mm."""
LEADING = 1.35
LEAST = 2.2
"""Smallest letters, in mm of font size: capitals of 1.6 mm (common practice for a rating plate)."""
SAFE = 1.05
"""Room for fonts that run wider than the one measured."""


def text_mm(string: str, size: float, *, bold: bool = False) -> float:
    """Width of a text in mm, size in mm; by schemdraw's table of a common sans."""
    from .schemdraw_loader import load

    load()
    from schemdraw.backends.svgtext import string_width

    return string_width(string, size, "Arial") * (1.07 if bold else 1.0) * SAFE


def wrapped(string: str, size: float, width: float, *, bold: bool = False) -> list[str]:
    """The text in lines of a width; a word that is wider is cut."""
    lines: list[str] = []
    line = ""
    for word in string.split():
        for piece in _pieces(word, size, width, bold=bold):
            longer = f"{line} {piece}".strip()
            if line and text_mm(longer, size, bold=bold) > width:
                lines.append(line)
                line = piece
            else:
                line = longer
    return [*lines, line] if line else lines


def _pieces(word: str, size: float, width: float, *, bold: bool) -> list[str]:
    found = [""]
    for letter in word:
        if found[-1] and text_mm(found[-1] + letter, size, bold=bold) > width:
            found.append("")
        found[-1] += letter
    return found


def fitted(string: str, size: float, width: float, *, bold: bool = False) -> float:
    """The largest size up to `size` at which the text fits on a line; never below the smallest letters."""
    wide = text_mm(string, size, bold=bold)
    return size if wide <= width else max(LEAST, size * width / wide)


def mm(value: float) -> str:
    """Millimetres to the hundredth."""
    return f"{value:.2f}".rstrip("0").rstrip(".") if abs(value) >= 0.005 else "0"


def frame(id: str, title: str, desc: str, width: float, height: float) -> ET.Element:
    """The root of a drawing of that size, with what a screen reader says of it; one user unit is one millimetre, y goes down."""
    root = ET.Element(
        "svg",
        {
            "xmlns": "http://www.w3.org/2000/svg",
            "id": id,
            "role": "img",
            "aria-labelledby": f"{id}-title {id}-desc",
            "width": f"{mm(width)}mm",
            "height": f"{mm(height)}mm",
            "viewBox": f"0 0 {mm(width)} {mm(height)}",
            "font-family": FONT,
        },
    )
    ET.SubElement(root, "title", {"id": f"{id}-title"}).text = title
    ET.SubElement(root, "desc", {"id": f"{id}-desc"}).text = desc
    return root


def sheet(id: str, title: str, desc: str, width: float, height: float) -> ET.Element:
    """The same on white paper: labels and panels look alike on every screen."""
    root = frame(id, title, desc, width, height)
    rect(root, 0, 0, width, height, fill=PAPER, stroke="none")
    return root


def rect(parent: ET.Element, x: float, y: float, w: float, h: float, **look: str) -> ET.Element:
    """A box; look: svg attributes with _ for -."""
    return ET.SubElement(parent, "rect", {"x": mm(x), "y": mm(y), "width": mm(w), "height": mm(h), **_look(look)})


def path(parent: ET.Element, d: str, **look: str) -> ET.Element:
    """A path in mm."""
    return ET.SubElement(parent, "path", {"d": d, **_look(look)})


def circle(parent: ET.Element, x: float, y: float, r: float, **look: str) -> ET.Element:
    """A circle."""
    return ET.SubElement(parent, "circle", {"cx": mm(x), "cy": mm(y), "r": mm(r), **_look(look)})


def text(parent: ET.Element, x: float, y: float, string: str, size: float, *, bold: bool = False, anchor: str = "start") -> ET.Element:
    """A line of text, y at its baseline."""
    look = {"x": mm(x), "y": mm(y), "font-size": mm(size), "fill": INK}
    if bold:
        look["font-weight"] = "bold"
    if anchor != "start":
        look["text-anchor"] = anchor
    made = ET.SubElement(parent, "text", look)
    made.text = string
    return made


def _look(look: dict[str, str]) -> dict[str, str]:
    found = {"fill": "none", "stroke": INK, "stroke-width": mm(THIN)}
    return found | {key.rstrip("_").replace("_", "-"): value for key, value in look.items()}


def written(root: ET.Element) -> str:
    """The drawing as text."""
    return ET.tostring(root, encoding="unicode")

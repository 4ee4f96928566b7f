"""A resistor's colour bands as a small drawing in a line of text: body, bands with outlines, the tolerance band set apart."""

from __future__ import annotations

from collections.abc import Sequence
from xml.etree import ElementTree as ET

PAINT = {
    "black": "#1a1a1a", "brown": "#7a4a21", "red": "#c8281f", "orange": "#ee7f1a", "yellow": "#f4d81c", "green": "#2e8b3d",
    "blue": "#2456b5", "violet": "#7d3f98", "grey": "#8c8c8c", "white": "#ffffff", "gold": "#c9a227", "silver": "#c4c9cc",
}  # fmt: skip
"""How the colours of IEC 60062 are painted; the outlines and the words beside the drawing say the same without colour."""

BODY = "#efe3c4"
WIDE, TALL = 62, 15
LEAD, BAND, STEP = 6, 5, 8
LAST = WIDE - LEAD - 3 - BAND
"""Left edge of the tolerance band, in pixels as all here."""


def swatch(colours: Sequence[str]) -> str:
    """The drawing of four or five bands, first band left. KeyError for a colour that no band has."""
    root = ET.Element("svg", {"width": str(WIDE), "height": str(TALL), "viewBox": f"0 0 {WIDE} {TALL}"})
    line = {"stroke": "currentColor", "stroke-width": "1"}
    ET.SubElement(root, "path", {"d": f"M0 {TALL / 2:g}H{LEAD}M{WIDE - LEAD} {TALL / 2:g}H{WIDE}", **line})
    ET.SubElement(root, "rect", {**_box(LEAD, WIDE - 2 * LEAD), "rx": "3", "fill": BODY, **line})
    for i, colour in enumerate(colours):
        left = LAST if i == len(colours) - 1 else LEAD + 3 + i * STEP
        ET.SubElement(root, "rect", {**_box(left, BAND), "fill": PAINT[colour], **line, "stroke-width": "0.7"})
    return ET.tostring(root, encoding="unicode")


def _box(left: int, width: int) -> dict[str, str]:
    return {"x": str(left), "y": "1.5", "width": str(width), "height": str(TALL - 3)}

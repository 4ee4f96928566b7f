"""A piece of wire as a small picture: the body of its insulation and the stripe."""

from __future__ import annotations

from xml.etree import ElementTree as ET

from .style import colour as ink
from .swatch import PAINT

INKS = {**PAINT, "slate": PAINT["grey"], "pink": "#f2a0b8", "turquoise": "#2aa9a3"}
"""Own tints: a screen does not match a dye, and the words beside it say the colour."""
WIDE, TALL = 11.0, 3.2


def wire_swatch(colour: str) -> str:
    """Svg text of a wire of that colour ("white-red": body, then stripe); empty for a word that has no tint."""
    body, _, stripe = colour.partition("-")
    if body not in INKS or (stripe and stripe not in INKS):
        return ""
    root = ET.Element(
        "svg",
        {
            "xmlns": "http://www.w3.org/2000/svg",
            "class": "swatch",
            "aria-hidden": "true",
            "width": f"{WIDE:g}mm",
            "height": f"{TALL:g}mm",
            "viewBox": f"0 0 {WIDE:g} {TALL:g}",
        },
    )
    box = {"x": "0.2", "y": "0.2", "width": f"{WIDE - 0.4:g}", "height": f"{TALL - 0.4:g}", "rx": "0.6"}
    ET.SubElement(root, "rect", box | {"style": f"fill:{INKS[body]};stroke:{ink('ink')};stroke-width:0.25"})
    if stripe:
        band = {"x": "0.35", "y": f"{TALL / 2 - 0.45:g}", "width": f"{WIDE - 0.7:g}", "height": "0.9"}
        ET.SubElement(root, "rect", band | {"style": f"fill:{INKS[stripe]}"})
    return ET.tostring(root, encoding="unicode")

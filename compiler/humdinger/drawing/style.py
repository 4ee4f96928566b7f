"""Colours of a schematic: variables with a light default in every stroke, a dark set, and ink on white in print."""

from __future__ import annotations

import re
from collections.abc import Iterable

LIGHT = {"ink": "#111111", "paper": "#ffffff", "flag": "#f1efe8", "volt": "#b3261e", "hot": "#0b57d0"}
DARK = {"ink": "#e9e7e2", "paper": "#17181a", "flag": "#26282b", "volt": "#ff8f80", "hot": "#8ab4ff"}

FONT = "Arial, Helvetica, 'Liberation Sans', sans-serif"


def colour(name: str) -> str:
    """A colour as strokes and texts carry it: the variable with its light value."""
    return f"var(--sch-{name},{LIGHT[name]})"


INK = colour("ink")

LIT = (
    "{--sch-ink:var(--sch-hot);--sch-volt:var(--sch-hot);--sch-halo:.35;--sch-frame:1;"
    "--lit-paper:var(--warning-panel);--lit-edge:var(--ink);--lit-mark:'▸ '}"
)
"""What being lit means. In a drawing: the hot colour, a broad band along wires and a frame around parts. In a table: a mark and a bar.

The last line is for rows, whose style sheet gives these variables their place; all are inherited by what stands inside.
"""

ACTIVE = ":is(:hover,:focus-within,:target)"


def stylesheet(id: str) -> str:
    """The style element's text for one sheet: its colours in light, dark and print, and what can be pointed at."""

    def variables(values: dict[str, str]) -> str:
        return "".join(f"--sch-{name}:{value};" for name, value in values.items())

    root = f"#{id}"
    rules = [
        f"{root}{{{variables(LIGHT)}}}",
        f"@media (prefers-color-scheme:dark){{{root}{{{variables(DARK)}}}}}",
        f"{root} .hit{{fill:none;stroke:var(--sch-hot);pointer-events:all;}}",
        f"{root} .part .hit{{stroke-width:1.2;stroke-opacity:var(--sch-frame,0);}}",
        f"{root} .net .hit{{stroke-width:7;stroke-linecap:round;stroke-opacity:var(--sch-halo,0);pointer-events:stroke;}}",
        f"@media print{{{root}{{{variables(LIGHT | {'hot': LIGHT['ink']})}}}}}",
    ]
    return "\n".join(rules)


def lighting(parts: Iterable[str], nets: Iterable[str], everywhere: Iterable[str]) -> str:
    """The style sheet of a page with drawings and tables: what is pointed at, focused or linked to lights wherever it is on the page.

    Groups of drawings and rows of tables carry data-parts and data-nets. A part lights itself and the nets on it; a net itself.
    everywhere: nets that nearly every part is on (ground, earth), which a part does not light: they would light the whole sheet.
    """
    chosen = []
    for part in sorted(set(parts)):
        key = attribute(part)
        chosen.append(f'main:has([data-parts~="{key}"]{ACTIVE}) [data-parts~="{key}"]')
    for net in sorted(set(nets)):
        key = attribute(net)
        own = f'[data-nets="{key}"]:not([data-parts])'
        pointed = own if net in everywhere else f'[data-nets~="{key}"]'
        chosen.append(f"main:has({pointed}{ACTIVE}) {own}")
    return f"@media screen{{{','.join(chosen)}{LIT}}}" if chosen else ""


def attribute(name: str) -> str:
    """A name as one word of letters, digits and -_.: for ids, data attributes and the rules that look for them."""
    return "".join(c if c.isalnum() or c in "-_.:" else "-" for c in name)


def plain_svg(svg: str) -> str:
    """The drawing for a file of its own: plain light colours, no style sheet, so that any viewer shows it right."""
    without = re.sub(r"<style>.*?</style>\s*", "", svg, flags=re.DOTALL)
    without = re.sub(r'<(?:polyline|rect) class="hit"[^>]*/>\s*', "", without)
    return re.sub(r"var\(--[\w-]+,\s*(#[0-9a-fA-F]+)\)", r"\1", without)

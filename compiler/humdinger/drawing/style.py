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


def stylesheet(id: str, nets: Iterable[str]) -> str:
    """The style element's text for one sheet. One rule per net lights it together with a part that is pointed at or linked to.

    nets: without ground and earth, which are everywhere and would light the whole sheet.
    """

    def variables(values: dict[str, str]) -> str:
        return "".join(f"--sch-{name}:{value};" for name, value in values.items())

    root = f"#{id}"
    rules = [
        f"{root}{{{variables(LIGHT)}}}",
        f"@media (prefers-color-scheme:dark){{{root}{{{variables(DARK)}}}}}",
        f"{root} .part:hover,{root} .part:target,{root} .net:hover{{--sch-ink:var(--sch-hot);--sch-volt:var(--sch-hot);}}",
        f"{root} .hit{{fill:none;stroke:none;pointer-events:all;}}",
        f"{root} .net .hit{{stroke-width:7;pointer-events:stroke;}}",
    ]
    for net in sorted(set(nets)):
        key = attribute(net)
        rules.append(
            f'{root}:has(.part[data-nets~="{key}"]:is(:hover,:target)) .net[data-net="{key}"]'
            "{--sch-ink:var(--sch-hot);--sch-volt:var(--sch-hot);}"
        )
    rules.append(f"@media print{{{root},{root} .part,{root} .net{{{variables(LIGHT | {'hot': LIGHT['ink']})}}}}}")
    return "\n".join(rules)


def attribute(net: str) -> str:
    """A net's name as one word without quotes, for data attributes and the rules that look for them."""
    return re.sub(r"[^\w.+-]+", "-", net)


def plain_svg(svg: str) -> str:
    """The drawing for a file of its own: plain light colours, no style sheet, so that any viewer shows it right."""
    without = re.sub(r"<style>.*?</style>", "", svg, flags=re.DOTALL)
    return re.sub(r"var\(--[\w-]+,\s*(#[0-9a-fA-F]+)\)", r"\1", without)

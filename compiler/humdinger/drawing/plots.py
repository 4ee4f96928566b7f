"""The house style of plots: a frame with round ticks, lines told apart by how they are drawn, a key below, all text as text.

Written with xml.etree in millimetres. A plotting package was measured and left out: its import and six plots cost 1.2 s of processor time
where importing numpy costs 0.16 s, and its plots came to 38 kB each against 9 kB here. Colours are variables with a light value, so dark
mode and print follow the page.
"""

from __future__ import annotations

from collections.abc import Sequence
from xml.etree import ElementTree as ET

from ..records import record
from .style import FONT

LIGHT = {"ink": "#1d2624", "quiet": "#55605c", "grid": "#dcd9cd", "paper": "#fbfaf5", "signal": "#0f5a4a", "limit": "#96281b"}
DARK = {"ink": "#e8e6dc", "quiet": "#aab3ae", "grid": "#39423f", "paper": "#161b1a", "signal": "#82d3bd", "limit": "#ff9c8c"}
PRINT = {"ink": "#000000", "quiet": "#333333", "grid": "#d0d0d0", "paper": "#ffffff", "signal": "#000000", "limit": "#000000"}

WIDTH, HEIGHT = 138.0, 96.0
LEFT, RIGHT, TOP, BOTTOM = 14.0, 13.0, 6.5, 24.0
TEXT = 3.3
"""Height of text; about 9.4 points at full size."""

LINES: dict[str, dict[str, str]] = {
    "frame": {"stroke": "ink", "stroke-width": "0.3"},
    "grid": {"stroke": "grid", "stroke-width": "0.2"},
    "curve": {"stroke": "quiet", "stroke-width": "0.25"},
    "signal": {"stroke": "signal", "stroke-width": "0.7"},
    "direct": {"stroke": "ink", "stroke-width": "0.4", "stroke-dasharray": "5 1.2 1 1.2"},
    "limit": {"stroke": "limit", "stroke-width": "0.45", "stroke-dasharray": "2 1.3"},
}
"""What a line looks like, by what it means; no two differ in colour alone."""

Points = Sequence[tuple[float, float]]


@record
class Plot:
    """A finished plot. words: what it shows, for who cannot see it."""

    name: str
    title: str
    svg: str
    width_mm: float
    height_mm: float
    words: str


@record
class Axis:
    """An axis from 0 to a round end. scale: from the values to what the numbers say (1000 for milliamps)."""

    title: str
    end: float
    scale: float = 1.0


def colour(name: str) -> str:
    """A colour as strokes and texts carry it."""
    return f"var(--plot-{name},{LIGHT[name]})"


def number(value: float) -> str:
    """Hundredths of a millimetre."""
    text = f"{value:.2f}".rstrip("0").rstrip(".")
    return "0" if text in ("-0", "") else text


class Sheet:
    """A plot being drawn. Values go in, millimetres come out."""

    def __init__(self, id: str, title: str, words: str, across: Axis, up: Axis) -> None:
        self.id, self.across, self.up = id, across, up
        self.root = ET.Element(
            "svg",
            {
                "xmlns": "http://www.w3.org/2000/svg",
                "class": "plot",
                "id": id,
                "role": "img",
                "aria-labelledby": f"{id}-title {id}-desc",
                "width": f"{number(WIDTH)}mm",
                "height": f"{number(HEIGHT)}mm",
                "viewBox": f"0 0 {number(WIDTH)} {number(HEIGHT)}",
                "font-family": FONT,
                "font-size": number(TEXT),
                "fill": "none",
                "stroke-linejoin": "round",
            },
        )
        ET.SubElement(self.root, "title", {"id": f"{id}-title"}).text = title
        ET.SubElement(self.root, "desc", {"id": f"{id}-desc"}).text = words
        ET.SubElement(self.root, "style").text = stylesheet(id)
        self._frame()

    def at(self, point: tuple[float, float]) -> tuple[float, float]:
        """A point of values in millimetres of the sheet."""
        x, y = point
        wide, tall = WIDTH - LEFT - RIGHT, HEIGHT - TOP - BOTTOM
        return LEFT + wide * x / self.across.end, HEIGHT - BOTTOM - tall * y / self.up.end

    def line(self, points: Points, kind: str) -> None:
        """A line through points of values."""
        self._path([self.at(p) for p in points], kind)

    def dot(self, point: tuple[float, float], *, filled: bool) -> None:
        """A filled or an open dot."""
        self._ring(self.at(point), filled)

    def text(self, where: tuple[float, float], text: str, anchor: str = "start", *, ink: str = "ink", bold: bool = False) -> None:
        """A text at millimetres of the sheet, readable over lines."""
        style = {"paint-order": "stroke", "stroke": colour("paper"), "stroke-width": "0.9"} if bold else {}
        look = {"x": number(where[0]), "y": number(where[1]), "text-anchor": anchor, "fill": colour(ink), **style}
        ET.SubElement(self.root, "text", look | ({"font-weight": "bold"} if bold else {})).text = text

    def key(self, rows: Sequence[tuple[str, str]]) -> None:
        """The key below the frame, two to a row. Kind "idle" and "end" are dots."""
        for k, (kind, text) in enumerate(rows):
            x, y = LEFT + (k % 2) * 0.5 * (WIDTH - LEFT), HEIGHT - BOTTOM + 14.5 + 5.0 * (k // 2)
            if kind in ("idle", "end"):
                self._ring((x + 5.0, y - 1.1), kind == "idle")
            else:
                self._path([(x, y - 1.1), (x + 10.0, y - 1.1)], kind)
            self.text((x + 12.0, y), text)

    def finished(self) -> str:
        """The svg text."""
        return ET.tostring(self.root, encoding="unicode")

    def _frame(self) -> None:
        left, foot = LEFT, HEIGHT - BOTTOM
        for value in ticks(self.across.end):
            x = self.at((value, 0.0))[0]
            self._path([(x, TOP), (x, foot)], "grid")
            self.text((x, foot + 4.2), number(value * self.across.scale), "middle", ink="quiet")
        for value in ticks(self.up.end):
            y = self.at((0.0, value))[1]
            self._path([(left, y), (WIDTH - RIGHT, y)], "grid")
            self.text((left - 1.5, y + 1.1), number(value * self.up.scale), "end", ink="quiet")
        self._path([(left, TOP), (WIDTH - RIGHT, TOP), (WIDTH - RIGHT, foot), (left, foot), (left, TOP)], "frame")
        self.text((WIDTH - RIGHT, foot + 8.6), self.across.title, "end")
        middle = TOP + 0.5 * (foot - TOP)
        turned = ET.SubElement(self.root, "text", {"transform": f"translate(3.4 {number(middle)}) rotate(-90)", "text-anchor": "middle"})
        turned.set("fill", colour("ink"))
        turned.text = self.up.title

    def _path(self, points: Points, kind: str) -> None:
        look = dict(LINES[kind])
        look["stroke"] = colour(look["stroke"])
        steps = " ".join(f"{number(x)},{number(y)}" for x, y in points)
        ET.SubElement(self.root, "polyline", {"class": kind, "points": steps, **look})

    def _ring(self, at: tuple[float, float], filled: bool) -> None:
        fill = colour("ink" if filled else "paper")
        look = {"cx": number(at[0]), "cy": number(at[1]), "r": "1.1", "fill": fill, "stroke": colour("ink"), "stroke-width": "0.4"}
        ET.SubElement(self.root, "circle", look)


def ticks(end: float) -> list[float]:
    """Round values from 0 to the end, five to nine of them."""
    power = 1.0
    while power > end / 10.0:
        power /= 10.0
    while power * 10.0 <= end / 10.0:
        power *= 10.0
    step = next(s * power for s in (1.0, 2.0, 2.5, 5.0, 10.0, 20.0, 25.0, 50.0) if end / (s * power) <= 8.01 and _whole(end / (s * power)))
    return [float(f"{k * step:.9g}") for k in range(round(end / step) + 1)]


def _whole(value: float) -> bool:
    return abs(value - round(value)) < 1e-6


def stylesheet(id: str) -> str:
    """The colours of a plot in light, dark and print."""

    def variables(values: dict[str, str]) -> str:
        return "".join(f"--plot-{name}:{value};" for name, value in values.items())

    return (
        f"#{id}{{{variables(LIGHT)}}}@media (prefers-color-scheme:dark){{#{id}{{{variables(DARK)}}}}}"
        f"@media print{{#{id}{{{variables(PRINT)}}}}}"
    )

"""What an oscilloscope shows: one trace on a graticule of ten by eight divisions, with the settings a builder would turn to."""

from __future__ import annotations

import math
from collections.abc import Sequence
from xml.etree import ElementTree as ET

from ..units import show_seconds, show_volts
from .plots import LINES, Plot, colour, number, stylesheet
from .style import FONT

ACROSS, UP = 10, 8
"""Divisions of the screen (IEC 60351-1, from memory)."""
DIVISION = 8.0
MARGIN, FOOT = 3.0, 10.0
TEXT = 3.3
STEPS = (1.0, 2.0, 5.0)
FILLED = 0.9
"""Share of the screen's height the trace may take."""


def setting(least: float) -> float:
    """The smallest 1-2-5 setting that is not below a value."""
    power = 10.0 ** math.floor(math.log10(least))
    return next(s * p for p in (power, 10.0 * power) for s in STEPS if s * p >= least * (1.0 - 1e-9))


def oscillogram(name: str, title: str, wave: Sequence[float], seconds: float) -> Plot:
    """Two periods or a little more. wave: one period, evenly spaced; seconds: its length."""
    top = max(abs(v) for v in wave) or 1.0
    volts = setting(2.0 * top / (UP * FILLED))
    time = setting(2.0 * seconds / ACROSS)
    settings = f"{show_volts(volts)} and {show_seconds(time)} a division"
    words = f"{title}. {settings}; highest {show_volts(_three(max(wave)))}, lowest {show_volts(_three(min(wave)))}."
    width, height = 2 * MARGIN + ACROSS * DIVISION, MARGIN + UP * DIVISION + FOOT
    root = ET.Element(
        "svg",
        {
            "xmlns": "http://www.w3.org/2000/svg",
            "class": "plot",
            "id": name,
            "role": "img",
            "aria-labelledby": f"{name}-title {name}-desc",
            "width": f"{number(width)}mm",
            "height": f"{number(height)}mm",
            "viewBox": f"0 0 {number(width)} {number(height)}",
            "font-family": FONT,
            "font-size": number(TEXT),
            "fill": "none",
            "stroke-linejoin": "round",
        },
    )
    ET.SubElement(root, "title", {"id": f"{name}-title"}).text = title
    ET.SubElement(root, "desc", {"id": f"{name}-desc"}).text = words
    ET.SubElement(root, "style").text = stylesheet(name)
    _graticule(root)
    middle = MARGIN + 0.5 * UP * DIVISION
    count = math.ceil(ACROSS * time / seconds * len(wave))
    points = [
        (MARGIN + DIVISION * k * seconds / len(wave) / time, middle - DIVISION * wave[(k - 1) % len(wave)] / volts)
        for k in range(count + 1)
    ]
    _line(root, "signal", [p for p in points if p[0] <= MARGIN + ACROSS * DIVISION + 1e-6])
    text = ET.SubElement(root, "text", {"x": number(MARGIN), "y": number(height - 3.5), "fill": colour("ink")})
    text.text = f"{show_volts(volts)} a division, {show_seconds(time)} a division"
    return Plot(name, title, ET.tostring(root, encoding="unicode"), width, height, words)


def _graticule(root: ET.Element) -> None:
    right, foot = MARGIN + ACROSS * DIVISION, MARGIN + UP * DIVISION
    for k in range(ACROSS + 1):
        x = MARGIN + k * DIVISION
        _line(root, "frame" if k in (0, ACROSS) else "grid", [(x, MARGIN), (x, foot)])
    for k in range(UP + 1):
        y = MARGIN + k * DIVISION
        _line(root, "frame" if k in (0, UP) else "grid", [(MARGIN, y), (right, y)])
    for k in range(5 * ACROSS + 1):
        x, y = MARGIN + 0.2 * k * DIVISION, MARGIN + 0.5 * UP * DIVISION
        _line(root, "curve", [(x, y - 0.6), (x, y + 0.6)])
    for k in range(5 * UP + 1):
        x, y = MARGIN + 0.5 * ACROSS * DIVISION, MARGIN + 0.2 * k * DIVISION
        _line(root, "curve", [(x - 0.6, y), (x + 0.6, y)])


def _line(root: ET.Element, kind: str, points: Sequence[tuple[float, float]]) -> None:
    look = dict(LINES[kind])
    look["stroke"] = colour(look["stroke"])
    ET.SubElement(root, "polyline", {"class": kind, "points": " ".join(f"{number(x)},{number(y)}" for x, y in points), **look})


def _three(value: float) -> float:
    return float(f"{value:.3g}")

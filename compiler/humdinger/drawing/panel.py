"""A panel as a plain row of what is on it, in order and not to scale; strokes take the colour of the page's text."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from xml.etree import ElementTree as ET

from .paper import circle, fitted, frame, mm, path, rect, text, text_mm, written

CELL, TALL = 20.0, 27.0
"""Least width of a place and its height, in mm."""
ACROSS_MM = 176.0
INKED = {"stroke": "currentColor", "stroke_width": "0.4"}


def panel(id: str, title: str, items: Sequence[tuple[str, str]]) -> tuple[str, float, float]:
    """The drawing of (kind, name) pairs and its size in mm. kind: "jack", "knob", "switch", "lamp", "fuse", "inlet"."""
    rows: list[list[tuple[str, str, float]]] = [[]]
    for kind, name in items:
        wide = min(ACROSS_MM, max(CELL, text_mm(name, 3.2, bold=True) + 3.0))
        if rows[-1] and sum(w for _, _, w in rows[-1]) + wide > ACROSS_MM:
            rows.append([])
        rows[-1].append((kind, name, wide))
    width = max(sum(w for _, _, w in row) for row in rows) + 4.0
    height = TALL * len(rows) + 4.0
    root = frame(id, title, ", ".join(f"{name} ({kind})" for kind, name in items), width, height)
    rect(root, 0.5, 0.5, width - 1.0, height - 1.0, rx="2", **INKED)
    for r, row in enumerate(rows):
        x, y = 2.0, 2.0 + r * TALL
        for kind, name, wide in row:
            DRAW[kind](root, x + wide / 2, y + 10.0)
            made = text(root, x + wide / 2, y + 23.5, name, fitted(name, 3.2, wide - 2.0, bold=True), bold=True, anchor="middle")
            made.set("fill", "currentColor")
            x += wide
    return written(root), width, height


def _jack(root: ET.Element, x: float, y: float) -> None:
    circle(root, x, y, 5.0, **INKED)
    circle(root, x, y, 2.6, stroke="currentColor", fill="currentColor", stroke_width="0.2")


def _knob(root: ET.Element, x: float, y: float) -> None:
    circle(root, x, y, 7.5, **INKED)
    circle(root, x, y, 5.2, **INKED)
    path(root, f"M{mm(x)} {mm(y - 2.0)}V{mm(y - 7.5)}", stroke="currentColor", stroke_width="0.9")


def _switch(root: ET.Element, x: float, y: float) -> None:
    circle(root, x, y, 4.0, **INKED)
    path(root, f"M{mm(x)} {mm(y)}V{mm(y - 7.0)}", stroke="currentColor", stroke_width="2.2", stroke_linecap="round")


def _lamp(root: ET.Element, x: float, y: float) -> None:
    circle(root, x, y, 4.2, **INKED)
    path(root, f"M{mm(x - 3)} {mm(y - 3)}l6 6M{mm(x + 3)} {mm(y - 3)}l-6 6", **INKED)


def _fuse(root: ET.Element, x: float, y: float) -> None:
    circle(root, x, y, 5.5, **INKED)
    path(root, f"M{mm(x - 4)} {mm(y)}h8", stroke="currentColor", stroke_width="1")


def _inlet(root: ET.Element, x: float, y: float) -> None:
    rect(root, x - 8, y - 6, 16, 12, rx="1.5", **INKED)
    path(root, f"M{mm(x - 4)} {mm(y - 1)}v4M{mm(x + 4)} {mm(y - 1)}v4M{mm(x)} {mm(y - 4)}v4", stroke="currentColor", stroke_width="1.2")


DRAW: dict[str, Callable[[ET.Element, float, float], None]] = {
    "jack": _jack,
    "knob": _knob,
    "switch": _switch,
    "lamp": _lamp,
    "fuse": _fuse,
    "inlet": _inlet,
}

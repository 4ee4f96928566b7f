"""Labels at full size on sheets that both papers take: cutting lines, a scale bar each way, everything in millimetres.

The warning sign is a bolt in a triangle (ISO 7010, from memory), the earth mark a ground symbol in a circle (IEC 60417, from memory).
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from xml.etree import ElementTree as ET

from ..records import record
from .paper import INK, LEADING, THICK, THIN, circle, fitted, mm, path, rect, sheet, text, text_mm, wrapped, written

WIDTH, HEIGHT = 184.0, 232.0
"""A sheet with its heading fits between the margins of A4 and Letter."""
LEFT, TOP, GAP = 14.0, 21.0, 3.0
"""Where labels begin, beside and under the scale bars; between cutting lines."""
RIGHT = WIDTH - 1.0
"""Where they end."""
BAR = 100.0
"""Length of a scale bar."""
PAD = 2.5


@record
class Line:
    """A line of text on a label: size in mm, wrapped to the label's width."""

    text: str
    size: float = 3.0
    bold: bool = False
    blank: float = 0.0
    """Millimetres of a line to write on, behind the text."""


@record
class Label:
    """A label. kind: "plate" (lines), "warning" (bolt, lines), "earth" (mark, lines), "tubes" (map), "knob" (scale), "legend" (a word)."""

    name: str
    kind: str
    lines: tuple[Line, ...] = ()
    width: float = 60.0
    tubes: tuple[tuple[str, str, str], ...] = ()
    """Designator, type and job, in line-up order."""


@record
class Sheet:
    """A printed sheet: its svg, size in mm, and the names of the labels on it."""

    name: str
    svg: str
    width_mm: float
    height_mm: float
    labels: tuple[str, ...]


def label_sheets(heading: str, labels: Sequence[Label]) -> tuple[Sheet, ...]:
    """The labels on as many sheets as they need, the tallest first, shelf by shelf: each goes into the first shelf that has room for it.

    heading: amp and revision, at the top of each.
    """
    sheets: list[list[tuple[Label, float, float]]] = [[]]
    shelves: list[list[float]] = []  # of the last sheet: top, height, where the next label begins
    for label in sorted(labels, key=lambda label: -_size(label)[1]):
        wide, tall = _size(label)
        shelf = next((s for s in shelves if tall <= s[1] and s[2] + wide <= RIGHT), None)
        if shelf is None:
            top = shelves[-1][0] + shelves[-1][1] + GAP if shelves else TOP
            if top + tall > HEIGHT and sheets[-1]:
                sheets.append([])
                shelves, top = [], TOP
            shelf = [top, tall, LEFT]
            shelves.append(shelf)
        sheets[-1].append((label, shelf[2], shelf[0]))
        shelf[2] += wide + GAP
    return tuple(
        _sheet(f"labels-{i + 1}", f"{heading}, sheet {i + 1} of {len(sheets)}", placed) for i, placed in enumerate(sheets) if placed
    )


def _sheet(name: str, heading: str, placed: list[tuple[Label, float, float]]) -> Sheet:
    height = max(TOP + BAR + 2.0, max(y + _size(label)[1] for label, _, y in placed) + 1.0)
    said = "; ".join(" ".join([label.name + ":", *(line.text for line in label.lines)]) for label, _, _ in placed)
    root = sheet(name, f"Labels: {heading}", said, WIDTH, height)
    size = fitted(heading, 3.4, WIDTH - LEFT - 80.0, bold=True)
    text(root, LEFT, 4.0, heading, size, bold=True)
    text(root, RIGHT, 4.0, f"Print at 100 %. Measure: both bars are {BAR:g} mm.", 3.0, anchor="end")
    _bars(root)
    for label, x, y in placed:
        wide, tall = _size(label)
        group = ET.SubElement(root, "g", {"data-label": label.name, "transform": f"translate({mm(x)} {mm(y)})"})
        rect(group, 0, 0, wide, tall, stroke_dasharray="1.5 1.5", class_="cut")
        DRAW[label.kind](group, label)
    return Sheet(name, written(root), WIDTH, height, tuple(label.name for label, _, _ in placed))


def _bars(root: ET.Element) -> None:
    """The two scale bars: lines whose outer edges are 100 mm apart, with a tick for each centimetre."""
    level = TOP - 4.0
    path(root, f"M{mm(LEFT)} {mm(level)}h{mm(BAR)}", class_="bar")
    upright = LEFT - 4.0
    path(root, f"M{mm(upright)} {mm(TOP)}v{mm(BAR)}", class_="bar")
    for i in range(11):
        at, long = BAR / 10 * i, 3.5 if i % 5 == 0 else 2.0
        inside = at + (THIN / 2 if i == 0 else -THIN / 2 if i == 10 else 0.0)
        path(root, f"M{mm(LEFT + inside)} {mm(level)}v-{mm(long)}M{mm(upright)} {mm(TOP + inside)}h-{mm(long)}", class_="tick")
        if i % 5 == 0:
            text(root, LEFT + at, level - 4.3, f"{at:g}", 3.0, anchor="middle")
            text(root, upright - 4.2, TOP + at + 1.1, f"{at:g}", 3.0, anchor="end")


# -- sizes ------------------------------------------------------------------------------------------------------------
SIGN = 14.0
"""Side of a warning sign or an earth mark."""
DIAL = 29.0
ROUND = 22.0
"""A knob's scale and a place on the tube map."""
ACROSS, APART = 6, 26.5
"""Tubes in a row of the map, and millimetres for each."""
WRITING = 2.5
"""Room above a line to write on."""


def _size(label: Label) -> tuple[float, float]:
    if label.kind == "knob":
        return _knob_width(label), DIAL + 6.0
    if label.kind == "legend":
        return _legend_width(label), 8.0
    if label.kind == "tubes":
        rows = -(-len(label.tubes) // ACROSS)
        return 2 * PAD + APART * max(2, min(ACROSS, len(label.tubes))), 9.0 + rows * (ROUND + 6.0)
    low = sum(len(_set(label, line)) * line.size * LEADING + _rise(line) for line in label.lines)
    return label.width, max(low + 2 * PAD, SIGN + 2 * PAD if _inset(label) else 0.0)


def _knob_width(label: Label) -> float:
    return min(RIGHT - LEFT, max(DIAL, text_mm(label.lines[0].text, 3.0, bold=True) + 2 * PAD))


def _rise(line: Line) -> float:
    return WRITING if line.blank else 0.0


def _legend_width(label: Label) -> float:
    return min(RIGHT - LEFT, max(18.0, text_mm(label.lines[0].text, 4.0, bold=True) + 2 * PAD))


def _inset(label: Label) -> float:
    return SIGN + PAD if label.kind in ("warning", "earth") else 0.0


def _set(label: Label, line: Line) -> list[str]:
    return wrapped(line.text, line.size, label.width - 2 * PAD - _inset(label) - line.blank, bold=line.bold) or [""]


# -- one function per kind --------------------------------------------------------------------------------------------
def _plate(group: ET.Element, label: Label) -> None:
    y = PAD
    for line in label.lines:
        y += _rise(line)
        for words in _set(label, line):
            y += line.size * LEADING
            text(group, PAD + _inset(label), y - 0.35 * line.size, words, line.size, bold=line.bold)
        if line.blank:
            start = PAD + _inset(label) + text_mm(line.text, line.size, bold=line.bold) + 1.5
            path(group, f"M{mm(start)} {mm(y - 0.25 * line.size)}h{mm(line.blank)}")


def _warning(group: ET.Element, label: Label) -> None:
    wide, high = SIGN, SIGN * 0.88
    bolt = ((0.54, 0.28), (0.38, 0.62), (0.5, 0.6), (0.43, 0.9), (0.63, 0.5), (0.51, 0.52), (0.6, 0.28))
    path(
        group,
        f"M{mm(PAD + wide / 2)} {mm(PAD + 0.6)}L{mm(PAD + wide)} {mm(PAD + high)}H{mm(PAD)}Z",
        stroke_width="0.9",
        stroke_linejoin="round",
    )
    path(group, "M" + "L".join(f"{mm(PAD + wide * x)} {mm(PAD + high * y)}" for x, y in bolt) + "Z", fill=INK, stroke="none")
    _plate(group, label)


def _earth(group: ET.Element, label: Label) -> None:
    x, y, r = PAD + SIGN / 2, PAD + SIGN / 2, SIGN / 2 - 0.3
    circle(group, x, y, r, stroke_width="0.7")
    strokes = [f"M{mm(x)} {mm(y - 0.66 * r)}V{mm(y + 0.06 * r)}"]
    strokes += [f"M{mm(x - half * r)} {mm(y + down * r)}H{mm(x + half * r)}" for half, down in ((0.56, 0.06), (0.36, 0.33), (0.16, 0.6))]
    path(group, "".join(strokes), stroke_width="0.9")
    _plate(group, label)


def _tubes(group: ET.Element, label: Label) -> None:
    title = label.lines[0].text
    text(group, PAD, 5.2, title, fitted(title, 3.4, _size(label)[0] - 2 * PAD, bold=True), bold=True)
    for i, (ref, name, job) in enumerate(label.tubes):
        row, at = divmod(i, ACROSS)
        x, y = PAD + (at + 0.5) * APART, 8.0 + row * (ROUND + 6.0) + ROUND / 2
        circle(group, x, y, ROUND / 2 - 0.5, stroke_width=mm(THICK))
        text(group, x, y - 0.6, ref, fitted(ref, 4.6, ROUND - 5.0, bold=True), bold=True, anchor="middle")
        text(group, x, y + 4.0, name, fitted(name, 3.4, ROUND - 4.0), anchor="middle")
        text(group, x, y + ROUND / 2 + 2.8, job, fitted(job, 2.8, APART - 1.0), anchor="middle")


def _knob(group: ET.Element, label: Label) -> None:
    """Eleven marks over 300 degrees from lower left, 0 to 10 (common practice)."""
    wide = _knob_width(label)
    centre, r = (wide / 2, DIAL / 2 + 1.0), 9.0
    for i in range(11):
        angle = math.radians(240 - 30 * i)
        ux, uy = math.cos(angle), -math.sin(angle)
        inner, outer = (centre[0] + r * ux, centre[1] + r * uy), (centre[0] + (r + 1.6) * ux, centre[1] + (r + 1.6) * uy)
        path(group, f"M{mm(inner[0])} {mm(inner[1])}L{mm(outer[0])} {mm(outer[1])}", stroke_width="0.4")
        text(group, centre[0] + (r + 3.8) * ux, centre[1] + (r + 3.8) * uy + 1.0, str(i), 2.8, anchor="middle")
    path(group, f"M{mm(centre[0] - 1.5)} {mm(centre[1])}h3M{mm(centre[0])} {mm(centre[1] - 1.5)}v3")
    name = label.lines[0].text
    text(group, centre[0], DIAL + 4.0, name, fitted(name, 4.0, wide - 2 * PAD, bold=True), bold=True, anchor="middle")


def _legend(group: ET.Element, label: Label) -> None:
    wide, name = _legend_width(label), label.lines[0].text
    text(group, wide / 2, 5.4, name, fitted(name, 4.0, wide - 2 * PAD, bold=True), bold=True, anchor="middle")


DRAW: dict[str, Callable[[ET.Element, Label], None]] = {
    "plate": _plate,
    "warning": _warning,
    "earth": _earth,
    "tubes": _tubes,
    "knob": _knob,
    "legend": _legend,
}

"""The symbols as schemdraw elements, after IEEE 315 and IEC 60617. Only `render` uses this module; importing it imports schemdraw.

Every element is placed by absolute points, so a drawing's own pen position never matters.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Sequence
from typing import Any

from .block import Mark, Symbol, flag_width
from .geometry import Point
from .schemdraw_loader import load
from .shapes import BUMP, TWO_TERMINAL
from .style import INK, colour

_SCHEMDRAW = load()

from schemdraw import Segment, SegmentArc, SegmentCircle, SegmentPoly  # noqa: E402
from schemdraw.elements import Element, ResistorIEC, ResistorIEEE  # noqa: E402

PAPER, FLAG = colour("paper"), colour("flag")
WIRE = 1.0
FINE = 0.8
BOLD = 2.2
ENVELOPE = 1.3


class Shape(Element):
    """An element made of absolute strokes."""

    def __init__(self, **kwargs: Any):
        super().__init__(**kwargs)
        self.params["theta"] = 0

    def line(self, *points: Point, lw: float = WIRE, **style: Any) -> None:
        self.segments.append(Segment(points, lw=lw, color=INK, zorder=3, **style))

    def solid(self, *points: Point) -> None:
        self.segments.append(SegmentPoly(points, color=INK, fill=INK, lw=0.6, zorder=3))

    def panel(self, *points: Point, fill: str = PAPER, lw: float = WIRE) -> None:
        self.segments.append(SegmentPoly(points, color=INK, fill=fill, lw=lw, zorder=3))

    def ring(self, at: Point, radius: float, *, fill: str | None = None, lw: float = WIRE) -> None:
        self.segments.append(SegmentCircle(at, radius, color=INK, fill=fill, lw=lw, zorder=3))

    def arc(self, at: Point, radius: float, start: float, end: float, *, lw: float = WIRE, ls: str | None = None) -> None:
        """Counter-clockwise from start to end, degrees; never more than half a turn in one piece, which svg arcs need."""
        while end - start > 170.0:
            self.arc(at, radius, start, start + 120.0, lw=lw, ls=ls)
            start += 120.0
        self.segments.append(SegmentArc(at, 2 * radius, 2 * radius, theta1=start, theta2=end, lw=lw, ls=ls, color=INK, zorder=3))  # type: ignore[arg-type]


class Along:
    """The frame of a two-terminal symbol: x from the first to the second point, y to the left of that, 0 at the third, its centre."""

    def __init__(self, symbol: Symbol):
        (ax, ay), (bx, by) = symbol.points[0], symbol.points[1]
        way = math.hypot(bx - ax, by - ay)
        self.u = ((bx - ax) / way, (by - ay) / way)
        self.centre = symbol.points[2]
        self.half = TWO_TERMINAL[symbol.kind][0] / 2 if symbol.kind in TWO_TERMINAL else 0.5

    def __call__(self, x: float, y: float) -> Point:
        (ux, uy), (cx, cy) = self.u, self.centre
        return (cx + ux * x - uy * y, cy + uy * x + ux * y)

    @property
    def angle(self) -> float:
        return math.degrees(math.atan2(self.u[1], self.u[0]))


def resistor(symbol: Symbol, style: str) -> Sequence[Element]:
    """Zigzag (IEEE 315) or box (IEC 60617)."""
    at = Along(symbol)
    kind = ResistorIEC if style == "box" else ResistorIEEE
    return [kind(color=INK, lw=WIRE).endpoints(at(-0.5, 0), at(0.5, 0))]


def photocell(symbol: Symbol, style: str) -> Sequence[Element]:
    """A resistor with two rays that fall on it."""
    at, shape = Along(symbol), Shape()
    for x in (-0.12, 0.16):
        a, b = at(x - 0.14, 0.6), at(x, 0.3)
        shape.segments.append(Segment([a, b], lw=FINE, color=INK, arrow="->", arrowwidth=0.09, arrowlength=0.11))
    return [*resistor(symbol, style), shape]


def pot(symbol: Symbol, style: str) -> Sequence[Element]:
    """A resistor with an arrow for the wiper."""
    track = Symbol(symbol.owner, "resistor", symbol.points, symbol.params, symbol.bodies, symbol.leads[:2])
    tip, end = symbol.leads[2]
    arrow = Shape()
    far = math.dist(tip, end)
    ux, uy = (end[0] - tip[0]) / far, (end[1] - tip[1]) / far
    arrow.line((tip[0] + ux * 0.16, tip[1] + uy * 0.16), end)
    back = (tip[0] + ux * 0.22, tip[1] + uy * 0.22)
    arrow.solid(tip, (back[0] - uy * 0.1, back[1] + ux * 0.1), (back[0] + uy * 0.1, back[1] - ux * 0.1))
    return [*resistor(track, style), arrow]


def capacitor(symbol: Symbol, style: str) -> Sequence[Element]:
    """Two straight plates."""
    at, shape = Along(symbol), Shape()
    for x in (-0.09, 0.09):
        shape.line(at(x, -0.3), at(x, 0.3), lw=1.6, capstyle="butt")
    return [shape]


def electrolytic(symbol: Symbol, style: str) -> Sequence[Element]:
    """A straight plate for plus, a curved one for minus, and a plus sign clear of both."""
    at, shape = Along(symbol), Shape()
    shape.line(at(-0.09, -0.3), at(-0.09, 0.3), lw=1.6, capstyle="butt")
    # circle through (0.09, 0) and (0.17, +-0.3): radius (0.3^2 + 0.08^2) / (2 * 0.08)
    radius = (0.3**2 + 0.08**2) / (2 * 0.08)
    reach = math.degrees(math.asin(0.3 / radius))
    shape.arc(at(0.09 + radius, 0.0), radius, 180 + at.angle - reach, 180 + at.angle + reach, lw=1.6)
    side = -0.27 if at.u[1] < -0.5 else 0.27  # the plus stands to the left of an upright, above a level one
    x = -0.28
    shape.line(at(x - 0.07, side), at(x + 0.07, side), lw=FINE)
    shape.line(at(x, side - 0.07), at(x, side + 0.07), lw=FINE)
    return [shape]


def choke(symbol: Symbol, style: str) -> Sequence[Element]:
    """Four turns and an iron core."""
    at, shape = Along(symbol), Shape()
    for index in range(4):
        shape.arc(at(-0.6 + 0.4 * index, 0), 0.2, at.angle, at.angle + 180)
    for y in (0.27, 0.34):
        shape.line(at(-0.75, y), at(0.75, y))
    return [shape]


def diode(symbol: Symbol, style: str) -> Sequence[Element]:
    """Anode first."""
    return [_diode(symbol)]


def _diode(symbol: Symbol) -> Shape:
    at, shape = Along(symbol), Shape()
    shape.solid(at(-0.23, 0.25), at(-0.23, -0.25), at(0.2, 0.0))
    shape.line(at(0.22, 0.26), at(0.22, -0.26), lw=1.4, capstyle="butt")
    return shape


def led(symbol: Symbol, style: str) -> Sequence[Element]:
    """A diode with two rays."""
    at, shape = Along(symbol), _diode(symbol)
    for x in (-0.05, 0.15):
        a, b = at(x, 0.28), at(x + 0.14, 0.5)
        shape.segments.append(Segment([a, b], lw=FINE, color=INK, arrow="->", arrowwidth=0.09, arrowlength=0.11))
    return [shape]


def fuse(symbol: Symbol, style: str) -> Sequence[Element]:
    """A box with the conductor going through (IEC 60617)."""
    at, shape = Along(symbol), Shape()
    shape.line(at(-0.45, -0.2), at(-0.45, 0.2), at(0.45, 0.2), at(0.45, -0.2), at(-0.45, -0.2))
    shape.line(at(-0.45, 0), at(0.45, 0))
    return [shape]


def lamp(symbol: Symbol, style: str) -> Sequence[Element]:
    """A circle with a cross."""
    at, shape = Along(symbol), Shape()
    shape.ring(at(0, 0), 0.35)
    far = 0.35 * math.sqrt(0.5)
    shape.line(at(-far, -far), at(far, far))
    shape.line(at(-far, far), at(far, -far))
    return [shape]


def neon(symbol: Symbol, style: str) -> Sequence[Element]:
    """Two electrodes in gas, which the dot says."""
    at, shape = Along(symbol), Shape()
    shape.ring(at(0, 0), 0.35)
    for sign in (-1.0, 1.0):
        shape.line(at(sign * 0.35, 0), at(sign * 0.09, 0))
        shape.line(at(sign * 0.09, -0.15), at(sign * 0.09, 0.15), lw=1.4)
    shape.ring(at(0.18, -0.2), 0.03, fill=INK, lw=0.4)
    return [shape]


def switch(symbol: Symbol, style: str) -> Sequence[Element]:
    """One pole, drawn open; params["low"] turns the lever to the other side."""
    at, shape = Along(symbol), Shape()
    sign = -1.0 if symbol.params.get("low") else 1.0
    for x in (-0.43, 0.43):
        shape.ring(at(x, 0), 0.07, fill=PAPER)
    shape.line(at(-0.37, sign * 0.04), at(0.4, sign * 0.42), lw=1.3)
    return [shape]


def bond(symbol: Symbol, style: str) -> Sequence[Element]:
    """One conductor, screwed at both ends."""
    at, shape = Along(symbol), Shape()
    shape.line(at(-0.38, 0), at(0.38, 0), lw=BOLD)
    for x in (-0.38, 0.38):
        shape.ring(at(x, 0), 0.07, fill=PAPER)
    return [shape]


def loop_breaker(symbol: Symbol, style: str) -> Sequence[Element]:
    """A box."""
    at, shape = Along(symbol), Shape()
    shape.line(at(-0.45, -0.3), at(-0.45, 0.3), at(0.45, 0.3), at(0.45, -0.3), at(-0.45, -0.3))
    return [shape]


def heater(symbol: Symbol, style: str) -> Sequence[Element]:
    """A hairpin lying on its side."""
    at, shape = Along(symbol), Shape()
    shape.line(at(-0.4, 0), at(-0.27, 0), at(0, -0.3), at(0.27, 0), at(0.4, 0), lw=1.4)
    return [shape]


def coil(symbol: Symbol, style: str) -> Sequence[Element]:
    """Upright turns from the first point down to the second; params["side"]: where they bulge."""
    shape = Shape()
    (x, top), (_, bottom) = symbol.points[0], symbol.points[1]
    turns = max(1, round((top - bottom) / BUMP))
    radius = (top - bottom) / turns / 2
    for index in range(turns):
        at = (x, top - radius * (2 * index + 1))
        shape.arc(at, radius, -90 if symbol.params["side"] == "right" else 90, 90 if symbol.params["side"] == "right" else 270)
    return [shape]


def strokes(symbol: Symbol, style: str) -> Sequence[Element]:
    """Lines as they are: params["lw"], ["ls"]; ["closed"] for an outline filled with paper; points (nan, nan) part them."""
    shape = Shape()
    width = float(symbol.params.get("lw", WIRE))  # type: ignore[arg-type]
    if symbol.params.get("closed"):
        shape.panel(*symbol.points, lw=width)
    elif symbol.params.get("solid"):
        shape.solid(*symbol.points)
    else:
        shape.line(*symbol.points, lw=width, ls=symbol.params.get("ls"))
    return [shape]


def ring(symbol: Symbol, style: str) -> Sequence[Element]:
    """An open terminal, or a circle of params["radius"]."""
    shape = Shape()
    shape.ring(symbol.points[0], float(symbol.params.get("radius", 0.08)), fill=PAPER)  # type: ignore[arg-type]
    return [shape]


def spot(symbol: Symbol, style: str) -> Sequence[Element]:
    """A phase dot."""
    shape = Shape()
    shape.ring(symbol.points[0], 0.05, fill=INK, lw=0.4)
    return [shape]


def _tube(symbol: Symbol, style: str) -> Sequence[Element]:
    from .tube_symbols import tube

    return tube(symbol)


SYMBOLS: dict[str, Callable[[Symbol, str], Sequence[Element]]] = {
    "resistor": resistor,
    "photocell": photocell,
    "pot": pot,
    "capacitor": capacitor,
    "electrolytic": electrolytic,
    "choke": choke,
    "diode": diode,
    "led": led,
    "fuse": fuse,
    "lamp": lamp,
    "neon": neon,
    "switch": switch,
    "bond": bond,
    "loop-breaker": loop_breaker,
    "heater": heater,
    "coil": coil,
    "strokes": strokes,
    "ring": ring,
    "spot": spot,
    "tube": _tube,
}


# -- marks ------------------------------------------------------------------------------------------------------------
def draw_mark(shape: Shape, mark: Mark) -> None:
    """Ground, protective earth, B+ arrow or flag."""
    x, y = mark.at
    if mark.kind == "ground":
        bars(shape, x, y, ((0.0, 0.28), (0.11, 0.18), (0.22, 0.08)))
    elif mark.kind == "earth":
        shape.ring((x, y - 0.4), 0.36)
        shape.line((x, y), (x, y - 0.32))
        bars(shape, x, y - 0.32, ((0.0, 0.22), (0.1, 0.14), (0.2, 0.06)))
    elif mark.kind == "arrow":
        shape.solid((x - 0.16, y), (x + 0.16, y), (x, y + 0.34))
    elif mark.kind == "open":
        shape.ring((x + 0.07, y) if mark.side == "right" else (x, y), 0.07, fill=PAPER)
    elif mark.kind == "flag":
        flag(shape, mark)


def flag(shape: Shape, mark: Mark) -> None:
    """A pentagon that points where the signal goes: away from the wire on the right, to the wire on the left."""
    x, y = mark.at
    far = x - flag_width(mark.text) if mark.side == "left" else x + flag_width(mark.text)
    left, right = min(x, far), max(x, far)
    half, tip = 0.24, right - 0.26
    shape.panel((left, y - half), (left, y + half), (tip, y + half), (right, y), (tip, y - half), fill=FLAG)


def bars(shape: Shape, x: float, y: float, rows: Iterable[tuple[float, float]]) -> None:
    """Level strokes of falling length."""
    for drop, half in rows:
        shape.line((x - half, y - drop), (x + half, y - drop), lw=1.5, capstyle="butt")

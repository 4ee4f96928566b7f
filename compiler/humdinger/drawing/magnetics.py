"""Coils, cores and taps, from which transformers are drawn."""

from __future__ import annotations

from ..circuit.netlist import OutputTransformer
from .geometry import Box, Point
from .pen import Pen
from .shapes import BUMP

CORE = 0.46
"""From a coil's line of leads to the nearer line of the core."""
PITCH = 0.16
"""Between the two lines of the core."""
ACROSS = 2 * CORE + PITCH
"""From the primary's leads to the secondary's."""


def coil(pen: Pen, ref: str, x: float, top: float, turns: int, side: str) -> float:
    """A coil whose leads are at x, bulging to `side`. Returns the height of its lower end."""
    bottom = top - turns * BUMP
    reach = BUMP / 2
    body = Box(x, bottom, x + reach, top) if side == "right" else Box(x - reach, bottom, x, top)
    pen.block.symbol(("part", ref), "coil", ((x, top), (x, bottom)), (body,), side=side)
    return bottom


def core(pen: Pen, ref: str, x: float, top: float, bottom: float, *, screen: Point | None = None) -> None:
    """Iron between a primary at x and its secondaries; `screen` is where an earthed screen's dashed line ends."""
    for at in (x + CORE, x + CORE + PITCH):
        pen.block.symbol(("part", ref), "strokes", ((at, top), (at, bottom)), (Box(at - 0.02, bottom, at + 0.02, top),), lw=1.3)
    if screen is not None:
        pen.block.symbol(("part", ref), "strokes", ((screen[0], top), screen), lw=0.8, ls="3,2.4")


def tag(pen: Pen, ref: str, pin: str, at: Point, text: str = "", *, side: str = "right") -> None:
    """A terminal of a coil, its name above the lead."""
    pen.block.terminal(ref, pin, pen.net(ref, pin), at)
    x = at[0] + (0.12 if side == "right" else -0.12)
    pen.block.text(("part", ref), (x, at[1] + 0.08), text or pin, "pin", "start" if side == "right" else "end")


def phase_dot(pen: Pen, ref: str, at: Point) -> None:
    """Marks the end of a coil that moves with the dotted ends of the others."""
    pen.block.symbol(("part", ref), "spot", (at,), ())


def open_end(pen: Pen, net: str, at: Point, side: str = "right") -> None:
    """A short lead to an open end, which the net's own note explains."""
    sign = 1.0 if side == "right" else -1.0
    end = (at[0] + sign * 0.75, at[1])
    pen.wire(net, at, end)
    pen.block.mark("open", net, end)
    pen.block.text(("net", net), (end[0] + sign * 0.3, at[1] - 0.08), "unused", "note", "start" if sign > 0 else "end")


def output_secondary(pen: Pen, ref: str, x: float, middle: float) -> dict[str, Point]:
    """The secondary of an output transformer centred on a height: pin -> where its lead leaves, "0" at the bottom.

    Taps stand where their turns are; they need room for their names, so neighbours are at least two turns apart.
    """
    part = pen.part(ref)
    assert isinstance(part, OutputTransformer)
    taps = sorted(part.taps, key=lambda t: t.ohms)
    places: list[int] = []
    turns = 8
    for tap in taps:
        place = round(turns * (tap.ohms / taps[-1].ohms) ** 0.5)
        places.append(max(place, places[-1] + 2 if places else 2))
    turns = places[-1]
    bottom = middle - turns * BUMP / 2
    coil(pen, ref, x, bottom + turns * BUMP, turns, "left")
    found = {"0": (x, bottom)}
    tag(pen, ref, "0", (x, bottom))
    for tap, place in zip(taps, places, strict=True):
        at = (x, bottom + place * BUMP)
        found[tap.pin] = at
        tag(pen, ref, tap.pin, at, f"{tap.ohms:g} Ω")
    phase_dot(pen, ref, (x - 0.3, bottom + turns * BUMP + 0.08))
    return found

"""Jacks: the sleeve as a bar, the tip as a bent spring, open circles for the solder tags, an arrow for the contact that opens."""

from __future__ import annotations

from ..circuit.netlist import GROUND, Jack
from .geometry import Box, Point
from .pen import Pen


def jack(pen: Pen, ref: str, at: Point, *, mirror: bool = False, drop: float = 1.0) -> float:
    """A jack whose tip tag is at the height of `at`, its back at at.x; `mirror` turns the tags to the left. Returns x of the tags.

    The contact and the sleeve are wired to each other and to ground here when both are on circuit ground.
    """
    part = pen.part(ref)
    assert isinstance(part, Jack)
    x0, y = at
    s = -1.0 if mirror else 1.0
    owner = ("part", ref)
    block = pen.block
    low = y - drop - (0.35 if part.switched else 0.0)
    tags = x0 + s * 1.75
    bar = ((x0, low), (x0, low + 0.85), (x0 + s * 0.2, low + 0.85), (x0 + s * 0.2, low))
    spring = (x0 + s * 0.35, tags)
    bodies = (
        Box(min(x0, x0 + s * 0.2), low, max(x0, x0 + s * 0.2), low + 0.85),
        Box(min(spring), y - 0.2, max(spring), y + 0.1),
        Box(tags - 0.08, low - 0.08, tags + 0.08, y + 0.08),
    )
    # sleeve: a bar at the back, its lead along the bottom
    block.symbol(owner, "strokes", bar, bodies, closed=True)
    block.symbol(owner, "strokes", ((x0 + s * 0.2, low), (tags - s * 0.08, low)))
    # tip: a spring with a bend
    block.symbol(owner, "strokes", ((x0 + s * 0.35, y), (x0 + s * 0.5, y - 0.18), (x0 + s * 0.68, y), (tags - s * 0.08, y)))
    pins = [("tip", y), ("sleeve", low)]
    if part.switched:
        mid = y - 0.5
        block.symbol(owner, "strokes", ((x0 + s * 1.2, y - 0.22), (x0 + s * 1.2, mid), (tags - s * 0.08, mid)))
        block.symbol(
            owner, "strokes", ((x0 + s * 1.2 - 0.1, y - 0.24), (x0 + s * 1.2 + 0.1, y - 0.24), (x0 + s * 1.2, y - 0.04)), solid=True
        )
        pins.append(("tip-switch", mid))
    for name, height in pins:
        block.symbol(owner, "ring", ((tags, height),), radius=0.08)
        block.terminal(ref, name, part.net(name), (tags + s * 0.08, height))
    pen.drawn(ref)
    block.lines(owner, (x0, y + 0.4), pen.rows(ref), "above-left" if not mirror else "above-right")
    return tags + s * 0.08


def jack_ground(pen: Pen, ref: str, tags: float, y: float, foot: float, *, mirror: bool = False, drop: float = 1.0) -> float:
    """Wires sleeve and contact down to a ground symbol; returns x of that wire."""
    part = pen.part(ref)
    assert isinstance(part, Jack)
    s = -1.0 if mirror else 1.0
    low = y - drop - (0.35 if part.switched else 0.0)
    x = tags + s * 0.25
    pen.block.wire(part.net("sleeve"), (tags, low), (x, low), (x, foot))
    if part.switched and part.net("tip-switch") == GROUND:
        pen.block.wire(GROUND, (tags, y - 0.5), (x, y - 0.5), (x, low))
    pen.ground((x, foot), part.net("sleeve"))
    return x


def jack_back(pen: Pen, ref: str, at: Point, *, mirror: bool = False, drop: float = 1.0) -> tuple[Point, Point]:
    """Where a plug touches tip and sleeve of a jack that was drawn with the same arguments."""
    part = pen.part(ref)
    assert isinstance(part, Jack)
    s = -1.0 if mirror else 1.0
    low = at[1] - drop - (0.35 if part.switched else 0.0)
    tip, sleeve = (at[0] + s * 0.35, at[1]), (at[0], low + 0.42)
    pen.block.terminal(ref, "tip", part.net("tip"), tip)
    pen.block.terminal(ref, "sleeve", part.net("sleeve"), sleeve)
    return tip, sleeve

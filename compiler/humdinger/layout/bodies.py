"""What a part takes up on a board, from the table of bodies; None for what is too large or of no size known."""

from __future__ import annotations

from collections.abc import Sequence

from ..circuit.netlist import Capacitor, Diode, Netlist, Part, Resistor
from ..parts.library import load
from .model import Body

DISCS = ("ceramic", "mica")
LENGTH_MM, DIAMETER_MM = 51.0, 27.0
"""The largest body a board of this kind carries on its leads; what is larger is clamped to the chassis (common practice)."""


def bodies(netlist: Netlist) -> dict[str, Body | None]:
    """Designator -> body of every part that could stand on a board."""
    return {part.ref: body_of(part) for part in netlist.parts if isinstance(part, Resistor | Capacitor | Diode)}


def body_of(part: Part) -> Body | None:
    """The body of a part with two axial leads. None when the table has none that is large enough."""
    table = load("bodies")
    if isinstance(part, Resistor):
        kind = "wirewound" if part.technology == "wirewound" else "resistor"
        rows = table["resistor"]["wirewound" if kind == "wirewound" else "film"]
        found = _first(rows, (part.watts or table["unrated_watts"],))
    elif isinstance(part, Capacitor):
        kind = "disc" if part.technology in DISCS else part.technology
        rows = table["capacitor"].get(kind)
        if rows is None:
            return None
        volts = part.volts or (table["unrated_volts"] if kind == "film" else 0.0)
        found = _first(rows, (volts, part.farads))
    elif isinstance(part, Diode):
        kind = "diode"
        found = _first(table["diode"], (float(part.type.average_amps),))
    else:
        return None
    if found is None or found[0] > LENGTH_MM or found[1] > DIAMETER_MM:
        return None
    return Body(kind, found[0], found[1], table["source"])


def _first(rows: Sequence[Sequence[float]], ratings: tuple[float, ...]) -> tuple[float, float] | None:
    """Length and diameter of the smallest body that all ratings fit."""
    best: tuple[float, float] | None = None
    for row in rows:
        *limits, length, diameter = row
        if any(value > limit * 1.001 for value, limit in zip(ratings, limits, strict=True)):
            continue
        if best is None or length * diameter**2 < best[0] * best[1] ** 2:
            best = (length, diameter)
    return best

"""How a resistor is marked: which get colour bands, and the letters that stand for a colour (IEC 60757, from memory)."""

from __future__ import annotations

from ..circuit.netlist import Resistor
from ..units import colour_bands

PRINTED_WATTS = 3.0
"""From this size on a resistor has its value printed on it (common practice)."""
FINE = 0.02
"""Tolerances up to this come with five bands (common practice)."""
USUAL_TOLERANCE = 0.05
"""What a resistor without a tolerance is bought as (common practice)."""

BAND_CODES = {
    "black": "BK", "brown": "BN", "red": "RD", "orange": "OG", "yellow": "YE", "green": "GN", "blue": "BU", "violet": "VT", "grey": "GY",
    "white": "WH", "gold": "GD", "silver": "SR",
}  # fmt: skip


def tolerance(part: Resistor) -> float:
    """Its tolerance; the usual one where the spec gives none."""
    return part.tolerance if part.tolerance is not None else USUAL_TOLERANCE


def bands(part: Resistor) -> tuple[str, ...]:
    """Its colour bands from the end inwards; empty for what has its value printed on it."""
    if part.technology in ("wirewound", "ntc") or (part.watts or 0.0) >= PRINTED_WATTS:
        return ()
    for count in (5,) if tolerance(part) <= FINE else (4, 5):
        found = colour_bands(part.ohms, tolerance(part), count)
        if isinstance(found, tuple):
            return found
    return ()

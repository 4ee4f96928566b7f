"""Wire gauges by the formula of ASTM B258, and what a length of copper costs in ohms."""

from __future__ import annotations

import math

COPPER_OHM_METRES = 1e-6 / 58
"""Resistivity of annealed copper at 20 °C: 1/58 ohm mm2/m, the 100 % conductivity standard (IEC 60028; from memory)."""

THICKEST, THINNEST = -3, 50
"""Gauge 0000 is -3."""


def awg_diameter_mm(gauge: int) -> float:
    """Diameter of solid wire: d = 0.127 mm x 92^((36 - n)/39), ASTM B258. ValueError outside 0000 to 50."""
    if not THICKEST <= gauge <= THINNEST:
        raise ValueError(f"there is no wire gauge {gauge}")
    return 0.127 * 92 ** ((36 - gauge) / 39)


def awg_area_mm2(gauge: int) -> float:
    """Copper area of a gauge."""
    return math.pi / 4 * awg_diameter_mm(gauge) ** 2


def awg_ohm_per_km(gauge: int, ohm_metres: float = COPPER_OHM_METRES) -> float:
    """Resistance of a kilometre of a gauge at 20 °C."""
    return ohm_per_km(awg_area_mm2(gauge), ohm_metres)


def ohm_per_km(area_mm2: float, ohm_metres: float = COPPER_OHM_METRES) -> float:
    """Resistance of a kilometre of wire of an area."""
    return ohm_metres * 1e9 / area_mm2


def nearest_awg(area_mm2: float) -> int:
    """The gauge whose area has the smallest ratio to a positive area."""
    return min(range(THICKEST, THINNEST + 1), key=lambda n: abs(math.log(awg_area_mm2(n) / area_mm2)))

"""How a computed number reads in a finding: three digits, and nothing smaller than a meter shows.

What a person wrote into the spec is printed as written (`units.show_...`). A number beside its limit gets a fourth and fifth digit only
where three would make the two look alike.
"""

from __future__ import annotations

from ..analysis.probing import READABLE_VOLTS
from ..units import show, show_amps, show_number, show_ohms, show_seconds, show_volts, show_watts, significant
from ..units.values import Quantity

READABLE_RIPPLE = 1e-4
"""Volts peak to peak that a bench oscilloscope still shows (common practice)."""
READABLE_AMPS = 1e-8
READABLE_WATTS = 1e-4


def say_volts(value: float, limit: float | None = None) -> str:
    """Computed volts; 0 V below what a hand-held meter shows."""
    return show_volts(_digits(0.0 if abs(value) < READABLE_VOLTS else value, limit))


def say_ripple(value: float) -> str:
    """Computed ripple, peak to peak: in millivolts below one volt, as an oscilloscope is read."""
    if value >= 1.0:
        return show_volts(_digits(value))
    return f"less than {1e3 * READABLE_RIPPLE:g} mV" if value < READABLE_RIPPLE else f"{1e3 * _digits(value):.3g} mV"


def say_amps(value: float, limit: float | None = None) -> str:
    """Computed amps; 0 A below 10 nA."""
    return show_amps(_digits(0.0 if abs(value) < READABLE_AMPS else value, limit))


def say_watts(value: float, limit: float | None = None) -> str:
    """Computed watts; 0 W below 0.1 mW."""
    return show_watts(_digits(0.0 if abs(value) < READABLE_WATTS else value, limit))


def say_ohms(value: float, limit: float | None = None) -> str:
    """Computed ohms."""
    return show_ohms(_digits(value, limit))


def say_seconds(value: float) -> str:
    """Computed seconds."""
    return show_seconds(_digits(value))


def say_volt_amps(value: float, limit: float | None = None) -> str:
    """Computed volt-amps."""
    return show(Quantity(_digits(value, limit), "VA"))


def say_ratio(value: float) -> str:
    """A computed number without a unit."""
    return show_number(_digits(value))


def _digits(value: float, limit: float | None = None) -> float:
    """The value to three digits; to four or five where it and an unequal limit are the same to fewer."""
    for digits in (3, 4):
        rounded = significant(value, digits)
        if limit is None or value == limit or rounded != significant(limit, digits):
            return rounded
    return significant(value, 5)

"""How states and numbers read on a page: computed numbers to three digits, and nothing smaller than a meter shows."""

from __future__ import annotations

import math

from ..analysis.probing import READABLE_VOLTS
from ..units import (
    show,
    show_amps,
    show_farads,
    show_henries,
    show_hertz,
    show_joules,
    show_ohms,
    show_percent,
    show_seconds,
    show_volts,
    show_watts,
    significant,
)
from ..units.values import Quantity

STATES = {
    "nominal": "nominal mains",
    "high": "high mains",
    "low": "low mains",
    "no-tubes": "no tubes",
    "no-tubes-high": "no tubes, mains at its highest",
    "small-tubes": "small tubes only",
}

DIGITS = 3
READABLE_RIPPLE = 1e-4
"""Volts peak to peak that a bench oscilloscope still shows (common practice)."""


def state(name: str) -> str:
    """A condition as a builder says it; other words pass as they are."""
    return STATES.get(name, name)


def computed(value: float) -> float:
    """A computed value as a page gives it. The number formatter writes out what has up to five digits, as a written value has."""
    return significant(value, DIGITS) if math.isfinite(value) else value


def volts(value: float) -> str:
    """Computed volts."""
    return show_volts(computed(value))


def amps(value: float) -> str:
    """Computed amps."""
    return show_amps(computed(value))


def ohms(value: float) -> str:
    """Computed ohms."""
    return show_ohms(computed(value))


def watts(value: float) -> str:
    """Computed watts."""
    return show_watts(computed(value))


def volt_amps(value: float) -> str:
    """Computed volt-amps."""
    return show(Quantity(computed(value), "VA"))


def farads(value: float) -> str:
    """Computed farads."""
    return show_farads(computed(value))


def henries(value: float) -> str:
    """Computed henries."""
    return show_henries(computed(value))


def joules(value: float) -> str:
    """Computed joules."""
    return show_joules(computed(value))


def seconds(value: float) -> str:
    """Computed seconds."""
    return show_seconds(computed(value))


def hertz(value: float) -> str:
    """Computed hertz."""
    return show_hertz(computed(value))


def percent(value: float) -> str:
    """Computed percent, given as percent."""
    return show_percent(computed(value) / 100.0)


def chart_volts(value: float) -> str:
    """Volts as a meter shows them: nothing below 5 mV."""
    return volts(0.0 if abs(value) < READABLE_VOLTS else value)


def ripple_volts(value: float) -> str:
    """Ripple as an oscilloscope shows it."""
    return f"< {1e3 * READABLE_RIPPLE:g} mV" if value < READABLE_RIPPLE else volts(value)

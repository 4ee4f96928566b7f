"""How states and numbers read on a page."""

from __future__ import annotations

from ..units import show_volts

STATES = {
    "nominal": "nominal mains",
    "high": "high mains",
    "low": "low mains",
    "no-tubes": "no tubes",
    "no-tubes-high": "no tubes, mains at its highest",
    "small-tubes": "small tubes only",
}

READABLE_VOLTS = 0.005
"""Below half a hundredth of a volt a hand-held meter shows nothing that means anything."""


def state(name: str) -> str:
    """A condition as a builder says it; other words pass as they are."""
    return STATES.get(name, name)


def chart_volts(volts: float) -> str:
    """Volts as a meter shows them: nothing below 5 mV."""
    return show_volts(0.0 if abs(volts) < READABLE_VOLTS else volts)

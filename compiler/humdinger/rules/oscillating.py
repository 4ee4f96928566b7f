"""What the rules about the tremolo have in common."""

from __future__ import annotations

from ..analysis.results import Tremolo
from ..circuit.netlist import StageInstance
from .model import Case

AT_THE_GRIDS = ("", "output-grids", "bias-supply")
"""Points of injection that move the output tubes' control grids."""


def oscillator(case: Case) -> StageInstance | None:
    """The oscillator's stage."""
    return case.stage("phase-shift-oscillator")


def said_position(found: Tremolo, position: float | None) -> str:
    """A shaft position as the panel counts it."""
    return f"at {found.speed_control or 'SPEED'} {10.0 * (position or 0.0):.0f}"

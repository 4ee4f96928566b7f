"""Tremolo into the tail of a long-tailed pair: a follower when there is one, the blocking capacitor and the resistor."""

from __future__ import annotations

from ...circuit.netlist import StageInstance
from ..pen import Pen
from .preamp_cathode_injection import to_target


def draw(pen: Pen, stage: StageInstance) -> None:
    """The intensity wiper on the left, the top of the tail on the right."""
    to_target(pen, stage)

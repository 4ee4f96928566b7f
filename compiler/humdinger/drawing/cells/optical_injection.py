"""Tremolo into an optical cell: the follower, its cathode resistor ending on the diode that is drawn in the signal."""

from __future__ import annotations

from ...circuit.netlist import StageInstance
from ..pen import Pen
from .preamp_cathode_injection import wave_source


def draw(pen: Pen, stage: StageInstance) -> None:
    """The intensity wiper on the left; the foot of the cathode resistor leaves as a flag."""
    wave_source(pen, stage)

"""Cathode bias draws nothing of its own: its resistors and bypass capacitors stand under the tubes, in the cell of the output stage."""

from __future__ import annotations

from ...circuit.netlist import StageInstance
from ..pen import Pen


def draw(pen: Pen, stage: StageInstance) -> None:
    """Nothing; see output_parts.bias_parts."""

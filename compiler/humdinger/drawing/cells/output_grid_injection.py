"""Tremolo into the output grids: equal resistors from the intensity wiper to both drive lines."""

from __future__ import annotations

from ...circuit.netlist import StageInstance
from ..geometry import GRID
from ..pen import Pen, role

SPREAD = 0.95


def draw(pen: Pen, stage: StageInstance) -> None:
    """The wiper on the left, the drive lines on the right."""
    pen.block.floats = True
    source = stage.ports["lfo"]
    refs = [(letter, ref) for letter in "ab" if (ref := role(stage, f"through-{letter}"))]
    pen.block.port("lfo", source, (0.0, GRID), "left")
    x = 0.5
    pen.wire(source, (0.0, GRID), (x, GRID))
    for index, (letter, ref) in enumerate(refs):
        y = GRID if len(refs) == 1 else GRID + (SPREAD if index == 0 else -SPREAD)
        start, end = (x + 0.2, y), (x + 0.2 + max(2.0, pen.width(ref, level=True) + 0.3), y)
        pen.wire(source, (x, GRID), (x, y), start)
        pen.two(ref, start, end, start=source, label="above" if index == 0 else "below")
        pen.block.port(f"drive-{letter}", stage.ports[f"drive-{letter}"], end, "right")

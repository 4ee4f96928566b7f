"""Volume: a pot from the OUT line to ground, its wiper at grid height."""

from __future__ import annotations

from ...circuit.netlist import StageInstance
from ..geometry import GRID, LOW, OUT
from ..pen import Pen


def draw(pen: Pen, stage: StageInstance) -> None:
    """In at plate height, out at grid height."""
    pot, source = stage.parts["pot"], stage.ports["in"]
    x = 0.5
    pen.block.port("in", source, (0.0, OUT), "left")
    pen.wire(source, (0.0, OUT), (x, OUT))
    end = pen.pot(pot, (x, OUT), (x, LOW), centre=(x, GRID), label="right-below")
    pen.ground((x, LOW), pen.net(pot, "ccw"))
    pen.block.port("out", stage.ports["out"], end, "right")

"""Master volume: a pot from the OUT line to ground as in volume; behind an inverter one track over the other, their feet together."""

from __future__ import annotations

from ...circuit.netlist import GROUND, StageInstance
from ..common import coupling
from ..geometry import GRID, LOW, OUT, SIDE
from ..pen import Pen, role

HIGH, MIDDLE, DEEP = 9.2, 5.6, 2.0
"""The lines behind an inverter, and where both tracks end between them."""


def draw(pen: Pen, stage: StageInstance) -> None:
    """In at plate height, out at grid height; of two tracks one over the other."""
    if "in" not in stage.ports:
        _two_tracks(pen, stage)
        return
    pot, source = stage.parts["pot"], stage.ports["in"]
    x = 0.5
    pen.block.port("in", source, (0.0, OUT), "left")
    pen.wire(source, (0.0, OUT), (x, OUT))
    end = pen.pot(pot, (x, OUT), (x, LOW), centre=(x, GRID), label="right-below")
    pen.ground((x, LOW), pen.net(pot, "ccw"))
    if ref := role(stage, "coupling"):
        wiper = stage.ports["wiper"]
        start = (end[0] + 0.1, GRID)
        pen.wire(wiper, end, start)
        end = coupling(pen, ref, wiper, start)
    pen.block.port("out", stage.ports["out"], end, "right")


def _two_tracks(pen: Pen, stage: StageInstance) -> None:
    back = stage.ports["back"]
    x = 1.1 if back == GROUND else max(1.1, 0.5 + pen.flag_width(back))
    for letter, top, low in (("a", HIGH, MIDDLE), ("b", DEEP, MIDDLE)):
        pot, source, out = stage.parts[f"pot-{letter}"], stage.ports[f"in-{letter}"], stage.ports[f"out-{letter}"]
        pen.block.port(f"in-{letter}", source, (0.0, top), "left")
        pen.wire(source, (0.0, top), (x, top))
        end = pen.pot(pot, (x, top), (x, low), label="right-below")
        far = (x + SIDE + pen.width(pot) + 0.3, end[1])
        pen.wire(out, end, far)
        pen.block.port(f"out-{letter}", out, far, "right")
    side = (x - 0.5, MIDDLE)
    pen.wire(back, (x, MIDDLE), side)
    if back == GROUND:
        pen.wire(back, side, (side[0], MIDDLE - 0.4))
        pen.ground((side[0], MIDDLE - 0.4), back)
    else:
        pen.flag(back, side, "left")

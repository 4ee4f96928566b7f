"""Optical cell: resistor and photoresistor as a divider; the diode that lights it is drawn beside, on its flag."""

from __future__ import annotations

from ...circuit.netlist import StageInstance
from ..common import chain_stopper
from ..geometry import GRID, LOW, SIDE
from ..pen import Pen

DIODE = 3.2
"""Where the diode hangs."""


def draw(pen: Pen, stage: StageInstance) -> None:
    """In and out at grid height; the diode to the right of what goes to ground."""
    resistor, cell = stage.parts["resistor"], stage.parts["cell"]
    source, out = stage.ports["in"], stage.ports["out"]
    pen.block.port("in", source, (0.0, GRID), "left")
    shunt = stage.facts["arrangement"] == "shunt"
    wide = pen.width(cell)
    if shunt:
        x, _ = chain_stopper(pen, resistor, source, out, 0.3, GRID)
        pen.wire(source, (0.0, GRID), (0.3, GRID))
        x += 0.8
        pen.wire(out, (x - 0.8, GRID), (x, GRID))
        pen.half(cell, "photocell", ("1", "2"), (x, GRID), (x, LOW), label="right")
        pen.ground((x, LOW), pen.net(cell, "2"))
        free = x + SIDE + wide + 0.3
    else:
        way = max(2.2, pen.width(cell, level=True) + 0.3)
        pen.half(cell, "photocell", ("1", "2"), (0.3, GRID), (0.3 + way, GRID), label="below")
        pen.wire(source, (0.0, GRID), (0.3, GRID))
        x = 0.3 + way + 0.4
        pen.wire(out, (0.3 + way, GRID), (x, GRID))
        pen.two(resistor, (x, GRID), (x, LOW), start=out, label="right")
        pen.ground((x, LOW), "0")
        free = x + SIDE + pen.width(resistor) + 0.3
    light = stage.ports["light"]
    at = free + pen.flag_width(light) + 0.9
    pen.flag(light, (at - 0.5, DIODE), "left")
    pen.wire(light, (at - 0.5, DIODE), (at, DIODE), (at, DIODE - 0.3))
    pen.half(cell, "led", ("a", "k"), (at, DIODE - 0.3), (at, LOW), label="right")
    pen.ground((at, LOW), pen.net(cell, "k"))
    end = (at + SIDE + wide + 0.3, GRID)
    pen.wire(out, (x, GRID), end)
    pen.block.port("out", out, end, "right")

"""Presence: from the feedback node a capacitor and a rheostat to ground, beside the feedback's shunt."""

from __future__ import annotations

from ...circuit.netlist import StageInstance
from ..geometry import SIDE
from ..pen import Pen

LINE = 6.6
MIDDLE = LINE - 1.35
FOOT = LINE - 4.2


def draw(pen: Pen, stage: StageInstance) -> None:
    """The feedback node passes from left to right."""
    block = pen.block
    block.floats = True
    capacitor, pot = stage.parts["capacitor"], stage.parts["pot"]
    source, junction = stage.ports["in"], stage.ports["junction"]
    x = 0.5
    block.port("in", source, (0.0, LINE), "left")
    far = (x + SIDE + max(pen.width(capacitor), pen.width(pot)) + 0.2, LINE)
    pen.wire(source, (0.0, LINE), (x, LINE), far)
    block.port("out", source, far, "right")
    pen.two(capacitor, (x, LINE), (x, MIDDLE), start=source, label="right")
    wiper = pen.pot(pot, (x, MIDDLE), (x, FOOT), first="ccw", wiper="right", label="right-below")
    # the wiper goes back to the capacitor, which makes a rheostat of the pot
    pen.wire(junction, wiper, (wiper[0], MIDDLE), (x, MIDDLE))
    pen.ground((x, FOOT), pen.net(pot, "cw"))

"""Three-knob tone: treble, bass and middle pot one under the other, the slope resistor's junction on the left feeding them by capacitors.

The treble wiper stands at plate height and is the output.
"""

from __future__ import annotations

from ...circuit.netlist import StageInstance
from ..geometry import OUT, SIDE
from ..pen import WIPER, Pen

TOP = 9.3
NODE = 4.7
"""Foot of the treble pot, top of the bass pot, line of the bass capacitor."""
FOOT = 2.75
MIDDLE = 1.6
"""Foot of the bass pot; line of the middle capacitor."""
GROUND_LINE = 0.45


def draw(pen: Pen, stage: StageInstance) -> None:
    """In and out at plate height."""
    source, parts = stage.ports["in"], stage.parts
    slope = parts["slope"]
    pen.block.port("in", source, (0.0, OUT), "left")
    left = 0.2 + max(SIDE + pen.width(slope), 0.2 + pen.volts_width(stage.ports["slope"]))
    labels = SIDE + max(pen.width(parts["treble"]), pen.width(parts["bass"]))
    # the label over the bass capacitor ends before that of the treble pot begins
    bass = pen.width(parts["bass-capacitor"], level=True) + labels
    middle = pen.width(parts["middle-capacitor"], level=True) + WIPER
    axis = left + max(2.4, labels + 0.3, bass + 0.4, middle + 0.4)
    pen.wire(source, (0.0, OUT), (left, OUT), (left, TOP), (axis, TOP))
    _slope(pen, stage, left, axis)
    end = _pots(pen, stage, left, axis)
    pen.block.port("out", stage.ports["out"], end, "right")


def _slope(pen: Pen, stage: StageInstance, left: float, axis: float) -> None:
    """The slope resistor and the two capacitors behind it."""
    parts, junction = stage.parts, stage.ports["slope"]
    pen.two(parts["slope"], (left, OUT), (left, NODE), start=stage.ports["in"], label="left")
    pen.node_volts(junction, (left - 0.2, NODE - 0.36))
    body = (left + 0.3 + max(pen.width(parts["bass-capacitor"], level=True), 0.8) / 2, NODE)
    pen.two(parts["bass-capacitor"], (left, NODE), (axis, NODE), start=junction, label="above", centre=body)
    pen.wire(junction, (left, NODE), (left, MIDDLE))
    pen.two(parts["middle-capacitor"], (left, MIDDLE), (axis - WIPER, MIDDLE), start=junction, label="below")


def _pots(pen: Pen, stage: StageInstance, left: float, axis: float) -> tuple[float, float]:
    """The column of pots under the treble capacitor. Returns where the signal leaves."""
    parts, out = stage.parts, stage.ports["out"]
    treble, bass, middle = (parts[name] for name in ("treble", "bass", "middle"))
    top = OUT + 1.05
    pen.two(parts["treble-capacitor"], (axis, TOP), (axis, top), start=stage.ports["in"], label="right")
    wiper = pen.pot(treble, (axis, top), (axis, NODE), wiper="right", label="left", centre=(axis, OUT))
    # the bass wiper goes back to the top, which makes a rheostat of the pot
    tied = pen.pot(bass, (axis, NODE), (axis, FOOT), wiper="right", label="left")
    pen.wire(stage.ports["bass-top"], tied, (tied[0], NODE), (axis, NODE))
    pen.pot(middle, (axis, FOOT), (axis, GROUND_LINE), wiper="left", label="right", centre=(axis, MIDDLE))
    pen.ground((axis, GROUND_LINE), pen.net(middle, "ccw"))
    end = (max(wiper[0] + 0.75, axis + SIDE + max(pen.width(middle), pen.width(parts["treble-capacitor"]))), OUT)
    pen.wire(out, wiper, end)
    return end

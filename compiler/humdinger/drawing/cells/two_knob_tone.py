"""Two-knob tone: bass branch on the left, treble branch on the right, both hanging from a line above the row.

The treble wiper stands at plate height and is the output; the bass wiper reaches it through the isolation resistor.
"""

from __future__ import annotations

from ...circuit.netlist import StageInstance
from ..geometry import GRID, LOW, OUT, SIDE
from ..pen import Pen

TOP = 8.9


def draw(pen: Pen, stage: StageInstance) -> None:
    """In and out at plate height."""
    source, out = stage.ports["in"], stage.ports["out"]
    parts = stage.parts
    pen.block.port("in", source, (0.0, OUT), "left")
    rise = 0.35
    bass = rise + 0.35 + SIDE + max(pen.width(parts["bass"]), pen.width(parts["bass-slope"]), pen.width(parts["bass-end"]))
    side = _bass(pen, stage, bass)
    treble, wiper = _treble(pen, stage, side)
    pen.wire(source, (0.0, OUT), (rise, OUT), (rise, TOP), (bass, TOP), (treble, TOP))
    _isolation(pen, stage, side, wiper)
    end = (wiper[0] + 0.75, OUT)
    pen.wire(out, wiper, end)
    pen.block.port("out", out, end, "right")


def _bass(pen: Pen, stage: StageInstance, x: float) -> float:
    """The bass branch at x, its two capacitors beside the pot. Returns how far right it reaches."""
    parts = stage.parts
    slope, pot, end = parts["bass-slope"], parts["bass"], parts["bass-end"]
    top, foot = GRID + 1.3, GRID - 1.3
    high, low = pen.net(pot, "cw"), pen.net(pot, "ccw")
    pen.two(slope, (x, TOP), (x, top), start=stage.ports["in"], label="left", centre=(x, TOP - 1.1))
    wiper = pen.pot(pot, (x, top), (x, foot), wiper="right", label="left")
    beside = x + 1.15
    for ref, a, b, net in (
        (parts["bass-upper"], top, GRID, high),
        (parts["bass-lower"], GRID, foot, stage.ports["bass-wiper"]),
    ):
        pen.two(ref, (beside, a), (beside, b), start=net, label="right")
    pen.wire(high, (x, top), (beside, top))
    pen.wire(low, (x, foot), (beside, foot))
    pen.wire(stage.ports["bass-wiper"], wiper, (beside, GRID))
    pen.two(end, (x, foot), (x, LOW), start=low, label="left", centre=(x, (foot + LOW) / 2 + 0.1))
    pen.ground((x, LOW))
    return beside + SIDE + max(pen.width(parts["bass-upper"]), pen.width(parts["bass-lower"]))


def _treble(pen: Pen, stage: StageInstance, left: float) -> tuple[float, tuple[float, float]]:
    """The treble branch right of `left`. Returns its x and the wiper's point."""
    parts = stage.parts
    pot = parts["treble"]
    labels = max(pen.width(pot), pen.width(parts["treble-upper"]), pen.width(parts["treble-lower"]))
    x = left + 0.35 + max(1.9, labels + SIDE, pen.width(parts["isolation"], level=True) + 0.7)
    top, foot = OUT + 1.0, OUT - 0.85
    pen.two(parts["treble-upper"], (x, TOP), (x, top), start=stage.ports["in"], label="left")
    wiper = pen.pot(pot, (x, top), (x, foot), wiper="right", label="left", centre=(x, OUT))
    pen.two(parts["treble-lower"], (x, foot), (x, LOW), start=pen.net(pot, "ccw"), label="left", centre=(x, 2.6))
    pen.ground((x, LOW))
    return x, wiper


def _isolation(pen: Pen, stage: StageInstance, left: float, wiper: tuple[float, float]) -> None:
    """From the bass wiper under the treble pot, over its column, up to the treble wiper."""
    ref = stage.parts["isolation"]
    start = next(t.at for t in pen.block.terminals if t.ref == stage.parts["bass-lower"] and t.net == stage.ports["bass-wiper"])
    column = wiper[0] - 0.65
    a, b = (left - 0.1, GRID), (column - 0.45, GRID)
    pen.wire(stage.ports["bass-wiper"], start, a)
    pen.two(ref, a, b, start=stage.ports["bass-wiper"], label="below")
    turn = wiper[0] + 0.35
    pen.wire(stage.ports["out"], b, (turn, GRID), (turn, OUT))

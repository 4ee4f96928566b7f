"""Bass cut: a series capacitor in the OUT line, bridged from below by a pot as a rheostat."""

from __future__ import annotations

from ...circuit.netlist import StageInstance
from ..geometry import OUT
from ..pen import Pen

UNDER = 1.35
"""The rheostat runs this far under the line."""


def draw(pen: Pen, stage: StageInstance) -> None:
    """In and out at plate height."""
    source, out = stage.ports["in"], stage.ports["out"]
    capacitor, pot = stage.parts["capacitor"], stage.parts["pot"]
    left, low = 0.4, OUT - UNDER
    right = left + max(2.4, pen.width(capacitor, level=True) + 0.4)
    pen.block.port("in", source, (0.0, OUT), "left")
    pen.wire(source, (0.0, OUT), (left, OUT))
    pen.two(capacitor, (left, OUT), (right, OUT), start=source, label="above")
    pen.wire(source, (left, OUT), (left, low))
    pen.wire(out, (right, OUT), (right, low))
    end = pen.pot(pot, (left, low), (right, low), wiper="below", label="below")
    # the wiper goes back to the clockwise-off end, which makes a rheostat of the pot
    turn = right - 0.35
    pen.wire(pen.net(pot, "wiper"), end, (turn, end[1]), (turn, low))
    _drop_label(pen, pot, end[1])
    pen.wire(out, (right, OUT), (right + 0.4, OUT))
    pen.block.port("out", out, (right + 0.4, OUT), "right")


def _drop_label(pen: Pen, pot: str, under: float) -> None:
    """Moves the pot's label under its wiper wire."""
    block = pen.block
    block.texts[:] = [t for t in block.texts if t.owner != ("part", pot)]
    x = next(s.points[2][0] for s in block.symbols if s.owner == ("part", pot))
    block.lines(("part", pot), (x, under - 0.17), pen.rows(pot), "below")

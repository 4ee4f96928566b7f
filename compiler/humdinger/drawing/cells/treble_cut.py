"""Treble cut: capacitor and rheostat hang from the signal line, or between the two lines behind an inverter."""

from __future__ import annotations

from ...circuit.netlist import GROUND, StageInstance
from ..geometry import LOW, OUT, SIDE
from ..pen import Pen

HIGH, DEEP = 8.6, 3.4
"""The lines behind an inverter."""
BODY = 0.85
"""From the pot's end to the middle of its body."""


def draw(pen: Pen, stage: StageInstance) -> None:
    """The signal passes from left to right at plate height."""
    if "in" in stage.ports:
        right = _branch(pen, stage, stage.ports["in"], OUT, LOW)
        pen.ground((0.5, LOW), GROUND)
        _pass(pen, "", stage.ports["in"], OUT, right)
        return
    right = _branch(pen, stage, stage.ports["in-a"], HIGH, DEEP)
    _pass(pen, "-a", stage.ports["in-a"], HIGH, right)
    _pass(pen, "-b", stage.ports["in-b"], DEEP, right)


def _pass(pen: Pen, suffix: str, net: str, y: float, right: float) -> None:
    """A line that nothing interrupts."""
    pen.block.port(f"in{suffix}", net, (0.0, y), "left")
    pen.wire(net, (0.0, y), (0.5, y), (right, y))
    pen.block.port(f"out{suffix}", net, (right, y), "right")


def _branch(pen: Pen, stage: StageInstance, source: str, top: float, low: float) -> float:
    """Capacitor over rheostat. Returns how far right they reach."""
    capacitor, pot, junction = stage.parts["capacitor"], stage.parts["pot"], stage.ports["junction"]
    middle = low + (top - low) * 0.6
    x = 0.5
    pen.two(capacitor, (x, top), (x, middle), start=source, label="right")
    # the pot's body as high as it goes: its label of four rows stands under the wiper and over the lower line
    wiper = pen.pot(pot, (x, middle), (x, low), wiper="right", label="right-below", centre=(x, middle - BODY))
    # the wiper goes back to the capacitor, which makes a rheostat of the pot
    pen.wire(junction, wiper, (wiper[0], middle), (x, middle))
    return x + SIDE + max(pen.width(capacitor), pen.width(pot)) + 0.2

"""Effects loop: the send's divider, the two jacks back to back, the return level; the empty return rests on the send by a line below."""

from __future__ import annotations

from ...circuit.netlist import StageInstance
from ..common import coupling
from ..geometry import GRID, LOW, OUT, SIDE
from ..jacks import jack, jack_ground
from ..pen import Pen, role

FOOT = 2.7
"""Grounds of the jacks."""
BELOW = 1.6
"""The line from the send to the contact of the return."""
TAGS = 1.83
"""From the tags of a jack to its back."""
APART = 1.5
"""Between the backs: room for their names."""


def draw(pen: Pen, stage: StageInstance) -> None:
    """In at plate height, jacks and out at grid height."""
    tip, came = stage.ports["out-send"], stage.ports["return"]
    x = _send(pen, stage, tip)
    send, back = stage.parts["send-jack"], stage.parts["return-jack"]
    column = x + 0.3
    # mirrored jack: its tags face the amp; room for its own ground beside them
    tags = column + 0.6
    pen.wire(tip, (x, GRID), (column, GRID), (tags, GRID))
    jack(pen, send, (tags + TAGS, GRID), mirror=True)
    jack_ground(pen, send, tags, GRID, FOOT, mirror=True)
    start = tags + TAGS + APART
    far = jack(pen, back, (start, GRID))
    jack_ground(pen, back, far, GRID, FOOT)
    contact = far + 0.65
    pen.wire(tip, (column, GRID), (column, BELOW), (contact, BELOW), (contact, GRID - 0.5), (far, GRID - 0.5))
    _return(pen, stage, came, far, contact + 0.4)


def _send(pen: Pen, stage: StageInstance, tip: str) -> float:
    """Capacitor and series resistor along the upper line, pot or shunt down from it. Returns x where the tip's line goes on."""
    net = stage.ports["in"]
    pen.block.port("in", net, (0.0, OUT), "left")
    pot, shunt = role(stage, "send-pot"), role(stage, "send-shunt")
    behind = stage.ports.get("top", tip)
    at = (0.0, OUT)
    for ref in (role(stage, "send-coupling"), role(stage, "send-series")):
        if ref:
            at = coupling(pen, ref, net, at)
            net = next(pin.net for pin in pen.part(ref).pins if pin.net != net)
    x = at[0] + 0.5
    if pot:
        pen.wire(behind, at, (x, OUT))
        end = pen.pot(pot, (x, OUT), (x, LOW), centre=(x, GRID), label="right-below")
        pen.ground((x, LOW), pen.net(pot, "ccw"))
        x = x + SIDE + pen.width(pot) + 0.2
        pen.wire(tip, end, (x, GRID))
    else:
        pen.wire(tip, at, (x, OUT), (x, GRID))
    if shunt:
        far = x + 0.4
        pen.wire(tip, (x, GRID), (far, GRID))
        pen.two(shunt, (far, GRID), (far, LOW), start=tip, label="right")
        pen.ground((far, LOW))
        x = far + SIDE + pen.width(shunt) + 0.2
        pen.wire(tip, (far, GRID), (x, GRID))
    return x


def _return(pen: Pen, stage: StageInstance, came: str, far: float, x: float) -> None:
    """From the return's tip: its leak, its pot from the upper line, out at grid height."""
    pot, leak = role(stage, "return-pot"), role(stage, "return-leak")
    pen.wire(came, (far, GRID), (x, GRID))
    if leak:
        spot = x + 0.2
        pen.wire(came, (x, GRID), (spot, GRID))
        pen.two(leak, (spot, GRID), (spot, LOW), start=came, label="right")
        pen.ground((spot, LOW))
        x = spot + (SIDE + pen.width(leak) + 0.2 if pot else 0.4)
        pen.wire(came, (spot, GRID), (x, GRID))
    if not pot:
        pen.block.port("out", came, (x, GRID), "right")
        return
    pen.wire(came, (x, GRID), (x, OUT), (x + 0.6, OUT))
    x += 0.6
    end = pen.pot(pot, (x, OUT), (x, LOW), centre=(x, GRID), label="right-below")
    pen.ground((x, LOW), pen.net(pot, "ccw"))
    pen.block.port("out", stage.ports["out"], end, "right")

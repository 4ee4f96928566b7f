"""Power transformer: primary, high-tension and bias windings. Each heater winding is drawn with the heaters it feeds."""

from __future__ import annotations

from ...circuit.netlist import EARTH, GROUND, PowerTransformer, StageInstance, Winding
from ...units.format import show_number
from ..geometry import Point
from ..magnetics import ACROSS, CORE, PITCH, coil, core, open_end, tag
from ..pen import Pen
from ..shapes import BUMP
from .mains_input import LINE, NEUTRAL

TOP = 8.98
"""End A of the high-tension winding; end B is eight turns lower."""
TURNS = 8
BIAS_TURNS = 4


def draw(pen: Pen, stage: StageInstance) -> None:
    """line and neutral on the left; ht-a, ht-ct, ht-b and bias on the right."""
    ref = stage.parts["power-transformer"]
    part = pen.part(ref)
    assert isinstance(part, PowerTransformer)
    x = 0.75
    coil(pen, ref, x, LINE, round((LINE - NEUTRAL) / BUMP), "right")
    for pin, name, y in (("L", "line", LINE), ("N", "neutral", NEUTRAL)):
        tag(pen, ref, pin, (x, y), side="left")
        pen.wire(pen.net(ref, pin), (0.0, y), (x, y))
        pen.block.port(name, pen.net(ref, pin), (0.0, y), "left")
    pen.block.text(("part", ref), (x - 0.15, (LINE + NEUTRAL) / 2 - 0.1), f"{show_number(part.primary_volts)} V", "note", "end")
    pen.piece(ref, "primary")
    low = _secondaries(pen, part, x + ACROSS)
    screen = _screen(pen, ref, x, low) if part.screen else None
    core(pen, ref, x, TOP + 0.12, low - 0.12, screen=screen)
    hertz = "/".join(show_number(h) for h in part.primary_hertz)
    rows = (*pen.rows(ref), (f"{hertz} Hz" if hertz else "", "value"))
    pen.block.lines(("part", ref), (x + CORE + PITCH / 2, TOP + 0.35), rows, "above")


def _secondaries(pen: Pen, part: PowerTransformer, x: float) -> float:
    """The windings that are drawn here, one under the other. Returns the lower end of the last."""
    y = TOP
    for winding in part.windings:
        if winding.kind == "heater":
            continue
        turns = TURNS if winding.kind == "high-tension" else BIAS_TURNS
        low = coil(pen, part.ref, x, y, turns, "left")
        _leads(pen, part, winding, x, y, low)
        pen.piece(part.ref, winding.name)
        y = low - 0.85
    return y + 0.85


def _leads(pen: Pen, part: PowerTransformer, winding: Winding, x: float, top: float, low: float) -> None:
    """Ends and tap of a winding with its volts."""
    ends = dict(zip(winding.pins, (top, (top + low) / 2, low), strict=True))
    names = {pin.name: pin.net for pin in part.pins}
    for pin, y in ends.items():
        if pin in names:
            tag(pen, part.ref, pin, (x, y))
            _lead(pen, pin, names[pin], (x, y))
    # a spare centre tap of a winding used as a whole is a pin that the winding does not list
    text = f"{show_number(winding.volts)} V"
    middles = ((top * 3 + low) / 4, (top + low * 3) / 4) if winding.centre_tapped else ((top + low) / 2 - 0.35,)
    for y in middles:
        pen.block.text(("part", part.ref), (x + 0.15, y - 0.08), text, "note")


def _lead(pen: Pen, pin: str, net: str, at: Point) -> None:
    """A lead to ground, to an open end or to the neighbour."""
    x, y = at
    if net in (GROUND, EARTH):
        end = (x + 1.0, y)
        pen.wire(net, at, end, (end[0], y - 0.35))
        pen.ground((end[0], y - 0.35), net)
    elif pen.loose(net):
        open_end(pen, net, at)
    else:
        end = (x + 1.0, y)
        pen.wire(net, at, end)
        pen.block.port(pin.lower(), net, end, "right")


def _screen(pen: Pen, ref: str, x: float, low: float) -> Point:
    """The screen between the windings, earthed under the core. Returns where its dashed line ends."""
    at = (x + CORE - 0.14, low - 0.55)
    net = pen.net(ref, "SCREEN")
    pen.block.terminal(ref, "SCREEN", net, at)
    pen.wire(net, at, (at[0], at[1] - 0.2))
    pen.ground((at[0], at[1] - 0.2), net)
    return at

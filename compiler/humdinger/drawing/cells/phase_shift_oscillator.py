"""Phase-shift oscillator drawn as the loop it is: plate, over the top, down the ladder at grid height, back into the grid."""

from __future__ import annotations

from ...circuit.netlist import StageInstance, Switch
from ..common import cathode_network, coupling, other_net, section_of
from ..geometry import ARROW, CATHODE, GRID, LOW, OUT, SIDE, Point
from ..jacks import jack, jack_back, jack_ground
from ..pen import Pen, role
from ..shapes import RADIUS

JACK = 3.45
"""Height of the footswitch jack's tip."""
DROP = 1.6


def draw(pen: Pen, stage: StageInstance) -> None:
    """The intensity wiper on the right, at grid height."""
    ports = stage.ports
    x, reach = _ladder(pen, stage)
    if role(stage, "footswitch-jack"):
        x, reach = _footswitch(pen, stage, x, reach)
    resistor = role(stage, "cathode-resistor")
    left = max(pen.width(resistor) if resistor else 0.0, pen.volts_width(ports["cathode"]))
    axis = max(x + RADIUS + 0.4, reach + 0.3 + left + SIDE + 0.36)
    shape = pen.tube(section_of(pen, stage), (axis, GRID))
    pen.wire(ports["grid"], (x, GRID), shape.lead("grid"))
    node = (axis, OUT)
    plate, supply = ports["plate"], ports["supply"]
    pen.wire(plate, shape.lead("plate"), node)
    pen.wire(plate, (0.0, GRID), (-0.45, GRID), (-0.45, OUT), node)
    pen.two(stage.parts["plate-load"], (axis, ARROW), node, start=supply, label="left", centre=(axis, 8.15))
    pen.supply(supply, (axis, ARROW))
    pen.node_volts(plate, (axis - 0.2, OUT + 0.14))
    leg = shape.lead("cathode")
    foot = (leg[0], CATHODE)
    pen.wire(ports["cathode"], leg, foot)
    pen.node_volts(ports["cathode"], (leg[0] - 0.2, CATHODE - 0.08))
    right = cathode_network(pen, resistor, role(stage, "cathode-bypass"), foot, ports["cathode"])
    _intensity(pen, stage, plate, node, right)


def _ladder(pen: Pen, stage: StageInstance) -> tuple[float, float]:
    """Capacitors along the grid line, a shunt under each node. Returns the grid's x and how far right the last shunt reaches."""
    x, net, reach = 0.0, stage.ports["plate"], 0.0
    number = 1
    while capacitor := role(stage, f"step-capacitor-{number}"):
        resistor = stage.parts[f"step-resistor-{number}"]
        behind = other_net(pen, capacitor, net)
        end = max(x + 1.4, x + pen.width(capacitor, level=True) + 0.25, reach + 0.35)
        speed = role(stage, "speed")
        if speed and number > 1 and other_net(pen, resistor, behind) == pen.net(speed, "cw"):
            end = max(end, x + 0.2 + pen.width(speed) + SIDE)
        pen.two(capacitor, (x, GRID), (end, GRID), start=net, label="above")
        net = behind
        reach = _shunt(pen, stage, resistor, net, end)
        x, number = end, number + 1
    return x, reach


def _shunt(pen: Pen, stage: StageInstance, resistor: str, net: str, x: float) -> float:
    """A shunt resistor; the speed pot under the one it belongs to. Returns how far right it reaches."""
    speed = role(stage, "speed")
    foot = other_net(pen, resistor, net)
    right = x + SIDE + pen.width(resistor)
    if not speed or foot != pen.net(speed, "cw"):
        pen.two(resistor, (x, GRID), (x, LOW), start=net, label="right", centre=(x, 3.9))
        pen.ground((x, LOW), foot)
        return right
    middle = 3.05
    pen.two(resistor, (x, GRID), (x, middle), start=net, label="right", centre=(x, 3.9))
    wiper = pen.pot(speed, (x, middle), (x, LOW), label="left", wiper="right", centre=(x, 2.2))
    turn = (wiper[0], LOW + 0.35)
    pen.wire(pen.net(speed, "wiper"), wiper, turn, (x, turn[1]))
    pen.ground((x, LOW), pen.net(speed, "ccw"))
    return max(right, wiper[0] + 0.1)


def _footswitch(pen: Pen, stage: StageInstance, x: float, reach: float) -> tuple[float, float]:
    """Jack and pedal hanging from the grid line: closed, the pedal stops the oscillation. Returns the grid's x and the reach."""
    ref, pedal = stage.parts["footswitch-jack"], stage.parts["footswitch"]
    grid = stage.ports["grid"]
    drop = max(x + 0.6, reach + 0.5)
    pen.wire(grid, (x, GRID), (drop, GRID), (drop + 0.4, GRID))
    pen.wire(grid, (drop, GRID), (drop, JACK), (drop + 0.75, JACK))
    back: Point = (drop + 0.75 + 1.83, JACK)
    tags = jack(pen, ref, back, mirror=True, drop=DROP)
    jack_ground(pen, ref, tags, JACK, LOW, mirror=True, drop=DROP)
    tip, sleeve = jack_back(pen, ref, back, mirror=True, drop=DROP)
    part = pen.part(pedal)
    assert isinstance(part, Switch)
    at = back[0] + 0.85
    pen.pole(pedal, "1a", "1b", (at, JACK), (at, sleeve[1]), label="right")
    pen.wire(pen.net(pedal, "1a"), tip, (at, JACK), dashed=True)
    pen.wire(pen.net(pedal, "1b"), sleeve, (at, sleeve[1]), dashed=True)
    return drop + 0.4, at + 0.65 + pen.width(pedal)


def _intensity(pen: Pen, stage: StageInstance, plate: str, node: Point, right: float) -> None:
    """Coupling capacitor and intensity pot."""
    level = stage.ports["level"]
    pot = stage.parts["intensity"]
    end = coupling(pen, role(stage, "coupling"), plate, node)
    x = max(end[0], right + 0.6)
    pen.wire(level, end, (x, OUT))
    wiper = pen.pot(pot, (x, OUT), (x, LOW), centre=(x, GRID), label="right-below")
    pen.ground((x, LOW), pen.net(pot, "ccw"))
    pen.block.port("lfo", stage.ports["lfo"], wiper, "right")

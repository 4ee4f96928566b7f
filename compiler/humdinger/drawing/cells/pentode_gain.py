"""Pentode gain stage: as a triode's, with the screen's resistor and bypass as a column of their own to the right of the tube.

The OUT line crosses that column on its way to the coupling capacitor.
"""

from __future__ import annotations

from ...circuit.netlist import GROUND, StageInstance, Tube
from ..common import chain_leak, chain_stopper, coupling, other_net, section_of
from ..geometry import ARROW, GRID, LOW, OUT, SIDE, Point
from ..labels import section_rows
from ..output_parts import Seat, suppressor, tube_left
from ..pen import Pen, role
from ..shapes import LEG, RADIUS, TubeShape, rim

CATHODE = 3.2
"""The cathode's node stands lower than a triode's: the shield's ground is above it."""
BESIDE = 1.15
"""From the cathode's axis to that of its bypass."""
FOOT = 0.2
"""Height of the local grounds when two resistors stand under the cathode."""


def draw(pen: Pen, stage: StageInstance) -> None:
    """In at grid height, out at plate height."""
    block, source = pen.block, stage.ports["in"]
    block.port("in", source, (0.0, GRID), "left")
    leak, stopper = role(stage, "grid-leak"), role(stage, "grid-stopper")
    x, net, reach = 0.0, source, 0.0
    if leak:
        x = chain_leak(pen, leak, net, 0.0, 0.35)
        reach = 0.35 + SIDE + pen.width(leak)
    x, net = chain_stopper(pen, stopper, net, stage.ports["grid"], x, GRID)
    section = section_of(pen, stage)
    under = [ref for ref in (role(stage, "cathode-resistor"), role(stage, "cathode-unbypassed")) if ref]
    left = max([pen.width(ref) for ref in under] + [pen.volts_width(stage.ports["cathode"])])
    axis = max(x + tube_left(pen, [section]), reach + 0.3 + left + SIDE + 0.36)
    shape = pen.tube(section, (axis, GRID))
    block.wire(net, (x, GRID), shape.lead("grid"))
    node = _plate(pen, stage, shape)
    suppressor(pen, Seat(shape, node, axis + RADIUS), section, stage.ports["cathode"])
    shield = _shield(pen, section, shape)
    right = _cathode(pen, stage, shape)
    found = pen.netlist.by_section[section]
    tube = pen.part(found.tube)
    assert isinstance(tube, Tube)
    label = axis + 0.86 + pen.rows_width(section_rows(found, tube))
    column = _screen(pen, stage, shape, max(right, label, shield) + 0.3)
    # the capacitor's label is as high as that of the screen's resistor: it stands to the right of it
    turn = (column + SIDE + pen.width(stage.parts["screen-resistor"]), OUT)
    if "coupling" in stage.parts:
        pen.wire(stage.ports["plate"], node, turn)
        node = turn
    end = coupling(pen, role(stage, "coupling"), stage.ports["plate"], node)
    if "coupling" not in stage.parts:
        end = (column + 0.6, OUT)
        pen.wire(stage.ports["plate"], node, end)
    block.port("out", stage.ports["out"], end, "right")


def _plate(pen: Pen, stage: StageInstance, shape: TubeShape) -> Point:
    """Plate load and its B+ arrow. Returns the plate's node on the OUT line."""
    plate, supply = stage.ports["plate"], stage.ports["supply"]
    axis = shape.at[0]
    node = (axis, OUT)
    pen.wire(plate, shape.lead("plate"), node)
    pen.two(stage.parts["plate-load"], (axis, ARROW), node, start=supply, label="left", centre=(axis, (ARROW + OUT) / 2))
    pen.supply(supply, (axis, ARROW))
    pen.node_volts(plate, (axis - 0.2, OUT - 0.08))
    return node


def _shield(pen: Pen, section: str, shape: TubeShape) -> float:
    """The internal shield as a lead on the envelope, to ground. Returns how far right its pin numbers reach."""
    ref = pen.netlist.by_section[section].tube
    tube = pen.part(ref)
    assert isinstance(tube, Tube)
    if not tube.type.shield_pins:
        return shape.at[0]
    at = shape.point(LEG, -rim(LEG))
    for number in tube.type.shield_pins:
        pen.block.terminal(ref, str(number), GROUND, at, group=section)
    text = ",".join(map(str, tube.type.shield_pins))
    pen.block.text(("part", section), (at[0] + 0.1, at[1] - 0.28), text, "pin", "start")
    foot = (at[0], at[1] - 0.5)
    pen.wire(GROUND, at, foot)
    pen.ground(foot)
    return at[0] + 0.5


def _cathode(pen: Pen, stage: StageInstance, shape: TubeShape) -> float:
    """The resistor or the two under the cathode, the bypass beside the upper one. Returns how far right it reaches."""
    cathode, leg = stage.ports["cathode"], shape.lead("cathode")
    node = (leg[0], CATHODE)
    pen.wire(cathode, leg, node)
    pen.node_volts(cathode, (leg[0] - 0.2, CATHODE - 0.08))
    upper, lower, bypass = (role(stage, name) for name in ("cathode-resistor", "cathode-unbypassed", "cathode-bypass"))
    assert upper is not None
    back = other_net(pen, upper, cathode)
    foot = LOW if lower is None else 1.6
    pen.two(upper, node, (leg[0], foot), start=cathode, label="left")
    far, right = leg[0] + BESIDE, leg[0] + 0.5
    if bypass:
        pen.wire(cathode, node, (far, CATHODE))
        pen.two(bypass, (far, CATHODE), (far, foot), start=cathode, label="right")
        right = far + SIDE + pen.width(bypass)
    if lower is None:
        pen.ground((leg[0], foot), back)
        if bypass:
            pen.ground((far, foot), back)
        return right
    if bypass:
        pen.wire(back, (leg[0], foot), (far, foot))
    low = (leg[0], FOOT)
    pen.two(lower, (leg[0], foot), low, start=back, label="left")
    pen.ground(low, other_net(pen, lower, back))
    return right


def _screen(pen: Pen, stage: StageInstance, shape: TubeShape, least: float) -> float:
    """The screen's column: B+ and its resistor above the tube's screen lead, the bypass under it. Returns its x."""
    net, supply = stage.ports["screen"], stage.ports["supply"]
    resistor, bypass = stage.parts["screen-resistor"], stage.parts["screen-bypass"]
    start = shape.lead("screen")
    x = max(least, start[0] + 0.34 + pen.volts_width(net) + 0.2, shape.at[0] + 1.1 + pen.volts_width(supply))
    node = (x, start[1])
    pen.wire(net, start, node)
    pen.node_volts(net, (start[0] + 0.34, start[1] + 0.14), "start")
    pen.two(resistor, (x, ARROW), node, start=supply, label="right", centre=(x, (ARROW + OUT) / 2))
    pen.supply(supply, (x, ARROW))
    back = other_net(pen, bypass, net)
    if back == stage.ports["cathode"]:
        foot = (x, CATHODE)
        pen.two(bypass, node, foot, start=net, label="right")
        leg = (shape.lead("cathode")[0], CATHODE)
        beside = (leg[0] + BESIDE, CATHODE)
        pen.wire(back, *((beside,) if "cathode-bypass" in stage.parts else (leg,)), foot)
    else:
        pen.two(bypass, node, (x, LOW), start=net, label="right", centre=(x, (start[1] + LOW) / 2))
        pen.ground((x, LOW), back)
    return x

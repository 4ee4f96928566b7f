"""Common-cathode stage: grid from the left, plate load up to its B+ node, cathode network down, coupling capacitor to the right."""

from __future__ import annotations

from ...circuit.netlist import StageInstance
from ..common import cathode_network, chain_leak, chain_stopper, coupling, section_of
from ..geometry import ARROW, CATHODE, GRID, OUT, SIDE
from ..pen import Pen, role
from ..shapes import RADIUS


def draw(pen: Pen, stage: StageInstance) -> None:
    """In at grid height, out at plate height."""
    block, source = pen.block, stage.ports["in"]
    block.port("in", source, (0.0, GRID), "left")
    leak, stopper = role(stage, "grid-leak"), role(stage, "grid-stopper")
    resistor = role(stage, "cathode-resistor")
    x, net = 0.0, source
    reach = 0.0
    if leak:
        x = chain_leak(pen, leak, net, 0.0, 0.35)
        reach = 0.35 + SIDE + pen.width(leak)
    x, net = chain_stopper(pen, stopper, net, stage.ports["grid"], x, GRID)
    # room for what hangs left of the tube: cathode label and voltage, plate load label
    left = max(pen.width(resistor) if resistor else 0.0, pen.volts_width(stage.ports["cathode"]))
    axis = max(x + RADIUS + 0.35, reach + 0.3 + left + SIDE + 0.36)
    section = section_of(pen, stage)
    shape = pen.tube(section, (axis, GRID))
    block.wire(net, (x, GRID), shape.lead("grid"))
    plate, cathode = stage.ports["plate"], stage.ports["cathode"]
    # plate
    node = (axis, OUT)
    block.wire(plate, shape.lead("plate"), node)
    supply = stage.ports["supply"]
    pen.two(stage.parts["plate-load"], (axis, ARROW), node, start=supply, label="left", centre=(axis, (ARROW + OUT) / 2))
    pen.supply(supply, (axis, ARROW))
    pen.node_volts(plate, (axis - 0.2, OUT - 0.08))
    # cathode
    leg = shape.lead("cathode")
    foot = (leg[0], CATHODE)
    block.wire(cathode, leg, foot)
    pen.node_volts(cathode, (leg[0] - 0.2, CATHODE - 0.08))
    cathode_network(pen, resistor, role(stage, "cathode-bypass"), foot, cathode)
    # out
    end = coupling(pen, role(stage, "coupling"), plate, node)
    block.port("out", stage.ports["out"], end, "right")

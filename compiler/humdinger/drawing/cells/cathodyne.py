"""Cathodyne: equal loads in plate and cathode, one output from each."""

from __future__ import annotations

from ...circuit.netlist import StageInstance
from ..common import chain_stopper, coupling, other_net, section_of
from ..geometry import ARROW, GRID, OUT, SIDE
from ..pen import Pen, role
from ..shapes import RADIUS

NODE = 3.6
BIAS = 2.25
FOOT = 0.25
"""Two resistors in series need more room than a row's ground line leaves."""


def draw(pen: Pen, stage: StageInstance) -> None:
    """In at grid height, out-a at plate height, out-b from the top of the cathode load."""
    ports, parts = stage.ports, stage.parts
    source = ports["in"]
    pen.block.port("in", source, (0.0, GRID), "left")
    leak_x = 0.35
    leak = parts["grid-leak"]
    pen.wire(source, (0.0, GRID), (leak_x + 0.35, GRID))
    x, net = chain_stopper(pen, role(stage, "grid-stopper"), source, ports["grid"], leak_x + 0.35, GRID)
    left = max(pen.width(parts["load-b"]), pen.volts_width(ports["cathode"]), pen.volts_width(ports["bias"]))
    axis = max(x + RADIUS + 0.35, leak_x + SIDE + pen.width(leak) + 0.3 + left + 0.2 + 0.36)
    shape = pen.tube(section_of(pen, stage), (axis, GRID))
    pen.wire(net, (x, GRID), shape.lead("grid"))
    _plate(pen, stage, axis, shape.lead("plate"))
    leg = shape.lead("cathode")
    bias = ports["bias"]
    foot = (leg[0], BIAS)
    pen.wire(ports["cathode"], leg, (leg[0], NODE))
    pen.two(parts["cathode-resistor"], (leg[0], NODE), foot, start=ports["cathode"], label="right")
    pen.node_volts(ports["cathode"], (leg[0] - 0.2, NODE - 0.04))
    pen.node_volts(bias, (leg[0] - 0.2, BIAS - 0.34))
    pen.two(leak, (leak_x, GRID), (leak_x, BIAS), start=source, label="right")
    pen.wire(bias, (leak_x, BIAS), foot)
    pen.two(parts["load-b"], foot, (leg[0], FOOT), start=bias, label="left", centre=(leg[0], 1.1))
    pen.ground((leg[0], FOOT), other_net(pen, parts["load-b"], bias))
    # the capacitor stands clear of the label of the cathode resistor above it
    tail = max(axis + 0.2, leg[0] + SIDE + pen.width(parts["cathode-resistor"]) - 0.75)
    pen.wire(bias, foot, (tail, BIAS))
    end = coupling(pen, role(stage, "coupling-b"), bias, (tail, BIAS), label="below")
    pen.block.port("out-b", ports["out-b"], end, "right")


def _plate(pen: Pen, stage: StageInstance, axis: float, lead: tuple[float, float]) -> None:
    """Plate load and the first output."""
    plate, supply = stage.ports["plate"], stage.ports["supply"]
    node = (axis, OUT)
    pen.wire(plate, lead, node)
    pen.two(stage.parts["load-a"], (axis, ARROW), node, start=supply, label="left")
    pen.supply(supply, (axis, ARROW))
    pen.node_volts(plate, (axis - 0.2, OUT - 0.08))
    start = (axis + 0.2, OUT)
    pen.wire(plate, node, start)
    end = coupling(pen, role(stage, "coupling-a"), plate, start)
    pen.block.port("out-a", stage.ports["out-a"], end, "right")

"""Cathode follower: plate straight on its B+ node, load in the cathode, output from the cathode."""

from __future__ import annotations

from ...circuit.netlist import StageInstance
from ..common import chain_stopper, coupling, other_net, section_of
from ..geometry import CATHODE, GRID, LOW, OUT, SIDE
from ..pen import Pen, role
from ..shapes import RADIUS

FOOT = 2.1
LOWER = 0.1
"""Foot of the bias resistor, and the ground line of a follower that has one."""


def draw(pen: Pen, stage: StageInstance) -> None:
    """In at grid height, out at cathode height."""
    source = stage.ports["in"]
    pen.block.port("in", source, (0.0, GRID), "left")
    node = follower(pen, stage, 0.0, source)
    cathode = stage.ports["cathode"]
    end = coupling(pen, role(stage, "coupling"), cathode, node)
    pen.block.port("out", stage.ports["out"], end, "right")


def follower(pen: Pen, stage: StageInstance, x: float, source: str) -> tuple[float, float]:
    """The follower from its grid line at x on; `source` is the net there. Returns a point of the cathode, right of the tube's label."""
    leak, bias = role(stage, "grid-leak"), role(stage, "bias-resistor")
    start = x
    leak_x = x + 0.35
    if leak:
        pen.wire(source, (x, GRID), (leak_x, GRID))
        x = leak_x + 0.35
        pen.wire(source, (leak_x, GRID), (x, GRID))
    x, net = chain_stopper(pen, role(stage, "grid-stopper"), source, stage.ports["grid"], x, GRID)
    load = stage.parts["cathode-resistor"]
    left = max(pen.width(load), pen.volts_width(stage.ports["cathode"]))
    leak_reach = leak_x + SIDE + pen.width(leak) + 0.3 if leak else start
    axis = max(x + RADIUS + 0.35, leak_reach + left + SIDE + 0.36)
    shape = pen.tube(section_of(pen, stage), (axis, GRID), label="right-above")
    pen.wire(net, (x, GRID), shape.lead("grid"))
    supply = stage.ports["supply"]
    pen.wire(supply, shape.lead("plate"), (axis, OUT + 0.6))
    pen.supply(supply, (axis, OUT + 0.6))
    cathode, leg = stage.ports["cathode"], shape.lead("cathode")
    node = (leg[0], CATHODE)
    pen.wire(cathode, leg, node)
    pen.node_volts(cathode, (leg[0] - 0.2, CATHODE + 0.14))
    foot = cathode
    at = node
    if bias:
        foot, at = other_net(pen, bias, cathode), (leg[0], FOOT)
        pen.two(bias, node, at, start=cathode, label="right")
    low = LOWER if bias else LOW
    pen.two(load, at, (leg[0], low), start=foot, label="left", centre=(leg[0], 0.95) if bias else None)
    pen.ground((leg[0], low), other_net(pen, load, foot))
    if leak:
        _leak(pen, leak, source, (leak_x, GRID), at if bias else None)
    end = (axis + 0.9, CATHODE)
    pen.wire(cathode, node, end)
    return end


def _leak(pen: Pen, ref: str, source: str, top: tuple[float, float], foot: tuple[float, float] | None) -> None:
    """The grid leak: to the foot of the bias resistor, or to ground."""
    low = foot[1] if foot else LOW
    pen.two(ref, top, (top[0], low), start=source, label="right")
    back = other_net(pen, ref, source)
    if foot:
        pen.wire(back, (top[0], low), foot)
        pen.node_volts(back, (foot[0] - 0.2, low - 0.34))
    else:
        pen.ground((top[0], low), back)

"""Interstage transformer: a triode on the primary, a centre-tapped secondary with an output at each end."""

from __future__ import annotations

from ...circuit.netlist import GROUND, StageInstance
from ..common import cathode_network, chain_leak, chain_stopper, section_of
from ..geometry import CATHODE, GRID, OUT, SIDE
from ..inverter_parts import LABEL, section_label
from ..magnetics import ACROSS, coil, core, phase_dot, tag
from ..pen import Pen, role
from ..shapes import BUMP, RADIUS

PRIMARY, SECONDARY = 6, 8
MIDDLE = OUT + PRIMARY * BUMP / 2
ABOVE = 0.8
"""From the primary's upper end to the arrow: room for the terminal's name."""


def draw(pen: Pen, stage: StageInstance) -> None:
    """In at grid height on the left; out-a from the upper end of the secondary, out-b from the lower one."""
    ports = stage.ports
    pen.block.port("in", ports["in"], (0.0, GRID), "left")
    leak, resistor = role(stage, "grid-leak"), role(stage, "cathode-resistor")
    x = chain_leak(pen, leak, ports["in"], 0.0, 0.35)
    reach = 0.35 + SIDE + pen.width(leak) if leak else 0.0
    x, net = chain_stopper(pen, role(stage, "grid-stopper"), ports["in"], ports["grid"], x, GRID)
    left = max(pen.width(resistor) if resistor else 0.0, pen.volts_width(ports["cathode"]))
    axis = max(x + RADIUS + 0.35, reach + 0.3 + left + SIDE + 0.36)
    section = section_of(pen, stage)
    shape = pen.tube(section, (axis, GRID))
    pen.wire(net, (x, GRID), shape.lead("grid"))
    leg = shape.lead("cathode")
    foot = (leg[0], CATHODE)
    pen.wire(ports["cathode"], leg, foot)
    pen.node_volts(ports["cathode"], (leg[0] - 0.2, CATHODE - 0.08))
    right = cathode_network(pen, resistor, role(stage, "cathode-bypass"), foot, ports["cathode"])
    plate = shape.lead("plate")
    pen.node_volts(ports["plate"], (axis - 0.2, OUT - 0.08))
    ref = stage.parts["transformer"]
    named = pen.width(ref)
    at = axis + max(1.6, LABEL + section_label(pen, section) + 0.35 + named / 2 - ACROSS / 2, pen.volts_width(ports["supply"]) + 0.6)
    pen.wire(ports["plate"], plate, (axis, OUT), (at, OUT))
    _windings(pen, stage, ref, at, max(right, at + ACROSS / 2 + named / 2))


def _windings(pen: Pen, stage: StageInstance, ref: str, x: float, clear: float) -> None:
    """Both coils, the arrow above the primary, the ends of the secondary to the right edge and its tap to where the grids return."""
    ports = stage.ports
    top = OUT + PRIMARY * BUMP
    coil(pen, ref, x, top, PRIMARY, "right")
    tag(pen, ref, "P", (x, OUT), side="left")
    tag(pen, ref, "B", (x, top), side="left")
    phase_dot(pen, ref, (x + 0.3, OUT - 0.08))
    pen.wire(ports["supply"], (x, top), (x, top + ABOVE))
    pen.supply(ports["supply"], (x, top + ABOVE), volts="left")
    other = x + ACROSS
    high, low = MIDDLE + SECONDARY * BUMP / 2, MIDDLE - SECONDARY * BUMP / 2
    coil(pen, ref, other, high, SECONDARY, "left")
    core(pen, ref, x, high + 0.1, low - 0.1)
    phase_dot(pen, ref, (other - 0.3, high + 0.08))
    for pin, y in (("S1", high), ("CT", MIDDLE), ("S2", low)):
        tag(pen, ref, pin, (other, y))
    tap = ports["tap"]
    turn = (other + 0.75, MIDDLE)
    pen.wire(tap, (other, MIDDLE), turn)
    reach = turn[0] + 0.3
    if tap == GROUND:
        pen.wire(tap, turn, (turn[0], MIDDLE - 0.45))
        pen.ground((turn[0], MIDDLE - 0.45))
    else:
        pen.flag(tap, turn, "right")
        reach = turn[0] + pen.flag_width(tap)
    pen.drawn(ref)
    pen.block.lines(("part", ref), (x + ACROSS / 2, low - 0.4), pen.rows(ref), "below")
    edge = max(reach, clear)
    for letter, y in (("a", high), ("b", low)):
        pen.wire(ports[f"out-{letter}"], (other, y), (edge, y))
        pen.block.port(f"out-{letter}", ports[f"out-{letter}"], (edge, y), "right")

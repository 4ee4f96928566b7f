"""Long-tailed pair: two triodes facing each other over a common cathode resistor and tail."""

from __future__ import annotations

from ...circuit.netlist import StageInstance
from ..common import chain_stopper, other_net
from ..geometry import CATHODE, GRID, LOW, SIDE
from ..inverter_parts import A_OUT, B_OUT, LABEL, plates, section_label
from ..pen import Pen, role
from ..shapes import RADIUS, TubeShape

TAIL = 2.05
GROUND_LINE = 0.25
"""The tail needs more room than a row's ground line leaves."""


def draw(pen: Pen, stage: StageInstance) -> None:
    """In at grid height on the left; out-a and out-b one above the other on the right."""
    ports, parts = stage.ports, stage.parts
    source = ports["in"]
    pen.block.port("in", source, (0.0, GRID), "left")
    leak_x = 0.35
    pen.wire(source, (0.0, GRID), (leak_x + 0.35, GRID))
    start, stopper = leak_x + 0.35, role(stage, "grid-stopper")
    x, net = chain_stopper(pen, stopper, source, ports["grid-a"], start, GRID)
    first, second = (s.ref for s in pen.netlist.sections if s.stage == stage.id and not s.unused)
    label_a = section_label(pen, first)
    clear = (start + x) / 2 + pen.width(stopper, level=True) / 2 if stopper else 0.0
    a_axis = max(
        x + RADIUS + 0.35,
        clear + 0.2 + LABEL + label_a,
        leak_x + SIDE + pen.width(parts["grid-leak-a"]) + 0.3 + RADIUS,
        0.3 + label_a + LABEL,
    )
    middle = max(
        1.75,
        pen.volts_width(ports["plate-b"]) + 0.75,
        pen.volts_width(ports["cathode"]) + 0.93,
        pen.width(parts["cathode-resistor"]) + 0.7,
    )
    b_axis = a_axis + 2 * middle
    a = pen.tube(first, (a_axis, GRID), label="left-above")
    b = pen.tube(second, (b_axis, GRID), mirror=True, label="right-above")
    pen.wire(net, (x, GRID), a.lead("grid"))
    plates(pen, stage, a, b)
    _tail(pen, stage, a, b, leak_x)
    right = _second_grid(pen, stage, b)
    _outputs(pen, stage, a, b, b_axis + LABEL + label_a, right)


def _tail(pen: Pen, stage: StageInstance, a: TubeShape, b: TubeShape, leak_x: float) -> None:
    """Cathodes together, cathode resistor, tail; the first grid leak ends between the two."""
    parts, cathode, tail = stage.parts, stage.ports["cathode"], stage.ports["tail"]
    legs = a.lead("cathode"), b.lead("cathode")
    x = (a.at[0] + b.at[0]) / 2
    pen.wire(cathode, legs[0], (legs[0][0], CATHODE), (x, CATHODE), (legs[1][0], CATHODE), legs[1])
    pen.node_volts(cathode, (x - 0.38, CATHODE - 0.36))
    pen.two(parts["cathode-resistor"], (x, CATHODE), (x, TAIL), start=cathode, label="right")
    pen.two(parts["tail"], (x, TAIL), (x, GROUND_LINE), start=tail, label="right", centre=(x, 1.05))
    pen.node_volts(tail, (x - 0.38, TAIL - 0.36))
    pen.ground((x, GROUND_LINE), other_net(pen, parts["tail"], tail))
    pen.two(parts["grid-leak-a"], (leak_x, GRID), (leak_x, TAIL), start=stage.ports["in"], label="right")
    pen.wire(tail, (leak_x, TAIL), (x, TAIL))


def _second_grid(pen: Pen, stage: StageInstance, b: TubeShape) -> float:
    """Leak and bypass of the second grid. Returns how far right they reach."""
    parts, grid, tail = stage.parts, stage.ports["grid-b"], stage.ports["tail"]
    lead = b.lead("grid")
    leak, bypass = parts["grid-leak-b"], parts["grid-bypass"]
    leak_x = lead[0] + 0.75
    middle = next(t.at[0] for t in pen.block.terminals if t.ref == parts["tail"])
    pen.two(leak, (leak_x, GRID), (leak_x, TAIL), start=grid, label="right")
    pen.wire(tail, (middle, TAIL), (leak_x, TAIL))
    far = leak_x + SIDE + pen.width(leak) + 0.6
    pen.wire(grid, lead, (leak_x, GRID), (far, GRID))
    pen.two(bypass, (far, GRID), (far, LOW), start=grid, label="right", centre=(far, (GRID + TAIL) / 2))
    pen.ground((far, LOW), other_net(pen, bypass, grid))
    return far + SIDE + pen.width(bypass)


def _outputs(pen: Pen, stage: StageInstance, a: TubeShape, b: TubeShape, clear: float, right: float) -> None:
    """Coupling capacitors one above the other, right of the second tube's label."""
    wide = max(pen.width(stage.parts[f"coupling-{letter}"], level=True) for letter in "ab")
    start = max(clear + 0.35, b.at[0] + 1.4, b.at[0] + SIDE + pen.width(stage.parts["plate-load-b"]) + 0.25)
    end = max(start + max(wide, 1.4) + 0.1, right)
    for shape, letter, height, side in ((a, "a", A_OUT, "above"), (b, "b", B_OUT, "below")):
        plate, out = stage.ports[f"plate-{letter}"], stage.ports[f"out-{letter}"]
        pen.wire(plate, (shape.at[0], height), (start, height))
        stop = start + max(wide, 1.4) + 0.1
        pen.two(stage.parts[f"coupling-{letter}"], (start, height), (stop, height), start=plate, label=side)
        pen.wire(out, (stop, height), (end, height))
        pen.block.port(f"out-{letter}", out, (end, height), "right")

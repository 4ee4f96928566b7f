"""What the cells of inverters of two triodes have in common: plate loads from one bus, and two paraphases' tubes, cathodes and outputs."""

from __future__ import annotations

from ..circuit.netlist import StageInstance
from ..records import record
from .common import BYPASS, cathode_network, chain_leak, chain_stopper
from .geometry import CATHODE, GRID, SIDE
from .pen import Pen, role, rows_width
from .shapes import RADIUS, TubeShape

A_OUT, B_OUT = 7.3, 6.45
BUS = 9.0
LABEL = 0.86
"""From the axis of a tube to its label."""


@record
class Facing:
    """Two triodes that face each other: their shapes, where the way on the line of the outputs and under the grids is free."""

    a: TubeShape
    b: TubeShape
    clear: float
    low_clear: float


def section_label(pen: Pen, ref: str) -> float:
    """Width of what is written at a section: its name and its type."""
    return rows_width(((ref, "ref"), (pen.part(pen.netlist.by_section[ref].tube).label, "value")))


def plates(pen: Pen, stage: StageInstance, a: TubeShape, b: TubeShape) -> None:
    """Plate loads from a common bus under the arrow."""
    supply = stage.ports["supply"]
    for shape, letter, height, side in ((a, "a", A_OUT, "left"), (b, "b", B_OUT, "right")):
        plate = stage.ports[f"plate-{letter}"]
        x = shape.at[0]
        pen.wire(plate, shape.lead("plate"), (x, height))
        pen.two(stage.parts[f"plate-load-{letter}"], (x, BUS), (x, height), start=supply, label=side, centre=(x, (BUS + A_OUT) / 2))
        pen.node_volts(plate, (x - 0.2, height - 0.36))
    middle = (a.at[0] + b.at[0]) / 2
    pen.wire(supply, (a.at[0], BUS), (middle, BUS), (b.at[0], BUS))
    pen.wire(supply, (middle, BUS), (middle, BUS + 0.35))
    pen.supply(supply, (middle, BUS + 0.35))


def paraphase_tubes(pen: Pen, stage: StageInstance) -> Facing:
    """In at grid height on the left, both tubes with their plate loads, and the cathode network between them."""
    ports, parts = stage.ports, stage.parts
    pen.block.port("in", ports["in"], (0.0, GRID), "left")
    leak, stopper, resistor, bypass = (role(stage, r) for r in ("grid-leak", "grid-stopper", "cathode-resistor", "cathode-bypass"))
    start = chain_leak(pen, leak, ports["in"], 0.0, 0.35)
    reach = 0.35 + SIDE + pen.width(leak) if leak else 0.0
    x, net = chain_stopper(pen, stopper, ports["in"], ports["grid-a"], start, GRID)
    first, second = (s.ref for s in pen.netlist.sections if s.stage == stage.id and not s.unused)
    label = section_label(pen, first)
    written = (start + x) / 2 + pen.width(stopper, level=True) / 2 if stopper else 0.0
    a_axis = max(
        x + RADIUS + 0.35, written + 0.2 + LABEL + label, reach + 0.3 + RADIUS, 0.3 + label + LABEL, pen.width(parts["plate-load-a"]) + 0.7
    )
    left = max(pen.width(resistor) + SIDE if resistor else 0.0, pen.volts_width(ports["cathode"]) + 0.38)
    middle = max(1.75, pen.volts_width(ports["plate-b"]) + 0.75, left + 0.45, reach + 0.3 + left - a_axis)
    a = pen.tube(first, (a_axis, GRID), label="left-above")
    b = pen.tube(second, (a_axis + 2 * middle, GRID), mirror=True, label="right-above")
    pen.wire(net, (x, GRID), a.lead("grid"))
    plates(pen, stage, a, b)
    node = (a_axis + middle, CATHODE)
    legs = a.lead("cathode"), b.lead("cathode")
    pen.wire(ports["cathode"], legs[0], (legs[0][0], CATHODE), node)
    from_bypass = (node[0] + BYPASS if bypass else node[0], CATHODE)
    pen.wire(ports["cathode"], from_bypass, (legs[1][0], CATHODE), legs[1])
    pen.node_volts(ports["cathode"], (node[0] - 0.38, CATHODE - 0.36))
    low = cathode_network(pen, resistor, bypass, node, ports["cathode"])
    return Facing(a, b, b.at[0] + LABEL + section_label(pen, second), low)


def paraphase_outputs(pen: Pen, stage: StageInstance, tubes: Facing) -> float:
    """Coupling capacitors one above the other, right of the second tube's label. Returns x behind them."""
    wide = max(pen.width(stage.parts[f"coupling-{letter}"], level=True) for letter in "ab")
    b = tubes.b
    start = max(tubes.clear + 0.35, b.at[0] + 1.4, b.at[0] + SIDE + pen.width(stage.parts["plate-load-b"]) + 0.25)
    stop = start + max(wide, 1.4) + 0.1
    for shape, letter, height, side in ((tubes.a, "a", A_OUT, "above"), (b, "b", B_OUT, "below")):
        plate = stage.ports[f"plate-{letter}"]
        pen.wire(plate, (shape.at[0], height), (start, height))
        pen.two(stage.parts[f"coupling-{letter}"], (start, height), (stop, height), start=plate, label=side)
    return stop


def leave(pen: Pen, stage: StageInstance, starts: tuple[float, float], end: float) -> None:
    """Both output lines from what hangs on them last to the right edge."""
    for letter, height, start in (("a", A_OUT, starts[0]), ("b", B_OUT, starts[1])):
        out = stage.ports[f"out-{letter}"]
        pen.wire(out, (start, height), (end, height))
        pen.block.port(f"out-{letter}", out, (end, height), "right")

"""Feedback tone: both pots between the input's line above and the output's line below, their wipers meeting ahead of the grid."""

from __future__ import annotations

from ...circuit.netlist import StageInstance
from ..common import cathode_network, chain_leak, chain_stopper, coupling, section_of
from ..geometry import ARROW, CATHODE, GRID, OUT, SIDE
from ..pen import Pen, role, rows_width
from ..shapes import RADIUS

TOP, RAIL = 9.4, -0.5
"""The input's line and the output's."""
UPPER, LOWER = 7.0, 3.0
"""Ends of the bass track."""
TREBLE = 6.75
"""Height of the treble wiper."""


def draw(pen: Pen, stage: StageInstance) -> None:
    """In and out at plate height."""
    source = stage.ports["in"]
    rise = 0.35
    pen.block.port("in", source, (0.0, OUT), "left")
    bass = rise + 0.3 + SIDE + max(pen.width(stage.parts[name]) for name in ("bass", "bass-end-a", "bass-end-b"))
    reach = _bass(pen, stage, bass)
    treble = _treble(pen, stage, reach)
    pen.wire(source, (0.0, OUT), (rise, OUT), (rise, TOP), (bass, TOP), (treble, TOP))
    meet = _meet(pen, stage, reach, treble)
    end = _tube(pen, stage, meet)
    out = stage.ports["out"]
    pen.wire(out, end, (end[0], RAIL), (treble, RAIL), (bass, RAIL))
    pen.wire(out, end, (end[0] + 0.4, OUT))
    pen.block.port("out", out, (end[0] + 0.4, OUT), "right")


def _bass(pen: Pen, stage: StageInstance, x: float) -> float:
    """The bass branch at x with its capacitors beside the track. Returns where its isolation resistor begins."""
    parts, wiper = stage.parts, stage.ports["bass-wiper"]
    pot = parts["bass"]
    top, foot = pen.net(pot, "cw"), pen.net(pot, "ccw")
    pen.two(parts["bass-end-a"], (x, TOP), (x, UPPER), start=stage.ports["in"], label="left")
    tip = pen.pot(pot, (x, UPPER), (x, LOWER), wiper="right", label="left")
    pen.two(parts["bass-end-b"], (x, LOWER), (x, RAIL), start=foot, label="left")
    beside = x + 1.15
    pen.two(parts["bass-capacitor-a"], (beside, UPPER), (beside, GRID), start=top, label="right")
    pen.two(parts["bass-capacitor-b"], (beside, GRID), (beside, LOWER), start=wiper, label="right")
    pen.wire(top, (x, UPPER), (beside, UPPER))
    pen.wire(foot, (x, LOWER), (beside, LOWER))
    pen.wire(wiper, tip, (beside, GRID))
    return beside


def _treble(pen: Pen, stage: StageInstance, left: float) -> float:
    """The treble branch; the isolation resistor fits between it and the bass branch. Returns its x."""
    parts = stage.parts
    pot = parts["treble"]
    labels = SIDE + max(pen.width(parts[name]) for name in ("treble", "treble-end-a", "treble-end-b"))
    x = left + _beside(pen, stage) + max(labels, max(1.4, pen.width(parts["isolation"], level=True)) + 0.7)
    upper, lower = TREBLE + 1.0, TREBLE - 1.0
    pen.two(parts["treble-end-a"], (x, TOP), (x, upper), start=stage.ports["in"], label="left")
    pen.pot(pot, (x, upper), (x, lower), wiper="right", label="left")
    pen.two(parts["treble-end-b"], (x, lower), (x, RAIL), start=pen.net(pot, "ccw"), label="left", centre=(x, 2.6))
    return x


def _beside(pen: Pen, stage: StageInstance) -> float:
    """How far right of their axis the bass capacitors' labels reach, with a gap."""
    return SIDE + max(pen.width(stage.parts["bass-capacitor-a"]), pen.width(stage.parts["bass-capacitor-b"])) + 0.3


def _meet(pen: Pen, stage: StageInstance, left: float, treble: float) -> float:
    """Isolation resistor and treble capacitor up to the meeting point. Returns its x."""
    parts, ports = stage.parts, stage.ports
    wiper = next(t.at for t in pen.block.terminals if t.ref == parts["treble"] and t.net == ports["treble-wiper"])
    way = max(1.4, pen.width(parts["treble-capacitor"], level=True) + 0.3)
    x = wiper[0] + way
    pen.two(parts["treble-capacitor"], wiper, (x, wiper[1]), start=ports["treble-wiper"], label="above")
    a, b = (left, GRID), (treble - 0.45, GRID)
    middle = (left + _beside(pen, stage) + b[0]) / 2
    pen.two(parts["isolation"], a, b, start=ports["bass-wiper"], label="below", centre=(middle, GRID))
    pen.wire(ports["sum"], b, (x, GRID))
    pen.wire(ports["sum"], (x, wiper[1]), (x, GRID))
    return x


def _tube(pen: Pen, stage: StageInstance, x: float) -> tuple[float, float]:
    """Grid leak, tube, its loads and the coupling capacitor. Returns a point of the output, clear of what hangs under the tube."""
    ports, parts = stage.ports, stage.parts
    leak = parts["grid-leak"]
    reach = x + 0.35 + SIDE + pen.width(leak)
    x = chain_leak(pen, leak, ports["sum"], x, x + 0.35)
    x, net = chain_stopper(pen, role(stage, "grid-stopper"), ports["sum"], ports["grid"], x, GRID)
    resistor = parts["cathode-resistor"]
    left = max(pen.width(resistor), pen.volts_width(ports["cathode"]))
    axis = max(x + RADIUS + 0.35, reach + 0.3 + left + SIDE + 0.36)
    shape = pen.tube(section_of(pen, stage), (axis, GRID))
    pen.wire(net, (x, GRID), shape.lead("grid"))
    plate, cathode, supply = ports["plate"], ports["cathode"], ports["supply"]
    node = (axis, OUT)
    pen.wire(plate, shape.lead("plate"), node)
    pen.two(parts["plate-load"], (axis, ARROW), node, start=supply, label="left", centre=(axis, (ARROW + OUT) / 2))
    pen.supply(supply, (axis, ARROW))
    pen.node_volts(plate, (axis - 0.2, OUT - 0.36))
    leg = shape.lead("cathode")
    foot = (leg[0], CATHODE)
    pen.wire(cathode, leg, foot)
    pen.node_volts(cathode, (leg[0] - 0.2, CATHODE - 0.08))
    right = cathode_network(pen, resistor, role(stage, "cathode-bypass"), foot, cathode)
    end = coupling(pen, parts["coupling"], plate, node)
    section = pen.netlist.by_section[section_of(pen, stage)]
    label = rows_width(((section.ref, "ref"), (pen.part(section.tube).label, "value")))
    far = (max(end[0] + 0.2, right + 0.3, axis + 1.1 + label), OUT)
    pen.wire(stage.ports["out"], end, far)
    return far

"""Feedback: from a tap of the output transformer through a resistor to the node at the foot of a cathode resistor, with its shunt."""

from __future__ import annotations

from ...circuit.netlist import StageInstance
from ..common import other_net
from ..pen import Pen, role

LINE = 6.6
FOOT = LINE - 2.4


def draw(pen: Pen, stage: StageInstance) -> None:
    """The tap on the left, the feedback node on the right."""
    pen.block.floats = True
    source, out = stage.ports["in"], stage.ports["out"]
    resistor, shunt = stage.parts["resistor"], role(stage, "shunt")
    pen.block.port("in", source, (0.0, LINE), "left")
    end = (max(1.9, pen.width(resistor, level=True) + 0.3), LINE)
    pen.two(resistor, (0.0, LINE), end, start=source, label="above")
    node = (end[0] + 0.4, LINE)
    pen.wire(out, end, node, (node[0] + 0.4, LINE))
    if shunt:
        pen.two(shunt, node, (node[0], FOOT), start=out, label="left")
        pen.ground((node[0], FOOT), other_net(pen, shunt, out))
    pen.block.port("out", out, (node[0] + 0.4, LINE), "right")

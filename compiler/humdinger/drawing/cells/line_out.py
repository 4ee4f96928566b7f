"""Line out: a level resistor from the speaker's line, a resistor or a pot down to ground, the jack on the right."""

from __future__ import annotations

from ...circuit.netlist import StageInstance
from ..common import other_net
from ..geometry import SIDE
from ..jacks import jack, jack_ground
from ..pen import Pen, role

LINE = 6.6
FOOT = LINE - 3.2
TAGS = 1.83
"""From the tags of a jack to its back."""


def draw(pen: Pen, stage: StageInstance) -> None:
    """The speaker's hot net on the left; nothing leaves."""
    pen.block.floats = True
    hot, tip = stage.ports["in"], stage.ports["out"]
    upper, lower, pot = stage.parts["upper"], role(stage, "lower"), role(stage, "pot")
    pen.block.port("in", hot, (0.0, LINE), "left")
    end = max(1.9, pen.width(upper, level=True) + 0.3)
    pen.two(upper, (0.0, LINE), (end, LINE), start=hot, label="above")
    x = end + 0.3
    if pot:
        pen.wire(stage.ports["top"], (end, LINE), (x, LINE))
        at = pen.pot(pot, (x, LINE), (x, FOOT), label="right-below")
        pen.ground((x, FOOT), pen.net(pot, "ccw"))
        x = x + SIDE + pen.width(pot)
    else:
        assert lower is not None
        pen.wire(tip, (end, LINE), (x, LINE))
        pen.two(lower, (x, LINE), (x, FOOT), start=tip, label="right")
        pen.ground((x, FOOT), other_net(pen, lower, tip))
        at = (x, LINE)
        x = x + SIDE + pen.width(lower)
    tags = x + 0.7
    pen.wire(tip, at, (tags, at[1]))
    ref = stage.parts["jack"]
    jack(pen, ref, (tags + TAGS, at[1]), mirror=True)
    jack_ground(pen, ref, tags, at[1], at[1] - 1.9, mirror=True)

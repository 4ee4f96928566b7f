"""Input jack with its shorting contact, grid leak and grid stopper."""

from __future__ import annotations

from ...circuit.netlist import StageInstance
from ..common import chain_leak, chain_stopper
from ..geometry import GRID, LOW
from ..jacks import jack, jack_ground
from ..pen import Pen, role


def draw(pen: Pen, stage: StageInstance) -> None:
    """Signal leaves to the right at grid height."""
    tip = stage.ports["in"]
    ref = stage.parts["jack"]
    tags = jack(pen, ref, (0.0, GRID))
    x = jack_ground(pen, ref, tags, GRID, LOW) + 0.75
    x = chain_leak(pen, role(stage, "grid-leak"), tip, tags, x)
    x, net = chain_stopper(pen, role(stage, "grid-stopper"), tip, stage.ports["out"], x, GRID)
    pen.block.port("out", net, (x, GRID), "right")

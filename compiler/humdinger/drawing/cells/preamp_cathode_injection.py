"""Tremolo into a preamp cathode: a follower and its blocking capacitor, when there are, and the resistor to the cathode."""

from __future__ import annotations

from ...circuit.netlist import StageInstance
from ..common import coupling, other_net
from ..geometry import GRID
from ..pen import Pen, role
from .cathode_follower import follower


def draw(pen: Pen, stage: StageInstance) -> None:
    """The intensity wiper on the left, the stage's cathode on the right."""
    to_target(pen, stage)


def to_target(pen: Pen, stage: StageInstance) -> None:
    """Follower, blocking capacitor and resistor, those that there are, from the wiper to the net that is moved."""
    at, net = wave_source(pen, stage)
    blocking = role(stage, "blocking")
    if blocking:
        at = coupling(pen, blocking, net, at)
        net = other_net(pen, blocking, net)
    end = coupling(pen, role(stage, "through"), net, at)
    pen.block.port("target", stage.ports["target"], end, "right")


def wave_source(pen: Pen, stage: StageInstance) -> tuple[tuple[float, float], str]:
    """The wiper, and the follower behind it where there is one. Returns where the wave comes out, and the net there."""
    source = stage.ports["lfo"]
    pen.block.port("lfo", source, (0.0, GRID), "left")
    first = role(stage, "coupling")
    if first is None:
        return (0.0, GRID), source
    end = coupling(pen, first, source, (0.0, GRID))
    return follower(pen, stage, end[0], other_net(pen, first, source)), stage.ports["cathode"]

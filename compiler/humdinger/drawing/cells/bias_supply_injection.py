"""Tremolo into the bias supply: a follower, when there is one, and the capacitor to the bias feed."""

from __future__ import annotations

from ...circuit.netlist import StageInstance
from ..common import coupling, other_net
from ..geometry import GRID
from ..pen import Pen, role
from .cathode_follower import follower


def draw(pen: Pen, stage: StageInstance) -> None:
    """The intensity wiper on the left, the bias feed on the right."""
    source = stage.ports["lfo"]
    pen.block.port("lfo", source, (0.0, GRID), "left")
    through = role(stage, "through")
    if "grid" not in stage.ports:
        end = coupling(pen, through, source, (0.0, GRID))
        pen.block.port("feed", stage.ports.get("feed", source), end, "right")
        return
    first = role(stage, "coupling")
    end = coupling(pen, first, source, (0.0, GRID))
    node = other_net(pen, first, source) if first else source
    cathode = stage.ports["cathode"]
    at = follower(pen, stage, end[0], node)
    end = coupling(pen, through, cathode, at)
    pen.block.port("feed", stage.ports["feed"], end, "right")

"""The cathode follower between the intensity control and where the tremolo goes in."""

from __future__ import annotations

from ..spec.model import Block
from ..units.values import Capacitance
from .builder import Fill, Scope
from .netlist import GROUND
from .stages.cathode_follower import BIAS, LEAK, STOPPER

COUPLING = Fill("100n 630V", Capacitance(100e-9, 630.0), "keeps the follower's grid off ground; a corner well below the slowest tremolo")


def wave_follower(scope: Scope, block: Block, source: str, *, end: str = GROUND) -> str:
    """The follower behind the wiper, its cathode resistor ending on `end`. Declares the ports grid, cathode, bias, supply and the fact
    follower (section). Returns its cathode."""
    node = scope.net("drive", label="injection follower, grid node")
    grid, cathode = scope.port("grid", scope.net("grid")), scope.port("cathode", scope.net("cathode"))
    foot = scope.port("bias", scope.net("bias", label="injection follower, foot of the bias resistor"))
    supply = scope.port("supply", scope.supply(block=block))
    scope.capacitor("coupling", source, node, block=block, fill=COUPLING)
    scope.resistor("grid_leak", node, foot, block=block, fill=LEAK)
    scope.resistor("grid_stopper", node, grid, block=block, fill=STOPPER)
    made = scope.tube(block.get("tube"), plate=supply, grid=grid, cathode=cathode)
    scope.resistor("bias_resistor", cathode, foot, block=block, fill=BIAS)
    scope.resistor("cathode_resistor", foot, end, block=block)
    scope.facts["follower"] = made.ref if made else ""
    return cathode

"""Optical injection: the tremolo's follower lights the cell of an optical-cell stage.

What it does: turns the slow wave into light. The follower's current runs through the diode of the cell, so the light goes with the wave.

When to use it: with a stage of kind `optical-cell` in the signal.

Topology: wiper - coupling capacitor - follower; its cathode resistor ends on the diode's anode instead of on ground.

Formulas: diode current i = (Vk - Vd)/(R + Rb) at rest, and it swings by the follower's wave over R: with the intensity up until the cathode
just comes down to the diode's volts, the light goes from none to twice that of rest (derived).

Limits: the diode's greatest current; the follower's plate dissipation and its heater-cathode limit. A small triode gives one or two
milliamps, enough for cells that are specified at one.

Defaults: for the follower's own parts as in bias-supply-injection.
"""

from __future__ import annotations

from ..builder import Scope
from ..wave_follower import wave_follower

KIND = "optical-injection"
SECTION = "tremolo"


def elaborate(scope: Scope) -> None:
    """Ports: lfo (intensity wiper), target (the diode's anode), grid, cathode, bias, supply.

    Roles: coupling, grid-leak, grid-stopper, bias-resistor, cathode-resistor.
    Facts: point, stage (the cell's id), cell (ref), moved (none), follower (section).
    """
    scope.title = "Tremolo injection"
    block = scope.block.block("injection")
    name = str(block.get("stage"))
    source = scope.port("lfo", scope.source["oscillator.lfo"])
    light = scope.port("target", scope.source.get(f"{name}.light") or scope.net("unlit"))
    wave_follower(scope, block.block("follower"), source, end=light)
    cell = next((stage.parts.get("cell", "") for stage in scope.builder.stages if stage.id == name), "")
    scope.facts.update(point="optical", stage=name, cell=cell, moved=())

"""Pentode gain stage: one small pentode such as the EF86 as a voltage amplifier.

What it does: amplifies and inverts, about three times as much as a triode stage, with next to no Miller capacitance at its grid.

When to use it: as the first stage of an amp that is to have one stage less, or for its own clipping. A pentode in a combo picks up
what shakes it: see to its socket (common practice).

Formulas: gain with cathode and screen bypassed A = gm*(rp parallel R), R = plate load parallel to the next grid's resistance
(standard small-signal algebra). With Rk left without a bypass divide by 1 + (mu+1)*Rk/(rp+R), mu = gm*rp, when the screen's bypass ends
at the cathode: the screen then moves with the cathode, and to the signal the tube is a triode of that mu (derived). Handbook point: 250 V,
220k, 1M to the screen, 2k2, 1M behind: 185 (EF86 in the parts library). Screen bypass: the gain falls below 1/(2*pi*C*r), r = screen
resistor parallel to the screen's own resistance (derived).

Limits: screen volts and watts of the tube; the screen resistor has to drop the node's volts to half or less of B+. The shield's pins go to
ground. Heater to cathode and grid leak as for any tube.

Defaults: screen bypass 100n 400V to ground (common practice); with 1M before it the shelf lies below the guitar's lowest note.
"""

from __future__ import annotations

from ...units.values import Capacitance
from ..builder import Fill, Scope
from ..netlist import GROUND

KIND = "pentode-gain"
SECTION = "preamp"

BYPASS = Fill(
    "100n 400V", Capacitance(100e-9, 400.0), "common practice: with 1M before it the screen stands still at every note of a guitar"
)
TO_GROUND = Fill("ground", "ground", "common practice where the cathode is bypassed as a whole")


def elaborate(scope: Scope) -> None:
    """Ports: in, out, plate, screen, cathode, grid, supply; foot (between the bypassed and the other resistor) when the bypass is partial.

    Roles: grid-leak, grid-stopper, plate-load, screen-resistor, screen-bypass, cathode-resistor, cathode-bypass, cathode-unbypassed,
    coupling.
    """
    source = scope.port("in", scope.fed())
    scope.resistor("grid_leak", source, GROUND)
    grid = source
    if "grid_stopper" in scope.block:
        grid = scope.net("grid")
        scope.resistor("grid_stopper", source, grid)
    scope.port("grid", grid)
    plate, screen, cathode = (scope.port(name, scope.net(name)) for name in ("plate", "screen", "cathode"))
    supply = scope.port("supply", scope.supply())
    name = scope.block.get("tube")
    if scope.tube(name, plate=plate, grid=grid, cathode=cathode, screen=screen):
        _shield(scope, name.tube)
    scope.resistor("plate_load", supply, plate)
    scope.resistor("screen_resistor", supply, screen)
    to = scope.value("screen_bypass_to", TO_GROUND)[0]
    scope.capacitor("screen_bypass", screen, cathode if to == "cathode" else GROUND, fill=BYPASS)
    _cathode(scope, cathode)
    if scope.block.get("coupling") == "direct":
        scope.port("out", plate)
    else:
        scope.capacitor("coupling", plate, scope.port("out", scope.net("out")))


def _cathode(scope: Scope, cathode: str) -> None:
    """The cathode's resistor, whole or in two of which the lower has no bypass."""
    back = scope.cathode_return()
    foot = back
    if "cathode_unbypassed" in scope.block:
        foot = scope.port("foot", scope.net("foot", label=f"{scope.id} foot of the bypassed resistor"))
    scope.resistor("cathode_resistor", cathode, foot)
    scope.capacitor("cathode_bypass", cathode, foot)
    scope.resistor("cathode_unbypassed", foot, back)


def _shield(scope: Scope, tube: str) -> None:
    """The internal shield of the tube to circuit ground."""
    bound = scope.builder.tube(tube)
    for number in bound.type.shield_pins if bound else ():
        scope.builder.tube_pins[tube][str(number)] = GROUND

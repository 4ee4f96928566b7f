"""Common-cathode stage: one triode section, plate load, cathode resistor, optional bypass.

What it does: amplifies and inverts. The everyday voltage amplifier of a guitar amp.

When to use it: wherever gain is wanted; two in a row share one B+ node at most.

Formulas: gain with the cathode bypassed A = mu*R/(rp+R), R = plate load parallel to the next grid's resistance; not bypassed
A = mu*R/(rp+R+(mu+1)*Rk) (standard small-signal algebra; worked numbers in tests/reference). Bypass shelf: zero 1/(2*pi*Rk*Ck).

Limits: plate and heater-cathode ratings of the tube; the plate rests best between 55 % and 75 % of its B+ node (common practice).
"""

from __future__ import annotations

from ..builder import Scope

KIND = "common-cathode"
SECTION = "preamp"


def elaborate(scope: Scope) -> None:
    """Ports: in, out, plate, cathode, grid."""
    source = scope.port("in", scope.fed())
    scope.resistor("grid_leak", source, "0")
    grid = source
    if "grid_stopper" in scope.block:
        grid = scope.net("grid")
        scope.resistor("grid_stopper", source, grid)
    plate = scope.port("plate", scope.net("plate"))
    cathode = scope.port("cathode", scope.net("cathode"))
    back = scope.cathode_return()
    scope.tube(scope.block.get("tube"), plate=plate, grid=grid, cathode=cathode)
    scope.resistor("plate_load", scope.supply(), plate)
    scope.resistor("cathode_resistor", cathode, back)
    scope.capacitor("cathode_bypass", cathode, back)
    scope.port("grid", grid)
    scope.port("supply", scope.supply())
    if scope.block.get("coupling") == "direct":
        scope.port("out", plate)
    else:
        scope.capacitor("coupling", plate, scope.port("out", scope.net("out")))

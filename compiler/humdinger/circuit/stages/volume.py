"""Volume: a pot as a voltage divider.

What it does: passes on a part of the signal. Fully clockwise the wiper is at the input.

When to use it: between two stages, after a coupling capacitor: DC across a track makes it scratch (common practice).

Formulas: share = track fraction f below the wiper; source resistance for the next stage R*f*(1-f), at most R/4, which with the next
tube's input capacitance dulls the treble at half a turn of resistance (standard algebra).

Limits: the track is the next grid's DC path to ground, so R counts against that tube's grid-leak limit.

Defaults: the panel name VOLUME; the shaft stands at 5 of 10 for the printed figures unless `controls` says otherwise.
"""

from __future__ import annotations

from ..builder import Scope
from ..netlist import GROUND

KIND = "volume"
SECTION = "preamp"


def elaborate(scope: Scope) -> None:
    """Ports: in, out. Roles: pot."""
    out = scope.net("out", label=f"{scope.id} wiper")
    scope.pot("pot", GROUND, out, scope.port("in", scope.fed()), control=scope.control("control", "VOLUME"))
    scope.port("out", out)

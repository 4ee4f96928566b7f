"""Bass cut: a capacitor in series with the signal, bridged by a pot as a variable resistor.

What it does: thins the bass as the control is turned down. Fully clockwise the pot shorts the capacitor and the bass is whole.

When to use it: where one knob is to keep a small speaker tidy, before a load of some 1M (a volume control or a grid leak).

Formulas: with R the part of the track left in and RL the load, treble passes whole, deep bass falls to RL/(R + RL); the shelf lies
between 1/(2*pi*R*C) and 1/(2*pi*C*(R parallel RL)) (standard algebra).

Limits: the ccw end is tied to the wiper, so that a lifting wiper leaves the whole track in: bass cut, no open circuit.

Defaults: the panel name BASS. A reverse-audio or linear track spreads the effect over the turn better than an audio one, because the
resistance left in is the part above the wiper.
"""

from __future__ import annotations

from ..builder import Scope

KIND = "bass-cut"
SECTION = "preamp"


def elaborate(scope: Scope) -> None:
    """Ports: in, out. Roles: capacitor, pot (a rheostat: wiper and ccw on the output, cw on the input)."""
    source = scope.port("in", scope.fed())
    out = scope.port("out", scope.net("out"))
    scope.capacitor("capacitor", source, out)
    scope.pot("pot", out, out, source, control=scope.control("control", "BASS"))

"""Presence: a capacitor and a pot that take the treble out of what is fed back, so that the amp gives more of it.

What it does: above its corner the feedback is led to ground as far as the control is turned up; there the amp works with less feedback
or none, and the top of the band comes forward by as many decibels as the feedback had taken away.

When to use it: with feedback around the output stage, into a gain stage before a cathodyne or into a long-tailed pair. It can lift
no further than the loop factor: with three decibels of feedback there is little to hear.

Topology: capacitor from the feedback node to the pot, the pot as a rheostat to ground. Clockwise leaves less of the track in. The free end
is tied to the wiper: a lifting wiper leaves the whole track in, which is the least presence.

Formulas: what is fed back is Z/(Z + resistor), Z = shunt parallel (R + 1/(jwC)), R the part of the track left in; fully clockwise
it falls from 1/(2*pi*C*(resistor parallel shunt)) on (standard algebra, the stage's own current neglected). Closed gain A/(1 + A*share).

Limits: the capacitor keeps the cathode's DC off the track, so that it does not scratch. Less feedback also means a higher output
resistance and less damping of the speaker in the treble.

Defaults: the panel name PRESENCE. A track of ten times the shunt reaches from half a decibel to all (computed). Reverse-audio spreads it
over the turn, since the part left in is the one above the wiper; linear keeps most of it for the end.
"""

from __future__ import annotations

from ..builder import Scope
from ..netlist import GROUND

KIND = "presence"
SECTION = "output"


def elaborate(scope: Scope) -> None:
    """Ports: in (the feedback node), junction. Roles: capacitor, pot (a rheostat: cw on ground). Facts: to, as the feedback's."""
    scope.title = "Presence"
    node = scope.source.get("feedback.out")
    if node is None:  # the feedback was refused, and has said so
        return
    scope.facts["to"] = str(scope.design.spec.block("feedback").get("to"))
    source, junction = scope.port("in", node), scope.port("junction", scope.net("junction"))
    scope.capacitor("capacitor", source, junction)
    scope.pot("pot", junction, junction, GROUND, control=scope.control("control", "PRESENCE"))

"""Treble cut: a capacitor and a pot in series across the signal, a tone control of one knob.

What it does: takes treble away as the control is turned down. Fully clockwise the whole track stands in the way and the top is nearly
whole.

When to use it: behind a gain stage with its coupling capacitor, where one knob is enough; behind a phase inverter it lies between the
two halves and cuts what all stages before it added.

Topology: behind a stage with one output from the signal to ground, behind an inverter from one half to the other. The signal passes by:
what follows is fed by the stage before. The pot is a rheostat with its free end tied to the wiper: a lifting wiper leaves the whole
track in.

Formulas: with R the part of the track left in and Rs the resistance that the branch sees (source parallel to what follows; between the
halves that of both in series) the level is (1 + jwRC)/(1 + jw(R + Rs)C) of that without the branch: treble falls from 1/(2*pi*(R +
Rs)*C) on, and no further than R/(R + Rs) from 1/(2*pi*R*C) on (standard algebra).

Limits: the capacitor keeps DC off the track, so that it does not scratch, and needs the voltage rating of the net it hangs on. Rs of a
plate is tens of kilohms, of a volume control up to a quarter of its track: the same capacitor cuts lower there. A cathodyne's is a
kilohm or two: the branch needs a tenfold capacitor behind one, and feedback around it makes up for what it cuts.

Defaults: the panel name TONE (common practice).
"""

from __future__ import annotations

from ..builder import PASSED_ON as PASSED_ON
from ..builder import Scope
from ..netlist import GROUND

KIND = "treble-cut"
SECTION = "preamp"


def elaborate(scope: Scope) -> None:
    """Ports: in, junction; behind an inverter in-a, in-b, junction. Roles: capacitor, pot (a rheostat: ccw on ground or on half b)."""
    if "out-a" in scope.source:
        scope.section = "inverter"
        source, back = (scope.port(f"in-{letter}", scope.fed(f"out-{letter}")) for letter in "ab")
    else:
        source, back = scope.port("in", scope.fed()), GROUND
    junction = scope.port("junction", scope.net("junction"))
    scope.capacitor("capacitor", source, junction)
    scope.pot("pot", back, junction, junction, control=scope.control("control", "TONE"))

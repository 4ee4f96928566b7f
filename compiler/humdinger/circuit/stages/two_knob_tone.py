"""Two-knob tone: a passive bridge with a bass and a treble control.

What it does: each control moves its end of the spectrum up or down against the middle, which is some 20 dB below the input.

When to use it: between two gain stages; the loss asks for a stage after it.

Topology, from the input to ground:
bass branch    input - bass_slope - top of bass pot - bass pot - foot of bass pot - bass_end - ground;
               bass_upper from the top to the wiper, bass_lower from the wiper to the foot; bass wiper - isolation - output.
treble branch  input - treble_upper - top of treble pot - treble pot - foot of treble pot - treble_lower - ground;
               the treble wiper is the output.
Clockwise is more of either.

Formulas: loss in the middle about bass_end/(bass_slope + bass_end). Flat when the wiper divides each pot as the capacitors divide,
upper/(upper + lower) of the track below the wiper: a tenth for capacitors of 1 to 10, which an audio pot reaches at half a turn. The
network is solved; no handbook number is used.

Limits: DC must be kept out by the coupling capacitor before it; the isolation resistor, the bass pot and bass_end are the next grid's
DC path and count against its limit.

Defaults: bass_end = bass_slope * bass_upper/bass_lower to the nearest E12 value: then both halves of the bass branch divide alike and the
middle does not move with the control. isolation 100k: with 2n2/22n, 470p/4n7 and a 1M load the response at the flat setting
stays within 1.4 dB from 80 Hz to 12 kHz and 47k moves the treble range down by 2 dB (computed). Panel names BASS and TREBLE.
"""

from __future__ import annotations

from ...units import code_ohms, nearest_preferred
from ...units.values import Capacitance, Resistance
from ..builder import Fill, Scope
from ..netlist import GROUND

KIND = "two-knob-tone"
SECTION = "preamp"

ISOLATION = Fill(
    "100k", Resistance(100e3), "keeps the treble branch from loading the bass branch; computed: flat within 1.4 dB with a 1M load"
)


def elaborate(scope: Scope) -> None:
    """Ports: in, out, bass-wiper.

    Roles: bass-slope, bass, bass-upper, bass-lower, bass-end, isolation, treble-upper, treble, treble-lower.
    """
    source = scope.port("in", scope.fed())
    out = scope.net("out", label=f"{scope.id} treble wiper")
    bass_top, bass_foot = scope.net("bass-top"), scope.net("bass-foot")
    wiper = scope.port("bass-wiper", scope.net("bass-wiper"))
    treble_top, treble_foot = scope.net("treble-top"), scope.net("treble-foot")
    scope.resistor("bass_slope", source, bass_top)
    scope.pot("bass", bass_foot, wiper, bass_top, control=scope.control("bass_control", "BASS"))
    scope.capacitor("bass_upper", bass_top, wiper)
    scope.capacitor("bass_lower", wiper, bass_foot)
    scope.resistor("bass_end", bass_foot, GROUND, fill=_bass_end(scope))
    scope.resistor("isolation", wiper, out, fill=ISOLATION)
    scope.capacitor("treble_upper", source, treble_top)
    scope.pot("treble", treble_foot, out, treble_top, control=scope.control("treble_control", "TREBLE"))
    scope.capacitor("treble_lower", treble_foot, GROUND)
    scope.port("out", out)


def _bass_end(scope: Scope) -> Fill | None:
    """The foot that makes both halves of the bass branch divide alike; None when what it follows from could not be read."""
    slope, upper, lower = (scope.block.get(key) for key in ("bass_slope", "bass_upper", "bass_lower"))
    if not (isinstance(slope, Resistance) and isinstance(upper, Capacitance) and isinstance(lower, Capacitance)):
        return None
    ohms = nearest_preferred(slope.ohms * upper.farads / lower.farads, "E12")
    return Fill(
        code_ohms(ohms), Resistance(ohms), "bass_slope times bass_upper over bass_lower: both halves of the bass branch then divide alike"
    )

"""Three-knob tone: one passive network with treble, bass and middle controls that share their parts.

What it does: passes the treble through a small capacitor and the rest through a slope resistor, with a dip between them that the middle
control fills. The knobs act on each other: the middle control also lifts bass and treble, since it is the foot of the whole network.

When to use it: behind the plate of a gain stage, or better behind a cathode follower, whose low source resistance loses less; a gain stage
after it makes up the loss.

Topology, from the input to the output:
treble         input - treble_capacitor - top of treble pot; the treble wiper is the output.
slope          input - slope - junction of bass_capacitor and middle_capacitor.
bass           bass_capacitor - foot of treble pot and top of the bass pot, which is a rheostat down to the top of the middle pot.
middle         middle_capacitor - wiper of the middle pot, whose foot is on ground.
Clockwise is more of each. The bass pot's free end is tied to its wiper: a lifting wiper leaves the whole track in.

Formulas: the exact response is of third order and is solved, not tabled. Its two ends by inspection (derived): far above the band all
capacitors conduct and the share is t + (1 - t)*G, G = m/(m + slope parallel treble pot), m the part of the middle pot below its wiper and
t the fraction of the treble track below its; in the dip, where treble_capacitor is still open and the other two conduct, m/(m + slope).

Limits: its own capacitors hold back the plate's or the cathode's DC and need its voltage rating. A coupling capacitor before the network
would leave the slope resistor without a DC path: the stage before says `coupling: direct`, unless a volume stands between. Treble, bass
and middle pot in series are the next grid's DC path and count against its limit.

Defaults: slope 100k behind a plate, which a smaller one would load, and 56k behind a follower (both common practice). Panel names TREBLE,
BASS and MIDDLE.
"""

from __future__ import annotations

from ...units.values import Resistance
from ..builder import Fill, Scope
from ..netlist import GROUND

KIND = "three-knob-tone"
SECTION = "preamp"

FROM_PLATE = Fill("100k", Resistance(100e3), "common practice behind a plate: a smaller one takes gain from the stage before")
FROM_FOLLOWER = Fill("56k", Resistance(56e3), "common practice behind a cathode follower, which a smaller one does not load")


def elaborate(scope: Scope) -> None:
    """Ports: in, out, slope, bass-top, middle-top, middle-wiper.

    Roles: treble-capacitor, treble, slope, bass-capacitor, bass, middle-capacitor, middle.
    """
    source = scope.port("in", scope.fed())
    out = scope.net("out", label=f"{scope.id} treble wiper")
    treble_top = scope.net("treble-top")
    junction = scope.port("slope", scope.net("slope", label=f"{scope.id} end of the slope resistor"))
    bass_top = scope.port("bass-top", scope.net("bass-top"))
    middle_top = scope.port("middle-top", scope.net("middle-top"))
    wiper = scope.port("middle-wiper", scope.net("middle-wiper"))
    scope.capacitor("treble_capacitor", source, treble_top)
    scope.pot("treble", bass_top, out, treble_top, control=scope.control("treble_control", "TREBLE"))
    scope.resistor("slope", source, junction, fill=FROM_FOLLOWER if source == scope.source.get("cathode") else FROM_PLATE)
    scope.capacitor("bass_capacitor", junction, bass_top)
    scope.pot("bass", middle_top, bass_top, bass_top, control=scope.control("bass_control", "BASS"))
    scope.capacitor("middle_capacitor", junction, wiper)
    scope.pot("middle", GROUND, wiper, middle_top, control=scope.control("middle_control", "MIDDLE"))
    scope.port("out", out)

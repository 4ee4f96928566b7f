"""Feedback tone: bass and treble controls in the feedback loop of one gain stage.

What it does: lifts and cuts bass and treble about a gain near one, which the controls hardly move in the middle of the band. It inverts.

When to use it: where tone controls are to work in both directions alike and without loss, behind a source of low resistance: a cathode
follower or a plate with a small load.

Topology: bass and treble pot stand each between the input and the stage's own output, with a resistor at either end. The bass wiper reaches
the grid through `isolation`, with a capacitor to either end of its track; the treble wiper reaches it through treble_capacitor. What the
wiper leaves towards the output feeds back, what it leaves towards the input drives. Clockwise is more of either.

Formulas: with a gain A of the stage that is high against what is asked (derived; ideal virtual ground at the grid): bass far below
1/(2*pi*bass_capacitor*track) lifts to -(end + b*track)/(end + (1 - b)*track), b the fraction of the track below the wiper; treble likewise
with its own end and track. In the middle -Z/Z = -1; with a finite gain -A/(A + 2).

Limits: the stage can lift no further than its own gain allows, so use a tube of high mu. The network loads the stage before with little
more than bass_end at the ends of the turns. The input must not bring DC, which would reach the grid; the output has a DC path to ground
through the loop, so a phase inverter or a follower behind it needs a capacitor more, such as the one of a master volume.

Defaults: the ends a tenth of their track, to the nearest E12 value: 20 dB of lift and cut at most. With tracks of 1M, 2n2, 220p and a
12AX7 the bass lifts by 18 dB at 50 Hz, the treble by 11 dB at 10 kHz (computed). isolation 220k; grid leak 1M (common practice; the
signal at it is small, so it hardly loads). Panel names BASS and TREBLE.
"""

from __future__ import annotations

from ...units import code_ohms, nearest_preferred
from ...units.values import Potentiometer, Resistance
from ..builder import Fill, Scope
from ..netlist import GROUND

KIND = "feedback-tone"
SECTION = "preamp"

ISOLATION = Fill("220k", Resistance(220e3), "keeps the bass network from loading the treble's: the controls then hardly meet (computed)")
LEAK = Fill("1M", Resistance(1e6), "common practice; there is little signal at the grid of a stage with feedback, so it hardly loads")


def elaborate(scope: Scope) -> None:
    """Ports: in, out, plate, cathode, grid, supply, sum (where both wipers meet), bass-wiper, treble-wiper.

    Roles: bass-end-a, bass, bass-end-b, bass-capacitor-a, bass-capacitor-b, isolation, treble-end-a, treble, treble-end-b,
    treble-capacitor, grid-leak, grid-stopper, plate-load, cathode-resistor, cathode-bypass, coupling. a is the input's side.
    """
    source = scope.port("in", scope.fed())
    if source in (scope.source.get("plate"), scope.source.get("cathode")):
        scope.builder.problem(
            "ELB-071",
            "direct-current-into-feedback-tone",
            f"what feeds {scope.id} brings direct volts, and its controls would lead them to the grid",
            scope.block.span,
            helps=("give the stage before it a coupling capacitor",),
        )
    out = scope.port("out", scope.net("out"))
    total = scope.port("sum", scope.net("sum", label=f"{scope.id} meeting point of the wipers"))
    _bass(scope, source, out, total)
    _treble(scope, source, out, total)
    scope.resistor("grid_leak", total, GROUND, fill=LEAK)
    grid = total
    if "grid_stopper" in scope.block:
        grid = scope.net("grid")
        scope.resistor("grid_stopper", total, grid)
    scope.port("grid", grid)
    plate, cathode = (scope.port(name, scope.net(name)) for name in ("plate", "cathode"))
    supply = scope.port("supply", scope.supply())
    scope.tube(scope.block.get("tube"), plate=plate, grid=grid, cathode=cathode)
    scope.resistor("plate_load", supply, plate)
    scope.resistor("cathode_resistor", cathode, GROUND)
    scope.capacitor("cathode_bypass", cathode, GROUND)
    scope.capacitor("coupling", plate, out)


def _bass(scope: Scope, source: str, out: str, total: str) -> None:
    top, foot = scope.net("bass-top"), scope.net("bass-foot")
    wiper = scope.port("bass-wiper", scope.net("bass-wiper"))
    scope.resistor("bass_end", source, top, fill=_end(scope, "bass"), suffix="a")
    scope.pot("bass", foot, wiper, top, control=scope.control("bass_control", "BASS"))
    scope.resistor("bass_end", foot, out, fill=_end(scope, "bass"), suffix="b")
    scope.capacitor("bass_capacitor", top, wiper, suffix="a")
    scope.capacitor("bass_capacitor", wiper, foot, suffix="b")
    scope.resistor("isolation", wiper, total, fill=ISOLATION)


def _treble(scope: Scope, source: str, out: str, total: str) -> None:
    top, foot = scope.net("treble-top"), scope.net("treble-foot")
    wiper = scope.port("treble-wiper", scope.net("treble-wiper"))
    scope.resistor("treble_end", source, top, fill=_end(scope, "treble"), suffix="a")
    scope.pot("treble", foot, wiper, top, control=scope.control("treble_control", "TREBLE"))
    scope.resistor("treble_end", foot, out, fill=_end(scope, "treble"), suffix="b")
    scope.capacitor("treble_capacitor", wiper, total)


def _end(scope: Scope, key: str) -> Fill | None:
    """A tenth of the track; None when the track could not be read."""
    pot = scope.block.get(key)
    if not isinstance(pot, Potentiometer):
        return None
    ohms = nearest_preferred(pot.ohms / 10.0, "E12")
    return Fill(code_ohms(ohms), Resistance(ohms), f"a tenth of the {key} track: 20 dB of lift and cut at most")

"""Line out: a part of the speaker's voltage at a jack, for a mixing desk, a recorder or a second amp.

What it does: divides the speaker's voltage down to line level, so that what is recorded has gone through the output stage.

When to use it: where the amp's own power stage and transformer are to be heard, the speaker is not. The speaker or another load stays
plugged in: the divider is none.

Topology: resistor from the speaker's hot net to the tip, resistor from the tip to ground; or a pot in the place of the lower one, its
wiper the tip. No capacitor: the secondary has no DC.

Formulas: share = lower/(upper + lower) with nothing plugged in; at the amp's clean power P into Z the jack has sqrt(P*Z)*share volts rms;
source resistance upper parallel lower (standard algebra). Line level is 0.32 V (-10 dBV) or 1.2 V (+4 dBu) rms: definitions of the
decibels; which device wants which is common practice.

Limits: the divider takes V^2/(upper + lower) from the amp: above a hundred times the speaker's impedance it is lost in its tolerance. A
mixing desk's earth and the amp's meet here: hum of two earths is cured at the desk by a transformer, never by lifting the amp's earth.

Defaults: lower 1k where there is no pot; the panel name of the pot LINE LEVEL.
"""

from __future__ import annotations

from ...units.values import Resistance
from ..builder import Fill, Scope
from ..netlist import GROUND, Jack, Pin

KIND = "line-out"
SECTION = "output"

LOWER = Fill("1k", Resistance(1e3), "common practice: low enough that no lead and no desk loads it")


def elaborate(scope: Scope) -> None:
    """Ports: in (the speaker's hot net), out (the tip); top where there is a pot. Roles: upper, lower or pot, jack."""
    scope.title = "Line out"
    hot = scope.port("in", scope.source.get("speaker.hot", GROUND))
    tip = scope.net("tip", label="line out jack, tip")
    if "pot" in scope.block:
        top = scope.port("top", scope.net("top", label="top of the line level"))
        scope.resistor("upper", hot, top)
        scope.pot("pot", GROUND, tip, top, control=scope.control("control", "LINE LEVEL"))
    else:
        scope.resistor("upper", hot, tip)
        scope.resistor("lower", tip, GROUND, fill=LOWER)
    scope.keep(
        Jack,
        "jack",
        role="jack",
        path=f"{scope.block.path}/jack",
        span=scope.block.span,
        label="LINE OUT",
        pins=(Pin("tip", tip), Pin("sleeve", GROUND)),
        purpose="line-out",
        switched=False,
    )
    scope.port("out", tip)

"""Effects loop: the signal goes out at one jack and comes back at another, so that an effect sits behind the preamplifier.

What it does: divides the preamplifier's signal down to what a pedal or a rack unit takes, and gives what comes back to the next stage.
While the return jack is empty its contact rests on the send, and the signal goes on inside the amp; a plug in SEND alone taps it.

When to use it: behind the tone controls and before a recovery stage. What drives the send is the stage before it: a cathode follower gives
it a low source resistance. What makes up the loss is the stage behind it: a common-cathode stage.

Topology: `send` has a coupling capacitor where the stage before stands above ground, a series resistor, then a pot whose wiper is the jack,
or a shunt to ground at the jack. `return` has a pot whose clockwise end is the jack, or a resistor to ground there.

Formulas: share at SEND = Z/(series + rest of the track + Z), Z = what is below the wiper parallel to the shunt and the load (standard
algebra). What a device sees: source resistance there = the upper part parallel to the lower. Level: 0.1 V rms for a pedal (-20 dBV),
0.32 V for a tape machine (-10 dBV), 1.2 V for a rack unit (+4 dBu): the decibels are definitions, which device wants which is common
practice. Computed for every amp: volts at SEND and at RETURN for full drive, the resistance at either.

Limits: one leaking capacitor must leave less than 60 V, or 2 mA into a body, on the jack; behind a follower a series resistor of some ten
times the shunt sees to that. A long lead from a high source resistance loses treble: a hundred picofarads per metre (common practice).
The same sense of phase comes back as goes out only if the device does not invert; that matters where a dry path runs beside it.

Defaults: shunt 100k without a pot (the jack must have a path to ground); return 1M without a pot; panel names SEND LEVEL and RETURN LEVEL.
"""

from __future__ import annotations

from ...spec.model import Block
from ...units.values import Resistance
from ..builder import Fill, Scope
from ..netlist import GROUND, Jack, Pin

KIND = "effects-loop"
SECTION = "preamp"

SHUNT = Fill("100k", Resistance(100e3), "without a pot something else must hold the jack's tip at ground")
LEAK = Fill("1M", Resistance(1e6), "common practice: a return that loads no device; it holds the tip at ground")


def elaborate(scope: Scope) -> None:
    """Ports: in, return (the tip of RETURN), out, out-send (the tip of SEND); top (clockwise end of the send's pot) where it has one.

    Roles: send-coupling, send-series, send-pot, send-shunt, send-jack, return-jack, return-pot, return-leak.
    """
    send, back = scope.block.block("send"), scope.block.block("return")
    source = scope.port("in", scope.fed())
    if "coupling" not in send and source in (scope.source.get("plate"), scope.source.get("cathode")):
        _needs_capacitor(scope)
    top = tip = _send(scope, send, source)
    if "pot" in send:
        scope.port("top", top)
        tip = scope.net("send", label=f"{scope.id} send jack, tip")
    if "pot" in send:
        scope.pot("pot", GROUND, tip, top, control=scope.control("control", "SEND LEVEL", send), role="send-pot", block=send)
    scope.resistor("shunt", tip, GROUND, role="send-shunt", fill=None if "pot" in send else SHUNT, block=send)
    _jack(scope, "send", (Pin("tip", tip), Pin("sleeve", GROUND)))
    came = scope.port("return", scope.net("return", label=f"{scope.id} return jack, tip"))
    _jack(scope, "return", (Pin("tip", came), Pin("sleeve", GROUND), Pin("tip-switch", tip)))
    out = came
    if "pot" in back:
        out = scope.net("out", label=f"{scope.id} return wiper")
        scope.pot("pot", GROUND, out, came, control=scope.control("control", "RETURN LEVEL", back), role="return-pot", block=back)
    scope.resistor("leak", came, GROUND, role="return-leak", fill=None if "pot" in back else LEAK, block=back)
    scope.port("out", out)  # before the send: a stage's first gain is that of its way on
    scope.port("out-send", tip)


def _send(scope: Scope, send: Block, source: str) -> str:
    """Capacitor and series resistor, as far as there are any. Returns the net behind them."""
    way = [key for key in ("coupling", "series") if key in send]
    for key in way:
        if key != way[-1]:
            end = scope.net("blocked", label=f"{scope.id} behind the send capacitor")
        elif "pot" in send:
            end = scope.net("top", label=f"{scope.id} top of the send level")
        else:
            end = scope.net("send", label=f"{scope.id} send jack, tip")
        put = scope.capacitor if key == "coupling" else scope.resistor
        put(key, source, end, role=f"send-{key}", block=send)
        source = end
    return source


def _jack(scope: Scope, purpose: str, pins: tuple[Pin, ...]) -> None:
    block = scope.block.block(purpose)
    scope.keep(
        Jack,
        "jack",
        role=f"{purpose}-jack",
        path=f"{scope.block.path}/{purpose}/jack",
        span=block.span if purpose in scope.block else scope.block.span,
        label=purpose.upper(),
        pins=pins,
        purpose=purpose,
        switched=len(pins) > 2,
    )


def _needs_capacitor(scope: Scope) -> None:
    scope.builder.problem(
        "ELB-072",
        "direct-current-on-the-send",
        f"what feeds effects loop {scope.id} stands above ground, and its send has no capacitor",
        scope.block.span_of("send") if "send" in scope.block else scope.block.span,
        label="a lead plugged in here would carry it",
        helps=("add `coupling: 1u 630V film` to `send`, or give the stage before a coupling capacitor",),
    )

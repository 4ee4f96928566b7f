"""Bias-supply injection: the tremolo put on the bias of the output tubes through a capacitor.

What it does: moves the common bias of the output tubes, and with it their gain.

When to use it: with fixed bias. The bias feed's resistance is what the wave works against, so it wants a low source: a follower.

Topology: without a follower, `through` runs from the intensity wiper to "bias.feed". With one: wiper - coupling capacitor - grid node -
grid stopper - grid; grid leak from the grid node to the foot of the bias resistor; bias resistor from the cathode to that foot; cathode
resistor from the foot to ground; `through` from the cathode to "bias.feed". The bias resistor alone sets the bias, and the cathode stands
well above ground, so that the follower can swing both ways; the leak is bootstrapped.

Formulas: high-pass corner 1/(2*pi*C*R), R = feed plus what the range network shows at its wiper, the follower's own resistance
neglected (standard algebra); the follower's gain mu*R/(rp+(mu+1)*R).

Limits: heater-cathode limit of the follower; grid path of the output tubes; a shorted `through` puts the follower's cathode voltage on
the output grids: film only, rated for the whole B+.

Defaults for the follower: coupling 100n 630V, a corner below 0.2 Hz with the bootstrapped leak; grid leak 1M; grid stopper 10k (common
practice); bias resistor 1k5, cathode at a fifth to a half of its B+ node (computed, see cathode-follower).
"""

from __future__ import annotations

from ..builder import Scope
from ..wave_follower import wave_follower

KIND = "bias-supply-injection"
SECTION = "tremolo"


def elaborate(scope: Scope) -> None:
    """Ports: lfo (intensity wiper), feed ("bias.feed"); with a follower grid, cathode, bias, supply.

    Roles: through; with a follower coupling, grid-leak, grid-stopper, bias-resistor, cathode-resistor.
    Facts: point, through (refs), follower (section, with one).
    """
    scope.title = "Tremolo injection"
    block = scope.block.block("injection")
    source = scope.port("lfo", scope.source["oscillator.lfo"])
    feed = scope.source.get("bias.feed")
    if feed is None:
        scope.builder.problem(
            "ELB-025",
            "no-bias-supply",
            "tremolo into the bias supply needs fixed bias, but the output stage has cathode bias",
            block.span_of("point"),
            notes=("with cathode bias the tremolo goes into the output grids: point: output-grids",),
        )
        return
    drive = wave_follower(scope, block.block("follower"), source) if "follower" in block else source
    through = scope.capacitor("through", drive, scope.port("feed", feed), block=block)
    scope.facts.update(point="bias-supply", through=(through,) if through else ())

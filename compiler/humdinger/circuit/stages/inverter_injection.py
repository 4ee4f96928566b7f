"""Inverter injection: the tremolo put on the tail of a long-tailed pair.

What it does: moves the current of both tubes of the phase inverter together, and with it their gain. The plates move together too and
carry the wave on to the output grids, where it moves the output tubes in the same sense.

When to use it: in a push-pull amp that has a long-tailed pair, where the slow wave common to both sides cancels in the transformer as far
as the sides are alike. A cathodyne has no gain to move: it is refused.

Topology: wiper (or follower) - blocking capacitor - `through` - top of the tail. The blocking capacitor is always there: the tail stands
well above ground. The grids are no point of injection: their leaks follow the tail, and a volt or two there swing the amp to its stops
(computed), so that no mixing resistor of a usual size would do.

Formulas: the wave is divided by `through` and its source against Rt parallel (Rk + (rp + Ra)/(2*(mu+1))), Rt the tail and Rk the cathode
resistor (standard small-signal algebra, the two tubes in parallel, the grids still). The depth is that of the solved slow wave.

Limits: cathode bias of the output tubes fights the part of the wave that they get; small coupling capacitors behind the inverter take
depth away. The tubes of the pair must neither be cut off for long nor draw grid current. An intensity control without a follower is too
weak for most tails.

Defaults: blocking 1u 630V film: passes 4 Hz into 47k and more. For the follower's own parts as in bias-supply-injection.
"""

from __future__ import annotations

from ...units.values import Capacitance
from ..builder import Fill, Scope
from ..wave_follower import wave_follower

KIND = "inverter-injection"
SECTION = "tremolo"

BLOCKING = Fill("1u 630V film", Capacitance(1e-6, 630.0, technology="film"), "keeps the tail's voltage off the intensity control")
PAIR = "long-tailed-pair"


def elaborate(scope: Scope) -> None:
    """Ports: lfo (wiper), target (top of the tail); with a follower grid, cathode, bias, supply.

    Roles: blocking, through; with a follower coupling, grid-leak, grid-stopper, bias-resistor, cathode-resistor.
    Facts: point, through (refs), moved (the pair's sections), follower (section, with one).
    """
    scope.title = "Tremolo injection"
    block = scope.block.block("injection")
    source = scope.port("lfo", scope.source["oscillator.lfo"])
    pair = next((stage for stage in scope.builder.stages if stage.kind == PAIR), None)
    if pair is None:
        scope.builder.problem(
            "ELB-110",
            "no-pair-to-move",
            "this tremolo moves a long-tailed pair, and the amp has none",
            block.span_of("point"),
            notes=("a cathodyne has no gain that could be moved, and without an inverter there is nothing to move",),
            helps=("put it at a preamp stage, `point: preamp-cathode`, or at the output tubes",),
        )
        return
    drive = wave_follower(scope, block.block("follower"), source) if "follower" in block else source
    behind = scope.net("blocked", label="injection, behind the blocking capacitor")
    scope.capacitor("blocking", drive, behind, block=block, fill=BLOCKING)
    through = scope.resistor("through", behind, scope.port("target", pair.ports["tail"]), block=block)
    moved = tuple(s.ref for s in scope.builder.sections if s.stage == pair.id)
    scope.facts.update(point="inverter-tail", through=(through,) if through else (), moved=moved)

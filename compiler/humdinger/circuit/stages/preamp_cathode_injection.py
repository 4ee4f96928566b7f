"""Preamp-cathode injection: the tremolo put on the cathode of a gain stage of the preamplifier.

What it does: moves the bias of one preamp tube up and down, and with it the gain of its stage.

When to use it: where the output stage is to be left alone: single-ended amps, whose transformer cancels no slow wave, and amps with
cathode bias, whose cathode resistor fights a wave at the output grids. Late in the preamp the wave is small against the signal's swing;
behind it a coupling capacitor, a tone network or a volume control keep the slow wave out of the power stage.

Topology: `through` runs from the intensity wiper to the cathode of the stage that `stage` names. With a follower, wiper - coupling
capacitor - follower (as at the bias supply), and a blocking capacitor stands between its cathode and `through`. Without one, the
blocking capacitor is left out unless the spec asks for it: the wiper then carries a little of the cathode's direct current.

Formulas: the cathode is moved by Vw*Z/(Z + through + source), Z = Rk parallel Ck parallel (rp + Ra)/(mu + 1) at the tremolo's rate, source
what the intensity control shows at its wiper (standard small-signal algebra): 1k5 with nothing across it behind 22k on a 12AX7 takes 3 % of
the wave. A large bypass capacitor shorts the slow wave as well: 22 uF is 1.8k at 4 Hz. The depth is that of the solved slow wave.

Limits: the stage amplifies the slow wave like the signal and hands it on; small coupling capacitors or a bass cut keep the speaker
still. At full intensity the tube must neither be cut off for long nor draw grid current. With a follower its heater-cathode limit holds.

Defaults: blocking with a follower 1u 630V film: passes 4 Hz into 47k and more, and keeps the follower's cathode voltage off the preamp.
For the follower's own parts as in bias-supply-injection.
"""

from __future__ import annotations

from ...units.values import Capacitance
from ..builder import Fill, Scope
from ..wave_follower import wave_follower

KIND = "preamp-cathode-injection"
SECTION = "tremolo"

BLOCKING = Fill(
    "1u 630V film",
    Capacitance(1e-6, 630.0, technology="film"),
    "keeps the follower's cathode voltage off the preamp tube; rated for the whole B+",
)


def elaborate(scope: Scope) -> None:
    """Ports: lfo (intensity wiper), target (the stage's cathode); with a follower grid, cathode, bias, supply.

    Roles: through, blocking; with a follower coupling, grid-leak, grid-stopper, bias-resistor, cathode-resistor.
    Facts: point, through (refs), stage (the moved stage's id), moved (its sections), follower (section, with one).
    """
    scope.title = "Tremolo injection"
    block = scope.block.block("injection")
    name = str(block.get("stage"))
    source = scope.port("lfo", scope.source["oscillator.lfo"])
    target = scope.port("target", scope.source.get(f"{name}.cathode") or scope.net("unfed"))
    followed = "follower" in block
    drive = wave_follower(scope, block.block("follower"), source) if followed else source
    if followed or "blocking" in block:
        behind = scope.net("blocked", label="injection, behind the blocking capacitor")
        scope.capacitor("blocking", drive, behind, block=block, fill=BLOCKING)
        drive = behind
    through = scope.resistor("through", drive, target, block=block)
    moved = tuple(s.ref for s in scope.builder.sections if s.stage == name)
    scope.facts.update(point="preamp-cathode", through=(through,) if through else (), stage=name, moved=moved)

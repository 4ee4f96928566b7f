"""Push-pull output: two pentodes or beam tetrodes, or two on each side, on a centre-tapped output transformer.

What it does: makes the power; each tube carries one half of the wave and the idle currents cancel in the core.

When to use it: from some 10 W up. Four tubes give twice the power of two into half their load; they share the side's grid leak, so it may
be half as large, and each has stoppers of its own: tubes in parallel oscillate without (common practice).

Topology: each output of the phase inverter feeds one grid leak and one grid stopper; leaks return to ground in cathode bias and to the
bias feed in fixed bias. The plates work into the two ends of the primary, the B+ node whose `feeds` names output-plates is on the centre
tap, each screen has its own stopper from the node that feeds screens. Tube a is on P1 unless there is feedback and P2 is the end that
makes it oppose the signal. The secondary's foot is on circuit ground.

Connections: pentode, the screens on a B+ node: most power, and the highest plate resistance. triode, each screen on its own plate through
its stopper: about half the power (common practice), plate resistance mu of the screen over transconductance (6V6: 9.8/5.0 mS = 1.96k,
library). ultralinear, each screen on a tap at a share x of the turns from B+, 20 to 43 % (common practice): between the two; plate
resistance 1/(gpp + x(gps + gsp) + x²gss), slopes of plate and screen current over plate and screen volts (derived; ideal transformer).
On plate or tap the screens stand at nearly the plates' volts: their limit decides about B+.

Formulas: turns ratio sqrt(plate-to-plate load/tap): 8k to 8 ohm give 31.62; ceiling of power 2*(Vb-Vknee)^2/Raa (Radiotron Designer's
Handbook ch. 13, from memory: 300 V, 40 V, 8k give 16.9 W). Secondary resistance is given for the highest tap and taken as proportional to
turns, sqrt(tap/highest tap), for the lower ones (own assumption: one wire size).

Limits: plate and screen dissipation, screen volts, cathode current and grid leak of the tubes; plates swing to twice the B+ node.

Defaults: connection pentode; leakage inductance from a treble corner at 40 kHz. The B+ node of the plates is the first of the filter,
that of the screens the second, unless `feeds` says otherwise.
"""

from __future__ import annotations

from ..builder import Scope
from ..netlist import Pin
from ..output_stage import screen_tap, tap_pins, transformer, tubes
from ..polarity import inversion
from ..reading import fed_node

KIND = "push-pull-output"
SECTION = "output"


def elaborate(scope: Scope) -> None:
    """Ports: drive-, grid-, plate-, screen-, cathode- each with a and b, supply (plate node), screens (node), hot (speaker tap), tap-N.

    Of four tubes: grid-, screen-, cathode- with a1, a2, b1, b2. In other than pentode connection screens-a and screens-b for screens.
    Roles: grid-leak-a/b, grid-stopper-a/b, screen-stopper-a/b, transformer. Facts: sections ("V4", "V5"), connection, swapped.
    """
    scope.title = "Output stage"
    supply = scope.port("supply", fed_node(scope.builder, "output-plates"))
    plates = {letter: scope.net(f"plate-{letter}") for letter in "ab"}
    tubes(scope, plates)
    feedback = scope.design.spec.block("feedback")
    # tube a inverts once more: a drive in phase with the target's input comes out upside down on P1
    swapped = "to" in feedback and inversion(scope.builder.stages, str(feedback.get("to")), scope.ports["drive-a"]) == 1
    scope.facts["swapped"] = swapped
    if scope.block.block("transformer").get("type") == "single-ended":
        scope.builder.problem(
            "ELB-021",
            "single-ended-transformer-on-a-pair",
            "a push-pull output needs a transformer with a centre-tapped primary, but this one is single-ended",
            scope.block.block("transformer").span_of("type"),
        )
        return
    first, last = ("b", "a") if swapped else ("a", "b")
    share = screen_tap(scope)
    upper = (Pin("P1", plates[first]), *tap_pins(scope, share, "S1", first))
    lower = (*tap_pins(scope, share, "S2", last), Pin("P2", plates[last]))
    transformer(scope, (*upper, Pin("CT", supply), *lower), swapped=swapped, screen_share=share)

"""Single-ended output: one pentode or beam tetrode, or two in parallel, on a gapped output transformer.

What it does: makes the power. The tube draws its idle current all the time, through the transformer's primary.

When to use it: up to some 5 W; the transformer must have a gap and be rated for the tube's DC. Two tubes give
twice the power into half the load and put twice the current through the gap; they share the grid leak, and each has stoppers of its own.

Topology: the coupling capacitor of the stage before feeds the grid leak, the grid stopper stands on the grid pin; the plate works into
the primary from the B+ node whose `feeds` names output-plates, the screen through its stopper from the node that feeds screens. The
secondary's foot is on circuit ground.

Connections: pentode, the screens on a B+ node: most power, and the highest plate resistance. triode, each screen on its own plate through
its stopper: about half the power (common practice), plate resistance mu of the screen over transconductance (6V6: 9.8/5.0 mS = 1.96k,
library). ultralinear, each screen on a tap at a share x of the turns from B+, 20 to 43 % (common practice): between the two; plate
resistance 1/(gpp + x(gps + gsp) + x²gss), slopes of plate and screen current over plate and screen volts (derived; ideal transformer).
On plate or tap the screens stand at nearly the plates' volts: their limit decides about B+.

Formulas: turns ratio sqrt(primary/tap); best load about 0.9*Va/Ia (from memory, Radiotron Designer's Handbook ch. 13: 250 V, 45 mA give
5k); power 0.35 to 0.45 of the idle dissipation (from memory of handbooks). Secondary resistance is given for the highest tap and taken as
proportional to turns, sqrt(tap/highest tap), for the lower ones (own assumption: one wire size).

Limits: plate and screen dissipation, screen volts, cathode current and grid leak of the tube; DC rating of the core.

Defaults: connection pentode; leakage inductance from a treble corner at 40 kHz. The B+ node of the plate is the first of the filter, that
of the screen the second, unless `feeds` says otherwise.
"""

from __future__ import annotations

from ...diagnostics import Label
from ..builder import Scope
from ..netlist import Pin
from ..output_stage import screen_tap, tap_pins, tapped, transformer, tubes
from ..polarity import inversion
from ..reading import fed_node

KIND = "single-ended-output"
SECTION = "output"


def elaborate(scope: Scope) -> None:
    """Ports: drive-a, grid-a, plate-a, screen-a, cathode-a, supply (plate node), screens (node), hot (speaker tap), tap-N.

    Of two tubes: grid-, screen-, cathode- with a1 and a2. In other than pentode connection screens-a for screens.
    Roles: grid-leak-a, grid-stopper-a, screen-stopper-a, transformer. Facts: sections ("V2",), connection, swapped.
    """
    scope.title = "Output stage"
    supply = scope.port("supply", fed_node(scope.builder, "output-plates"))
    plate = scope.net("plate-a")
    tubes(scope, {"a": plate})
    feedback = scope.design.spec.block("feedback")
    # the tube inverts once more: a signal upside down at its grid comes out of the tap in phase with the target
    swapped = "to" in feedback and inversion(scope.builder.stages, str(feedback.get("to")), scope.ports["drive-a"]) == 1
    scope.facts["swapped"] = swapped
    first, last = (supply, plate) if swapped else (plate, supply)
    share = screen_tap(scope)
    if swapped and tapped(scope):
        _cannot_turn(scope)
    if scope.block.block("transformer").get("type") == "push-pull":
        # judged by a rule; half its primary carries the tube
        free = scope.builder.net("output.free-end", "supply", "unused end of the primary", "unused end: insulate it")
        spare = tap_pins(scope, share, "S2", "free")
        primary = (Pin("P1", first), *tap_pins(scope, share, "S1", "a"), Pin("CT", last), *spare, Pin("P2", free))
    else:
        primary = (Pin("P", first), *tap_pins(scope, share, "S", "a"), Pin("B", last))
    transformer(scope, primary, swapped=swapped, screen_share=share)


def _cannot_turn(scope: Scope) -> None:
    """A primary turned round for the sake of the feedback has its screen tap at the wrong end."""
    scope.builder.problem(
        "ELB-083",
        "screen-tap-turned-round",
        "this feedback wants the primary turned round, which would put the screen tap at the wrong end of it",
        scope.design.spec.block("feedback").span_of("to"),
        others=(Label(scope.block.span_of("connection"), "the screen hangs on the primary here"),),
        notes=("one tube's primary has its tap near one end; turned round, a tap of 43 % is one of 57 %",),
        helps=("lead it back to a stage that inverts once more or once less, or use pentode or triode connection",),
    )

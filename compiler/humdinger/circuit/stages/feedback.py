"""Feedback: a part of the speaker's voltage led back to an earlier stage.

What it does: lowers gain and distortion and the amp's output resistance, by the same factor.

When to use it: over the power stage of a pair; six to ten decibels are usual in a guitar amp, more asks for trouble at the ends of the band
(common practice).

Topology: resistor from the chosen tap to the feedback node, shunt from the node to ground; the cathode return of the stage that
`to` names ends on the node (a long-tailed pair's tail and grid capacitor). The output stage connects the plates so that it opposes the
signal.

Formulas: fed-back share shunt/(shunt + resistor), the stage's own current neglected; closed gain A/(1 + A*share) (standard algebra).

Limits: the wrong polarity makes an oscillator of the amp. The resistor is therefore connected last: one end stays open until the
polarity test of the bring-up is passed.

Defaults: none.
"""

from __future__ import annotations

from ...records import replace
from ..builder import Scope
from ..netlist import GROUND
from ..polarity import inversion

KIND = "feedback"
SECTION = "output"

TAKES_FEEDBACK = ("common-cathode", "pentode-gain", "long-tailed-pair")
BREAK_LINK = "Break link of the feedback: leave the end at the speaker open until the polarity test is passed."


def elaborate(scope: Scope) -> None:
    """Ports: in (the tap), out (the feedback node). Roles: resistor (the break link: connected last), shunt. Facts: to."""
    scope.title = "Feedback"
    to = str(scope.block.get("to"))
    target = next((stage for stage in scope.builder.stages if stage.id == to), None)
    if target is not None and target.kind not in TAKES_FEEDBACK:
        scope.builder.problem(
            "ELB-026",
            "feedback-into-wrong-stage",
            f"feedback goes into a cathode, and stage {to} ({target.kind}) has none to spare",
            scope.block.span_of("to"),
            notes=("name a common-cathode stage or a long-tailed pair",),
        )
        return
    if target is not None and inversion(scope.builder.stages, to, scope.source["output.drive-a"]) is None:
        scope.builder.problem(
            "ELB-027",
            "feedback-outside-the-loop",
            f"stage {to} does not drive the output stage, so nothing can be fed back to it",
            scope.block.span_of("to"),
        )
    tap = scope.block.get("from")
    source = scope.source.get(f"output.tap-{getattr(tap, 'value', 0):g}", scope.source.get("output.hot", GROUND))
    node = scope.builder.net(f"{to}.feedback", "signal", f"{to} feedback")
    scope.facts["to"] = to
    ref = scope.resistor("resistor", scope.port("in", source), scope.port("out", node))
    parts = scope.builder.parts
    for index, part in enumerate(parts):
        if part.ref == ref:
            parts[index] = replace(part, note=" ".join(filter(None, (part.note, BREAK_LINK))))
    scope.resistor("shunt", node, GROUND)

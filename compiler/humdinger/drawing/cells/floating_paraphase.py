"""Floating paraphase: two triodes facing each other; a see-saw of two resistors from the outputs to the second grid."""

from __future__ import annotations

from ...circuit.netlist import StageInstance
from ..common import other_net
from ..geometry import GRID, LOW, SIDE
from ..inverter_parts import A_OUT, B_OUT, leave, paraphase_outputs, paraphase_tubes
from ..pen import Pen


def draw(pen: Pen, stage: StageInstance) -> None:
    """In at grid height on the left; out-a and out-b one above the other on the right, the see-saw between them and the edge."""
    ports, parts = stage.ports, stage.parts
    tubes = paraphase_tubes(pen, stage)
    stop = paraphase_outputs(pen, stage, tubes)
    middle, centre = ports["grid-b"], (B_OUT + GRID) / 2 - 0.1
    x = max(stop + 0.5, tubes.low_clear + 0.5)
    far = x + SIDE + pen.width(parts["seesaw-a"]) + 0.5
    for letter, at, height in (("a", x, A_OUT), ("b", far, B_OUT)):
        out = ports[f"out-{letter}"]
        pen.wire(out, (stop, height), (at, height))
        pen.two(parts[f"seesaw-{letter}"], (at, height), (at, GRID), start=out, label="right", centre=(at, centre))
    pen.wire(middle, tubes.b.lead("grid"), (x, GRID), (far, GRID))
    leak = parts["seesaw-leak"]
    pen.two(leak, (x, GRID), (x, LOW), start=middle, label="right")
    pen.ground((x, LOW), other_net(pen, leak, middle))
    leave(pen, stage, (x, far), far + SIDE + pen.width(parts["seesaw-b"]))

"""Paraphase: two triodes facing each other; a divider from the first output down to the second grid."""

from __future__ import annotations

from ...circuit.netlist import StageInstance
from ..common import other_net
from ..geometry import GRID, LOW, SIDE
from ..inverter_parts import A_OUT, B_OUT, leave, paraphase_outputs, paraphase_tubes
from ..pen import Pen


def draw(pen: Pen, stage: StageInstance) -> None:
    """In at grid height on the left; out-a and out-b one above the other on the right, the divider between them and the edge."""
    ports, parts = stage.ports, stage.parts
    tubes = paraphase_tubes(pen, stage)
    stop = paraphase_outputs(pen, stage, tubes)
    upper, lower = parts["divider-upper"], parts["divider-lower"]
    x = max(stop + 0.5, tubes.low_clear + 0.5)
    pen.wire(ports["out-a"], (stop, A_OUT), (x, A_OUT))
    pen.two(upper, (x, A_OUT), (x, GRID), start=ports["out-a"], label="right", centre=(x, (B_OUT + GRID) / 2 - 0.1))
    pen.wire(ports["grid-b"], tubes.b.lead("grid"), (x, GRID))
    pen.two(lower, (x, GRID), (x, LOW), start=ports["grid-b"], label="right")
    pen.ground((x, LOW), other_net(pen, lower, ports["grid-b"]))
    end = x + SIDE + max(pen.width(upper), pen.width(lower))
    leave(pen, stage, (x, stop), end)

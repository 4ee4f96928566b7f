"""Mixer: its resistors one under the other, their right ends on one upright line; the sum leaves at grid height."""

from __future__ import annotations

from ...circuit.netlist import StageInstance
from ..geometry import OUT
from ..pen import Pen

STOREY = 2.0
"""From one resistor down to the next: the body, and four rows of label."""


def draw(pen: Pen, stage: StageInstance) -> None:
    """The last input is the neighbour on the left as a rule: it stands on top, the others under it in their order."""
    names = [name for name in stage.ports if name == "in" or name.startswith("in-")]
    order = [names[-1], *names[:-1]]
    refs = {name: stage.parts[f"resistor-{names.index(name) + 1}"] for name in names}
    way = max([1.9, *(pen.width(ref, level=True) + 0.35 for ref in refs.values())])
    out = stage.ports["out"]
    for number, name in enumerate(order):
        y = OUT - number * STOREY
        pen.block.port(name, stage.ports[name], (0.0, y), "left")
        pen.two(refs[name], (0.0, y), (way, y), start=stage.ports[name], label="above")
        if number:
            pen.wire(out, (way, y + STOREY), (way, y))
    end = (way + 0.6, OUT)
    pen.wire(out, (way, OUT), end)
    pen.block.port("out", out, end, "right")

"""Grounding: the one bond from circuit ground to the protective-earth stud."""

from __future__ import annotations

from ...circuit.netlist import EARTH, GROUND, StageInstance
from ..chain import run, walk
from ..geometry import Box
from ..pen import Pen, role

Y = 2.2


def draw(pen: Pen, stage: StageInstance) -> None:
    """No ports: both ends carry their symbols."""
    x = 0.4
    stud, bond = role(stage, "stud"), role(stage, "bond")
    if bond:
        pen.wire(GROUND, (x, Y), (x, Y - 0.6))
        pen.ground((x, Y - 0.6))
        x, _ = run(pen, walk(pen, stage, GROUND, EARTH, avoid=()), GROUND, (x, Y))
    elif not stud:
        return
    pen.wire(EARTH, (x, Y), (x + 0.35, Y), (x + 0.35, Y - 0.5))
    pen.ground((x + 0.35, Y - 0.5), EARTH)
    if stud:
        at = (x + 0.95, Y)
        owner = ("part", stud)
        pen.wire(EARTH, (x + 0.35, Y), (at[0] - 0.15, Y))
        pen.block.symbol(owner, "ring", (at,), (Box(at[0] - 0.15, Y - 0.15, at[0] + 0.15, Y + 0.15),), radius=0.15)
        pen.block.symbol(owner, "spot", (at,))
        pen.block.terminal(stud, "PE", EARTH, (at[0] - 0.15, Y))
        pen.drawn(stud)
        pen.block.lines(owner, (at[0] + 0.3, Y), pen.rows(stud), "right")

"""Unused tube sections, parked with their electrodes on ground so that nothing floats."""

from __future__ import annotations

from ...circuit.netlist import StageInstance, TubeSection
from ..geometry import GRID, LOW
from ..pen import Pen
from ..shapes import TubeShape

FOOT = LOW + 1.6


def draw(pen: Pen, stage: StageInstance) -> None:
    """No ports; every tube is a block of its own."""
    x = 1.4
    for index, section in enumerate(s for s in pen.netlist.sections if s.unused):
        if index:
            pen.next_block()
        shape = pen.tube(section.ref, (x, GRID))
        grid, cathode = shape.lead("grid"), shape.lead("cathode")
        left = grid[0] - 0.5
        pen.wire(section.grid, grid, (left, grid[1]), (left, FOOT))
        pen.ground((left, FOOT), section.grid)
        pen.wire(section.cathode, cathode, (cathode[0], FOOT))
        pen.ground((cathode[0], FOOT), section.cathode)
        pen.block.text(("part", section.ref), (x + 0.86, shape.at[1] - 1.5), "unused", "value")
        _upper(pen, section, shape)


def _upper(pen: Pen, section: TubeSection, shape: TubeShape) -> None:
    """Plate and screen to ground on the right; an open plate is left alone."""
    if not section.plate:
        return
    at, right = shape.lead("plate"), shape.at[0] + 2.3
    pen.wire(section.plate, at, (at[0], at[1] + 0.55), (right, at[1] + 0.55), (right, FOOT))
    pen.ground((right, FOOT), section.plate)
    if section.screen:
        screen = shape.lead("screen")
        pen.wire(section.screen, screen, (right, screen[1]))

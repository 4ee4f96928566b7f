"""Unused tube sections, parked with their electrodes on ground so that nothing floats."""

from __future__ import annotations

from ...circuit.netlist import StageInstance
from ..geometry import GRID, LOW
from ..pen import Pen

FOOT = LOW + 1.6


def draw(pen: Pen, stage: StageInstance) -> None:
    """No ports; one tube beside the other."""
    x = 1.4
    for section in pen.netlist.sections:
        if not section.unused:
            continue
        shape = pen.tube(section.ref, (x, GRID))
        grid, cathode = shape.lead("grid"), shape.lead("cathode")
        left = grid[0] - 0.5
        pen.wire(section.grid, grid, (left, grid[1]), (left, FOOT))
        pen.ground((left, FOOT), section.grid)
        pen.wire(section.cathode, cathode, (cathode[0], FOOT))
        pen.ground((cathode[0], FOOT), section.cathode)
        pen.block.text(("part", section.ref), (x + 0.86, shape.at[1] - 1.5), "unused", "value")
        x += _upper(pen, section.plate, section.screen, shape.lead("plate"), shape.lead("screen") if section.screen else None)


def _upper(pen: Pen, plate: str, screen: str, at: tuple[float, float], screen_at: tuple[float, float] | None) -> float:
    """Plate (and screen) to ground on the right; an open plate is left alone. Returns the room used."""
    right = at[0] + 1.0
    if plate:
        right = at[0] + 2.3
        pen.wire(plate, at, (at[0], at[1] + 0.55), (right, at[1] + 0.55), (right, FOOT))
        pen.ground((right, FOOT), plate)
    if screen and screen_at is not None:
        pen.wire(screen, screen_at, (right, screen_at[1]))
    return right - at[0] + 2.2

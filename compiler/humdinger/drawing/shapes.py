"""Measures of the symbols, shared by those who place them and those who draw them. Sheet units, origin at the symbol's centre, y up."""

from __future__ import annotations

import math

from ..records import record
from .geometry import Box, Point

TWO_TERMINAL = {
    "resistor": (1.0, 0.25, 0.25),
    "capacitor": (0.18, 0.3, 0.3),
    "electrolytic": (0.18, 0.3, 0.3),
    "choke": (1.6, 0.34, 0.22),
    "diode": (0.46, 0.26, 0.26),
    "photocell": (1.0, 0.62, 0.25),
    "fuse": (0.9, 0.2, 0.2),
    "lamp": (0.7, 0.35, 0.35),
    "neon": (0.7, 0.35, 0.35),
    "led": (0.46, 0.5, 0.26),
    "switch": (1.0, 0.5, 0.08),
    "bond": (0.9, 0.12, 0.12),
    "loop-breaker": (0.9, 0.3, 0.3),
    "heater": (0.8, 0.08, 0.3),
}
"""Kind -> length of the body along its leads, room to the left and to the right of the way from the first to the second point."""

RADIUS = 0.9
"""Of a tube's envelope."""

TRIODE = {"plate": 0.42, "grid": 0.0, "cathode": -0.4}
PENTODE = {"plate": 0.54, "suppressor": 0.29, "screen": 0.07, "grid": -0.15, "cathode": -0.46}
RECTIFIER = {"plate": 0.34, "cathode": -0.34}
"""Heights of the electrodes above the centre."""

LEG = 0.36
"""The cathode leaves this far from the axis."""

TWIN_PLATE = 0.36
"""Plates of a rectifier stand this far from the axis."""


@record
class TubeShape:
    """A tube section on the sheet: centre, mirrored (grid to the right), flipped (plate down)."""

    kind: str
    at: Point
    mirror: bool = False
    flip: bool = False

    def point(self, x: float, y: float) -> Point:
        """A point of the symbol on the sheet."""
        return (self.at[0] + (-x if self.mirror else x), self.at[1] + (-y if self.flip else y))

    @property
    def levels(self) -> dict[str, float]:
        """Heights of its electrodes."""
        return {"triode": TRIODE, "pentode": PENTODE, "rectifier": RECTIFIER}[self.kind]

    def lead(self, electrode: str) -> Point:
        """Where the lead of an electrode meets the envelope."""
        if electrode == "plate":
            return self.point(0.0, RADIUS)
        if electrode in ("plate1", "plate2"):
            x = -TWIN_PLATE if electrode == "plate1" else TWIN_PLATE
            return self.point(x, rim(x))
        if electrode == "cathode":
            return self.point(-LEG, -rim(LEG))
        y = self.levels[electrode]
        side = 1.0 if electrode == "screen" else -1.0
        return self.point(side * rim(y), y)

    @property
    def body(self) -> Box:
        """The room of the envelope: the square inside which its electrodes stand."""
        x, y = self.at
        return Box(x - RADIUS, y - RADIUS, x + RADIUS, y + RADIUS)


def rim(offset: float) -> float:
    """How far the envelope reaches at a distance from its axis."""
    return math.sqrt(RADIUS * RADIUS - offset * offset)


BUMP = 0.42
"""Pitch of the turns of a coil."""

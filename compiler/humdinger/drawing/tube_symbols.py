"""The tube symbol: leads end on the envelope, thick plates, half an envelope dashed for one section of a twin, beam plates, two plates."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from schemdraw.elements import Element

from .block import Symbol
from .geometry import Point
from .shapes import LEG, PENTODE, RADIUS, RECTIFIER, TWIN_PLATE, TubeShape, rim
from .symbols import BOLD, ENVELOPE, FINE, Shape

HALF = 0.46
"""Half the length of an electrode."""


def tube(symbol: Symbol) -> Sequence[Element]:
    """A Tube from params: section (kind), mirror, flip, half ("left", "right" or ""), strap, beam, filament."""
    return [Tube(symbol.points[0], symbol.params)]


class Tube(Shape):
    """One section of a tube in its envelope."""

    def __init__(self, at: Point, params: Any, **kwargs: Any):
        super().__init__(**kwargs)
        self.tube = TubeShape(params["section"], at, bool(params.get("mirror")), bool(params.get("flip")))
        self.envelope(params.get("half", ""))
        if self.tube.kind == "rectifier":
            self.rectifier(bool(params.get("filament")))
            return
        levels = self.tube.levels
        self.plate(levels["plate"])
        self.cathode(levels["cathode"])
        self.grid("grid", lead=True)
        if self.tube.kind == "pentode":
            self.grid("screen", lead=True)
            if params.get("beam"):
                self.beam_plates()
            else:
                self.grid("suppressor", lead=not params.get("strap"))
                if params.get("strap"):
                    self.strap()

    def p(self, x: float, y: float) -> tuple[float, float]:
        return self.tube.point(x, y)

    def envelope(self, half: str) -> None:
        """A circle; for one section of a twin the half that faces its sibling is dashed."""
        if not half:
            self.ring(self.tube.at, RADIUS, lw=ENVELOPE)
            return
        solid, dashed = ((90, 270), (-90, 90)) if half == "left" else ((-90, 90), (90, 270))
        self.arc(self.tube.at, RADIUS, *solid, lw=ENVELOPE)
        self.arc(self.tube.at, RADIUS, *dashed, lw=FINE, ls="2.6,2.2")

    def plate(self, y: float) -> None:
        self.line(self.p(-HALF, y), self.p(HALF, y), lw=BOLD, capstyle="butt")
        self.line(self.p(0, y), self.p(0, RADIUS))

    def cathode(self, y: float) -> None:
        self.line(self.p(-LEG, -rim(LEG)), self.p(-LEG, y), self.p(LEG, y), self.p(LEG, y - 0.14), lw=1.2)

    def grid(self, name: str, *, lead: bool) -> None:
        """Dashes, and a lead to the envelope: screen to one side, control grid and suppressor to the other."""
        y = self.tube.levels[name]
        side = 1.0 if name == "screen" else -1.0
        for start in (-0.46, -0.2, 0.06, 0.32):
            self.line(self.p(start, y), self.p(start + 0.15, y), lw=1.2, capstyle="butt")
        if lead:
            self.line(self.p(side * rim(y), y), self.p(side * HALF, y))

    def strap(self) -> None:
        """Suppressor to cathode, inside the envelope. It passes behind the screen's lead."""
        top, low = PENTODE["suppressor"], PENTODE["cathode"]
        x = 0.62
        level = PENTODE["screen"]
        self.line(self.p(HALF, top), self.p(x, top), self.p(x, level + 0.1), lw=FINE)
        start = -90 if not self.tube.mirror else 90
        self.arc(self.p(x, level), 0.1, start, start + 180, lw=FINE)
        self.line(self.p(x, level - 0.1), self.p(x, low), self.p(LEG, low), lw=FINE)

    def beam_plates(self) -> None:
        """Two shields beside the stream, strapped to the cathode."""
        top, low, level = PENTODE["suppressor"], PENTODE["cathode"], PENTODE["screen"]
        for sign in (-1.0, 1.0):
            self.line(self.p(sign * 0.24, top), self.p(sign * 0.5, top), lw=1.8, capstyle="butt")
        x = 0.62
        self.line(self.p(0.5, top), self.p(x, top), self.p(x, level + 0.1), lw=FINE)
        start = -90 if not self.tube.mirror else 90
        self.arc(self.p(x, level), 0.1, start, start + 180, lw=FINE)
        self.line(self.p(x, level - 0.1), self.p(x, low), self.p(LEG, low), lw=FINE)

    def rectifier(self, filament: bool) -> None:
        """Two plates over a cathode, or over a filament that is the cathode."""
        y = RECTIFIER["plate"]
        for sign in (-1.0, 1.0):
            x = sign * TWIN_PLATE
            self.line(self.p(x - 0.22, y), self.p(x + 0.22, y), lw=BOLD, capstyle="butt")
            self.line(self.p(x, y), self.p(x, rim(TWIN_PLATE)))
        low = RECTIFIER["cathode"]
        if filament:
            self.line(self.p(-LEG, -rim(LEG)), self.p(0, low + 0.3), self.p(LEG, -rim(LEG)), lw=1.2)
            return
        self.cathode(low + 0.2)

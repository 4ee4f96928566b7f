"""Output-grid injection: the tremolo mixed into the output grids through equal resistors.

What it does: moves the bias of the output tubes up and down together, and with it their gain. In a pair the slow wave cancels in the
transformer, as far as the tubes are alike.

When to use it: with cathode bias, where there is no bias supply to move.

Topology: one resistor `through` from the intensity wiper to each output grid's leak, ahead of the grid stopper.

Formulas: the wave arrives divided by the mixing resistor against grid leak and source of the stage before; audio loses by the mixing
resistor in parallel with the leak and leaks from one grid to the other through both (the network is solved).

Limits: the mixing resistors and the intensity pot are a shared DC path of the grids, but lead to ground, so they only lower the grid
path. A cathode resistor fights a slow drive common to both tubes: it needs a large capacitor.

Defaults: none.
"""

from __future__ import annotations

from ..builder import Scope

KIND = "output-grid-injection"
SECTION = "tremolo"


def elaborate(scope: Scope) -> None:
    """Ports: lfo (intensity wiper), drive-a, drive-b (the grids' drive nets). Roles: through-a, through-b. Facts: point, through (refs)."""
    scope.title = "Tremolo injection"
    block = scope.block.block("injection")
    source = scope.port("lfo", scope.source["oscillator.lfo"])
    refs = []
    for letter in "ab":
        drive = scope.source.get(f"output.drive-{letter}")
        if drive is not None:
            refs.append(scope.resistor("through", source, scope.port(f"drive-{letter}", drive), block=block, suffix=letter))
    scope.facts.update(point="output-grids", through=tuple(ref for ref in refs if ref))

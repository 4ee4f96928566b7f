"""Input: the guitar's jack, its grid leak and the first grid's stopper.

What it does: takes the guitar's signal to the first control grid, gives that grid its DC level and keeps radio out of it.

When to use it: first in `signal`, and first in every further channel that a `mixer` joins. With `switched` the
jack's contact grounds the tip while nothing is plugged in, so that an empty input is silent.

Formulas: low-pass corner of stopper and tube 1/(2*pi*R*Cin), Cin = Cgk + Cga*(1 + A) plus strays (Miller; standard algebra).
Input resistance = grid leak.

Limits: the grid leak must stay in the first tube's limit; a stopper of 10k to 68k is usual (common practice). Its noise adds to the
guitar's: 4kTR.

Defaults: one jack, with a shorting contact (common practice).
"""

from __future__ import annotations

from ..builder import Fill, Scope
from ..netlist import GROUND, Jack, Pin

KIND = "input"
SECTION = "preamp"

SHORTING = Fill("true", True, "common practice: the contact grounds the tip while the jack is empty")
ONE = Fill("1", 1, "one input")


def elaborate(scope: Scope) -> None:
    """Ports: in (the jack's tip), out. Roles: jack, grid-leak, grid-stopper. The stopper belongs on the pin of the grid it feeds."""
    if scope.source:
        scope.builder.problem("ELB-012", "input-not-first", f"input {scope.id} is not the first stage of the signal", scope.block.span)
    others = sum(stage.kind == KIND for stage in scope.builder.stages)
    tip = scope.port("in", scope.net("tip", label=f"{scope.id} jack, tip"))
    _, origin, span, path = scope.value("jacks", ONE)
    switched = bool(scope.value("switched", SHORTING)[0])
    pins = [Pin("tip", tip), Pin("sleeve", GROUND)]
    if switched:
        pins.append(Pin("tip-switch", GROUND))
    scope.keep(
        Jack,
        "jack",
        role="jack",
        path=path,
        span=span,
        origin=origin,
        label="INPUT" if not others else f"INPUT {others + 1}",
        pins=tuple(pins),
        purpose="input",
        switched=switched,
    )
    scope.resistor("grid_leak", tip, GROUND)
    out = tip
    if "grid_stopper" in scope.block:
        out = scope.net("out", label=f"{scope.id} behind the stopper")
        scope.resistor("grid_stopper", tip, out)
    scope.port("out", out)

"""Input: the guitar's jack, its grid leak and the first grid's stopper.

What it does: takes the guitar's signal to the first control grid, gives that grid its DC level and keeps radio out of it.

When to use it: first in `signal`, and first in every further channel that a `mixer` joins. With `switched` the
jack's contact grounds the tip while nothing is plugged in, so that an empty input is silent.

Two jacks: `high-low` has a resistor from each tip to the grid. A plug in HIGH reaches the grid through both, since the contact of
the empty LOW joins its tip to HIGH's; a plug in LOW finds the other resistor grounded by HIGH's contact: half the volts, and an input
resistance of the two in series (common practice). `parallel` takes two guitars: both tips have a leak and a grounding contact; each
loses half while the other jack is empty.

Formulas: low-pass corner of stopper and tube 1/(2*pi*R*Cin), Cin = Cgk + Cga*(1 + A) plus strays (Miller; standard algebra); R is half the
resistor of `high-low`. Input resistance = grid leak.

Limits: the grid leak must stay in the first tube's limit; a stopper of 10k to 68k is usual (common practice). Its noise adds to the
guitar's: 4kTR.

Defaults: one jack, with a shorting contact (common practice); of two, high and low with 68k each (common practice).
"""

from __future__ import annotations

from ...units.values import Resistance
from ..builder import Fill, Scope
from ..netlist import GROUND, Jack, Pin

KIND = "input"
SECTION = "preamp"

SHORTING = Fill("true", True, "common practice: the contact grounds the tip while the jack is empty")
ONE = Fill("1", 1, "one input")


HIGH_LOW = Fill("high-low", "high-low", "common practice: the second jack is for loud guitars")
EACH = Fill("68k", Resistance(68e3), "common practice: two of them in parallel are a stopper of 34k")


def elaborate(scope: Scope) -> None:
    """Ports: in (the jack's tip, of two the first), low (the second's), out. Roles: jack, grid-leak, grid-stopper; each with -low.

    The stoppers belong on the pin of the grid they feed.
    """
    if scope.source:
        scope.builder.problem("ELB-012", "input-not-first", f"input {scope.id} is not the first stage of the signal", scope.block.span)
    others = sum(stage.kind == KIND for stage in scope.builder.stages)
    name = "INPUT" if not others else f"INPUT {others + 1}"
    tip = scope.port("in", scope.net("tip", label=f"{scope.id} jack, tip"))
    two = scope.block.get("jacks") == 2
    kind = scope.value("arrangement", HIGH_LOW)[0] if two else ""
    if not two and "arrangement" in scope.block:
        span, helps = scope.block.span_of("arrangement"), ("write `jacks: 2`, or leave `arrangement` out",)
        scope.builder.problem(
            "ELB-062", "one-jack-arranged", f"input {scope.id} has one jack, so there is nothing to arrange", span, helps=helps
        )
    words = {"high-low": (f"{name} HIGH", f"{name} LOW"), "parallel": (f"{name} A", f"{name} B")}.get(kind, (name, ""))
    _jack(scope, tip, GROUND, words[0])
    scope.resistor("grid_leak", tip, GROUND)
    if two:
        _second(scope, tip, kind, words[1])
        return
    out = tip
    if "grid_stopper" in scope.block:
        out = scope.net("out", label=f"{scope.id} behind the stopper")
        scope.resistor("grid_stopper", tip, out)
    scope.port("out", out)


def _jack(scope: Scope, tip: str, rest: str, label: str, suffix: str = "") -> None:
    """A jack whose contact, if it has one, rests on a net while nothing is plugged in."""
    _, origin, span, path = scope.value("jacks", ONE)
    switched = bool(scope.value("switched", SHORTING)[0]) or rest != GROUND
    pins = [Pin("tip", tip), Pin("sleeve", GROUND)]
    if switched:
        pins.append(Pin("tip-switch", rest))
    scope.keep(
        Jack,
        "jack",
        role=f"jack-{suffix}" if suffix else "jack",
        path=f"{path}/{suffix}" if suffix else path,
        span=span,
        origin=origin,
        label=label,
        pins=tuple(pins),
        purpose="input",
        switched=switched,
    )


def _second(scope: Scope, tip: str, kind: str, label: str) -> None:
    low = scope.port("low", scope.net("low", label=f"{scope.id} second jack, tip"))
    _jack(scope, low, tip if kind == "high-low" else GROUND, label, "low")
    if kind == "parallel":
        scope.resistor("grid_leak", low, GROUND, suffix="low")
    out = scope.port("out", scope.net("out", label=f"{scope.id} behind the stoppers"))
    scope.resistor("grid_stopper", tip, out, fill=EACH)
    scope.resistor("grid_stopper", low, out, fill=EACH, suffix="low")

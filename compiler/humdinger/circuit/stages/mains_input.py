"""Mains side: inlet, fuse, switch, and what else stands between the wall and the primary.

What it does: brings line and neutral to the power transformer's primary, and protective earth to the chassis stud.

When to use it: always. Every amp here is a class I appliance: three-core cord, fuse in the line, chassis on protective earth.

Formulas: none; the fuse is judged against the computed primary current.

Limits: only the line is fused. A switch with one pole opens the line. A capacitor across the mains stands behind fuse and switch, so that
the primary empties it. `order` says what the line meets first; a fuse first protects the switch and its wires too (common practice).

Ports: line, neutral (towards the primary), earth.
Roles: inlet, mains-fuse, mains-switch, inrush, thermal-fuse, x-capacitor, line-to-chassis-capacitor.
Nets: mains.line, mains.fused, mains.switched-line, mains.limited, mains.guarded; mains.neutral, mains.switched-neutral; PE.
"""

from __future__ import annotations

from ...units.values import Capacitance, ContactRating, FuseRating
from ..amounts import amount, words
from ..builder import Fill, Scope
from ..netlist import EARTH, Fuse, Inlet, Pin, Resistor, Switch

KIND = "mains-input"
SECTION = "mains"

FUSE_FIRST = Fill("[fuse, switch]", ("fuse", "switch"), "a fuse first protects the switch and its wires too (common practice)")
TWO_POLES = Fill("line-neutral", "line-neutral", "two poles open both conductors")
ONE_POLE = Fill("line", "line", "a single pole belongs in the line (common practice)")


def elaborate(scope: Scope) -> None:
    """Ports: line, neutral, earth."""
    scope.title = "Mains input"
    block = scope.block
    earth = scope.builder.net(EARTH, "earth", "protective earth, chassis")
    line, neutral = _net(scope, "line", "line at the inlet"), _net(scope, "neutral", "neutral at the inlet")
    _inlet(scope, line, neutral, earth)
    opened = _opened(scope)
    order = _order(scope)
    for item in order:
        if item == "fuse":
            line = _fuse(scope, line)
        elif "line" in opened:
            line = _into(scope, opened, "line", line)
    if "neutral" in opened:
        neutral = _into(scope, opened, "neutral", neutral)
    _switch(scope, opened)
    scope.capacitor("x_capacitor", line, neutral)
    if isinstance(block.get("line_to_chassis_capacitor"), Capacitance):
        scope.capacitor("line_to_chassis_capacitor", line, earth)
    line = _thermal_fuse(scope, _inrush(scope, line))
    scope.port("line", line)
    scope.port("neutral", neutral)
    scope.port("earth", earth)
    _facts(scope)
    scope.facts["order"] = order


def _net(scope: Scope, name: str, label: str) -> str:
    return scope.builder.net(f"mains.{name}", "mains", label)


def _inlet(scope: Scope, line: str, neutral: str, earth: str) -> None:
    block = scope.block.block("inlet")
    rating = block.get("rating")
    known = isinstance(rating, ContactRating)
    scope.keep(
        Inlet,
        "inlet",
        role="inlet",
        path=block.path,
        span=block.span,
        pins=(Pin("L", line), Pin("N", neutral), Pin("PE", earth)),
        kind=str(block.get("kind", "")),
        cord_cores=2 if scope.block.get("cord") == "two-core" else 3,
        volts=rating.volts if known else None,
        amps=rating.amps if known else None,
        strain_relief=scope.block.get("strain_relief"),
    )


def _order(scope: Scope) -> tuple[str, ...]:
    """What the line meets, in order; one that the spec leaves out comes last."""
    order = words(scope.block, "order") if "order" in scope.block else scope.value("order", FUSE_FIRST)[0]
    return (*order, *(item for item in ("fuse", "switch") if item not in order))


def _opened(scope: Scope) -> dict[str, list[str]]:
    """Conductor -> its net before the switch, for each conductor the switch opens; the far net is added on the way."""
    block = scope.block.block("switch")
    if "switch" not in scope.block:
        return {}
    poles = block.get("poles", 1)
    where = str(scope.value("in", TWO_POLES if poles == 2 else ONE_POLE, block)[0])
    if where == "line-neutral" and poles == 1:
        scope.builder.problem(
            "ELB-040",
            "one-pole-two-conductors",
            "a switch with one pole cannot open both line and neutral",
            block.span_of("in"),
            "needs poles: 2",
            notes=("one pole opens one conductor; it belongs in the line",),
        )
    return {name: [] for name in ("line", "neutral") if name in where.split("-")}


def _into(scope: Scope, opened: dict[str, list[str]], name: str, net: str) -> str:
    """Leads a conductor through the switch; returns its net behind it."""
    behind = _net(scope, f"switched-{name}", f"{name} behind the switch")
    opened[name] = [net, behind]
    return behind


def _switch(scope: Scope, opened: dict[str, list[str]]) -> None:
    if not opened:
        return
    block = scope.block.block("switch")
    rating = block.get("rating")
    known = isinstance(rating, ContactRating)
    pins = [Pin(f"{pole}{side}", net) for pole, nets in enumerate(opened.values(), 1) for side, net in zip("ab", nets, strict=True)]
    scope.keep(
        Switch,
        "switch",
        role="mains-switch",
        path=block.path,
        span=block.span,
        pins=tuple(pins),
        label="POWER",
        poles=int(block.get("poles", 1)),
        where="mains",
        volts=rating.volts if known else None,
        amps=rating.amps if known else None,
    )


def _fuse(scope: Scope, line: str) -> str:
    rating = scope.block.get("fuse")
    if not isinstance(rating, FuseRating):
        return line
    fused = _net(scope, "fused", "line behind the fuse")
    scope.keep(
        Fuse,
        "fuse",
        role="mains-fuse",
        path=f"{scope.block.path}/fuse",
        span=scope.block.span_of("fuse"),
        pins=(Pin("1", line), Pin("2", fused)),
        label="mains fuse",
        amps=rating.amps,
        characteristic=rating.characteristic,
        breaking=rating.breaking,
        volts=rating.volts,
        where="mains",
        holder=str(scope.block.get("holder", "")),
    )
    return fused


def _inrush(scope: Scope, line: str) -> str:
    """The inrush limiter as the resistor it is when cold."""
    ohms = amount(scope.block, "inrush")
    if ohms is None:
        return line
    limited = _net(scope, "limited", "line behind the inrush limiter")
    scope.keep(
        Resistor,
        "resistor",
        role="inrush",
        path=f"{scope.block.path}/inrush",
        span=scope.block.span_of("inrush"),
        pins=(Pin("1", line), Pin("2", limited)),
        label="inrush limiter, cold",
        ohms=ohms,
        technology="ntc",
    )
    return limited


def _thermal_fuse(scope: Scope, line: str) -> str:
    """The thermal fuse lies in the primary; it has to carry what the mains fuse lets through."""
    celsius = amount(scope.block, "thermal_fuse")
    rating = scope.block.get("fuse")
    if celsius is None:
        return line
    known = isinstance(rating, FuseRating)
    guarded = _net(scope, "guarded", "line behind the thermal fuse")
    scope.keep(
        Fuse,
        "fuse",
        role="thermal-fuse",
        path=f"{scope.block.path}/thermal_fuse",
        span=scope.block.span_of("thermal_fuse"),
        pins=(Pin("1", line), Pin("2", guarded)),
        label=f"thermal fuse {celsius:g} °C",
        note="rated for at least the mains fuse's current",
        amps=rating.amps if known else 0.0,
        characteristic="thermal",
        breaking="",
        volts=rating.volts if known else None,
        where="thermal",
    )
    return guarded


def _facts(scope: Scope) -> None:
    """What the rules ask for and no part carries; only what the spec says."""
    block = scope.block
    for key in ("cord", "holder", "polarity_switch", "accessory_outlet", "strain_relief", "line_to_chassis_capacitor"):
        if key in block:
            value = block.get(key)
            scope.facts[key] = True if isinstance(value, Capacitance) else value
    celsius = amount(block, "thermal_fuse")
    if celsius is not None:
        scope.facts["thermal_fuse_celsius"] = celsius

"""Heaters: which winding warms which tube, on which pins, and what ties each winding to a DC level.

What it does: feeds every tube's heater, refers the heater winding to ground or to a raised voltage, and lights the pilot lamp.

When to use it: always. Raise the heaters (`to: elevated`) where a cathode stands high, as under a cathode follower or a long-tailed pair.

Formulas: elevated reference = B * lower/(upper + lower); the winding loads it with nothing but leakage.

Two tubes of one heater current may stand in series across a winding of twice the volts (`series: [[V4, V5]]`), so that a 12.6 V winding
feeds 6.3 V tubes beside a 12AX7 that takes all of it. Hot heaters share the volts as their resistances, volts over amps, do: a tube of
the smaller current gets too many. With one of the two out of its socket the other is dark.

Limits: a winding fits a tube when its volts are within 15 % of one of the heater's connections (a 12AX7 takes 6.3 V with pins 4 and 5
joined, or 12.6 V between them); how near it must be is judged later. A winding has exactly one reference; the winding of a rectifier
whose cathode is its heater stands at B+ and has none.

Ports: reference (the net the heaters are referred to).
Roles: reference-a, reference-b, hum-balance, divider-upper, divider-lower, divider-bypass, pilot; with h2- in front for winding H2.
"""

from __future__ import annotations

from itertools import product

from ...diagnostics import Label, Span
from ...parts.model import HeaterConnection
from ...records import replace
from ...spec.design import BoundTube
from ...spec.model import Block
from ...units.values import Potentiometer, Resistance
from ..amounts import amount
from ..builder import Fill, Scope
from ..netlist import GROUND, Lamp, Pin, Pot, PowerTransformer, Winding
from .power_transformer import UNUSED_END, UNUSED_TAP

KIND = "heaters"
SECTION = "heaters"

FIT = 0.15
"""A winding fits a heater within this share of its volts: 5 V and 6.3 V stay apart, a tired 6.3 V winding still fits."""
FIRST_WINDING = Fill("H1", "H1", "the first heater winding")
USUAL_RESISTORS = Fill("100 0.5W", Resistance(100.0, 0.5), "two of 100 ohm halve the winding and part like a fuse (common practice)")
TO_GROUND = Fill("ground", "ground", "the plain case: cathodes near ground need no raised heaters (common practice)")


def elaborate(scope: Scope) -> None:
    """Ports: reference."""
    scope.title = "Heaters"
    scope.span = scope.block.span_of("heater_reference")
    stage = next((s for s in scope.builder.stages if s.kind == "power-transformer"), None)
    ref = stage.parts.get("power-transformer", "") if stage else ""
    transformer = next((p for p in scope.builder.parts if p.ref == ref), None)
    if not isinstance(transformer, PowerTransformer):
        return
    windings = {w.name: w for w in transformer.windings if w.kind == "heater"}
    paired = _in_series(scope, windings)
    unfed = [bound for bound in scope.design.tubes.values() if bound.ref not in paired and not _feed(scope, bound, windings)]
    if unfed:
        _unfed(scope, unfed, windings)
    for block in scope.block.blocks("heater_reference"):
        _reference(scope, block, windings)
    used = set(scope.builder.heater_of.values())
    if "pilot" in scope.block:
        used.add(_pilot(scope, scope.block.block("pilot"), windings))
    for winding in windings.values():
        _insulate(scope, winding, winding.name in used)


def _ends(winding: Winding) -> tuple[str, str]:
    """Nets of a winding's two ends."""
    name = winding.name.lower()
    return f"{name}.a", f"{name}.b"


# -- tubes ------------------------------------------------------------------------------------------------------------
def _feed(scope: Scope, bound: BoundTube, windings: dict[str, Winding]) -> bool:
    """One tube's heater on its winding; False when there is none for it."""
    winding = _winding_for(bound, windings)
    if winding is None:
        return False
    connection = _connection(bound, winding)
    if connection is None:
        wanted = " or ".join(f"{c.volts:g} V" for c in bound.type.heaters)
        scope.builder.problem(
            "ELB-051",
            "heater-winding-volts",
            f"{winding.name} gives {winding.volts:g} V, but the heater of {bound.ref} wants {wanted}",
            winding.span,
            f"{winding.volts:g} V",
            notes=(f"{bound.type.name}: " + ", ".join(f"{c.name} {c.amps:g} A" for c in bound.type.heaters),),
            others=(Label(bound.span, f"{bound.type.name} wants {wanted}"),),
        )
        return True
    side_a, side_b = _ends(winding)
    cathode = _cathode_pins(bound)
    pins = scope.builder.tube_pins.setdefault(bound.ref, {})
    if bound.type.cathode_is_heater and "rectifier.plus" in scope.source and bound.ref in _rectifier_tubes(scope):
        if cathode & set(connection.side_a_pins):
            side_a, side_b = side_b, side_a
        scope.builder.join(side_b, scope.source["rectifier.plus"], winding.span)
    for numbers, net in ((connection.side_a_pins, side_a), (connection.side_b_pins, side_b)):
        for number in numbers:
            pins[str(number)] = net
    scope.builder.heater_of[bound.ref] = winding.name
    return True


def _in_series(scope: Scope, windings: dict[str, Winding]) -> set[str]:
    """The pairs in series of every winding; the tubes that need no other, those whose pair was refused among them."""
    seen: set[str] = set()
    rows = []
    blocks = scope.design.spec.block("supply").block("transformer").blocks("heaters")
    for winding, block in zip(windings.values(), blocks, strict=False):
        for pair in block.items("series"):
            items = pair.value if isinstance(pair.value, tuple) else ()
            tubes = [bound for item in items if isinstance(item.value, str) and (bound := scope.builder.tube(item.value))]
            if len(tubes) != 2:  # name resolution has said so
                continue
            twice = next((bound.ref for k, bound in enumerate(tubes) if bound.ref in seen or bound in tubes[:k]), "")
            seen |= {bound.ref for bound in tubes}
            if twice:
                scope.builder.problem(
                    "ELB-103",
                    "heater-in-two-places",
                    f"the heater of {twice} can stand in series with one other only",
                    pair.span,
                    f"{twice} again",
                )
                continue
            row = _pair(scope, winding, (tubes[0], tubes[1]), pair.span)
            rows += [row] if row else []
    if rows:
        scope.facts["series"] = tuple(rows)
    return seen


def _pair(scope: Scope, winding: Winding, tubes: tuple[BoundTube, BoundTube], span: Span) -> tuple[str, str, str, str] | None:
    """Two heaters in series: (winding, first, second, joint). Of the ways to connect them the one nearest in amps that fits the volts."""
    first, second = tubes
    ways = [
        (max(a.amps, b.amps) / min(a.amps, b.amps), abs(winding.volts / (a.volts + b.volts) - 1.0), k, a, b)
        for k, (a, b) in enumerate(product(first.type.heaters, second.type.heaters))
    ]
    fitting = [way for way in ways if way[1] <= FIT]
    tied = next((bound for bound in tubes if bound.type.cathode_is_heater), None)
    if not fitting or tied:
        wanted = " or ".join(dict.fromkeys(f"{a.volts + b.volts:g} V" for *_, a, b in ways))
        why = f"the heater of {tied.ref} is its cathode" if tied else f"together they want {wanted}"
        scope.builder.problem(
            "ELB-102",
            "heaters-in-series",
            f"{first.ref} and {second.ref} cannot stand in series across the {winding.volts:g} V of {winding.name}: {why}",
            span,
            why,
            others=(Label(winding.span, f"{winding.volts:g} V"),),
            helps=("a winding of its own",) if tied else ("tubes whose volts add up to the winding's", "a winding of the volts they want"),
        )
        return None
    *_, a, b = min(fitting)
    joint = scope.builder.net(
        f"{first.ref.lower()}-{second.ref.lower()}.heater", "heater", f"heaters, between {first.ref} and {second.ref}"
    )
    side_a, side_b = _ends(winding)
    for bound, connection, nets in ((first, a, (side_a, joint)), (second, b, (joint, side_b))):
        pins = scope.builder.tube_pins.setdefault(bound.ref, {})
        for numbers, net in zip((connection.side_a_pins, connection.side_b_pins), nets, strict=True):
            pins |= {str(number): net for number in numbers}
        scope.builder.heater_of[bound.ref] = winding.name
    return winding.name, first.ref, second.ref, joint


def _unfed(scope: Scope, tubes: list[BoundTube], windings: dict[str, Winding]) -> None:
    """Says once which tubes no winding feeds."""
    refs = [bound.ref for bound in tubes]
    listed = " and ".join(filter(None, (", ".join(refs[:-1]), refs[-1])))
    scope.builder.problem(
        "ELB-050",
        "tube-without-heater-winding",
        f"no heater winding feeds {listed}",
        tubes[0].span,
        tubes[0].type.name,
        notes=("a winding feeds `all`, `rectifier`, or the tubes it names",),
        others=tuple(Label(w.span, f"{w.name} feeds {', '.join(w.feeds)}") for w in windings.values()),
    )


def _winding_for(bound: BoundTube, windings: dict[str, Winding]) -> Winding | None:
    """The winding that names the tube, else that of its class, else the one for all."""
    classes = [bound.ref, *(["rectifier"] if bound.type.is_rectifier else []), "all"]
    for name in classes:
        for winding in windings.values():
            if name in winding.feeds:
                return winding
    return None


def _connection(bound: BoundTube, winding: Winding) -> HeaterConnection | None:
    """The heater connection nearest the winding's volts, None when none is within FIT."""

    def miss(connection: HeaterConnection) -> float:
        return abs(winding.volts / connection.volts - 1.0)

    best = min(bound.type.heaters, key=miss, default=None)
    return best if best is not None and miss(best) <= FIT else None


def _cathode_pins(bound: BoundTube) -> set[int]:
    return {number for section in bound.type.sections for number in section.pins.get("cathode", ())}


def _rectifier_tubes(scope: Scope) -> set[str]:
    return {ref for found in scope.builder.rectifiers if found.kind == "tube" for ref in found.devices}


# -- reference --------------------------------------------------------------------------------------------------------
def _reference(scope: Scope, block: Block, windings: dict[str, Winding]) -> None:
    """Ties one winding to its reference net."""
    name = str(scope.value("winding", FIRST_WINDING, block)[0])
    winding = windings.get(name)
    if winding is None:  # name resolution has said so
        return
    mark = "" if name == "H1" else f"{name.lower()}-"
    if f"{mark}reference" in scope.ports:  # a second one on the same winding: built as written, judged by a rule
        mark = f"{name.lower()}-again-"
    target = _target(scope, block, mark)
    if not target:
        return
    scope.port(f"{mark}reference", target)
    side_a, side_b = _ends(winding)
    kind = block.get("kind")
    if kind == "artificial-centre-tap":
        for side, net in (("a", side_a), ("b", side_b)):
            scope.resistor("resistors", net, target, role=f"{mark}reference", fill=USUAL_RESISTORS, block=block, suffix=side)
    elif kind == "hum-balance":
        _hum_balance(scope, block, mark, (side_a, target, side_b))
    elif kind == "centre-tap":
        if winding.centre_tapped:
            scope.builder.join(f"{name.lower()}.ct", target, block.span)
        else:
            scope.builder.problem(
                "ELB-053",
                "heater-centre-tap",
                f"{name} has no centre tap to refer the heaters to",
                block.span_of("kind"),
                "centre-tap",
                others=(Label(winding.span, "not centre_tapped"),),
                notes=("two equal resistors make an artificial centre tap on any winding",),
            )
    elif kind in ("one-side", "to-cathode"):
        scope.builder.join(side_b, target, block.span)
    scope.facts[f"{mark}reference"] = str(kind)


def _target(scope: Scope, block: Block, mark: str) -> str:
    """The net a reference ends on; builds the divider of a raised one."""
    if block.get("kind") == "to-cathode":
        scope.facts[f"{mark}reference_to"] = "rectifier-cathode"
        return _rectifier_cathode(scope, block)
    to = scope.value("to", TO_GROUND, block)[0]
    scope.facts[f"{mark}reference_to"] = str(to)
    if to == "output-cathode":
        return _output_cathode(scope, block)
    if to != "elevated":
        return GROUND
    divider = block.block("divider")
    top = divider.get("from")
    net = scope.builder.net(f"heater.{mark}reference", "heater", "heater reference")
    scope.resistor("upper", scope.builder.net(str(top), "supply"), net, role=f"{mark}divider-upper", block=divider)
    scope.resistor("lower", net, GROUND, role=f"{mark}divider-lower", block=divider)
    scope.capacitor("bypass", net, GROUND, role=f"{mark}divider-bypass", block=divider)
    return net


def _rectifier_cathode(scope: Scope, block: Block) -> str:
    """The cathode of a rectifier tube whose heater is apart from it (EZ81): tied there, nothing stands between heater and cathode."""
    tubes = [scope.builder.tube(ref) for ref in sorted(_rectifier_tubes(scope))]
    apart = [bound for bound in tubes if bound is not None and not bound.type.cathode_is_heater]
    if apart and "rectifier.plus" in scope.source:
        return scope.source["rectifier.plus"]
    why = "the cathode of the rectifier tube is its heater, which ties the winding already" if any(tubes) else "no tube rectifies the B+"
    scope.builder.problem(
        "ELB-057",
        "no-rectifier-cathode",
        f"there is no cathode to tie the winding to: {why}",
        block.span_of("kind"),
        "to-cathode",
        helps=("leave this entry out",) if any(tubes) else ("take another kind of reference",),
    )
    return ""


def _output_cathode(scope: Scope, block: Block) -> str:
    """The first output tube's cathode: some volts up for nothing, under cathode bias only."""
    sections = [s for s in scope.builder.sections if s.stage == "output" and s.cathode]
    if scope.design.spec.block("bias").get("scheme") == "cathode" and sections:
        return sections[0].cathode
    scope.builder.problem(
        "ELB-055",
        "no-cathode-voltage",
        "with fixed bias the output cathodes stand at ground and raise nothing",
        block.span_of("to"),
        "output-cathode",
        notes=("raise the heaters with a divider from B+ instead: to: elevated",),
    )
    return ""


def _hum_balance(scope: Scope, block: Block, mark: str, nets: tuple[str, str, str]) -> None:
    """The pot across the winding. It is a trimmer inside the chassis, so it is no control of the panel."""
    value, origin, span, path = scope.value("pot", None, block)
    if not isinstance(value, Potentiometer):
        return
    scope.keep(
        Pot,
        "pot",
        role=f"{mark}hum-balance",
        path=path,
        span=span,
        origin=origin,
        label="HUM BALANCE",
        note=value.part,
        pins=tuple(Pin(name, net) for name, net in zip(("ccw", "wiper", "cw"), nets, strict=True)),
        ohms=value.ohms,
        taper=value.taper,
        control="HUM BALANCE",
        watts=value.watts,
    )


# -- the rest ---------------------------------------------------------------------------------------------------------
def _pilot(scope: Scope, block: Block, windings: dict[str, Winding]) -> str:
    """The pilot lamp across its winding, whose name is returned."""
    name = str(scope.value("winding", FIRST_WINDING, block)[0])
    winding = windings.get(name)
    if winding is None:  # name resolution has said so
        return ""
    side_a, side_b = _ends(winding)
    volts = amount(block, "volts")
    scope.keep(
        Lamp,
        "lamp",
        role="pilot",
        path=block.path,
        span=block.span,
        pins=(Pin("1", side_a), Pin("2", side_b)),
        label="pilot lamp",
        kind=str(block.get("lamp", "")),
        volts=winding.volts if volts is None else volts,
        amps=amount(block, "current") or 0.0,
    )
    return name


def _insulate(scope: Scope, winding: Winding, used: bool) -> None:
    """Declares the ends that stay in the air: all of a winding nobody uses, the tap of one that is referred another way."""
    open_ends = {} if used else dict.fromkeys(_ends(winding), UNUSED_END)
    tap = f"{winding.name.lower()}.ct"
    if winding.centre_tapped and tap not in scope.builder.joined:
        open_ends[tap] = UNUSED_TAP
    for end, why in open_ends.items():
        scope.builder.nets[end] = replace(scope.builder.nets[end], open=why)

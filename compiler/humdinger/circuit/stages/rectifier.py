"""B+ rectifier: silicon diodes or a rectifier tube, full-wave on a centre-tapped winding, a bridge, a hybrid bridge or a doubler on a
plain one.

What it does: turns the high-tension winding's AC into pulses of DC for the reservoir.

When to use it: silicon for a stiff supply that is up at once; a tube where the B+ should rise with the heaters and sag under load. A
hybrid bridge gives a rectifier tube a winding without a tap: its two plates on the ends, two silicon legs from ground to the ends. A
doubler makes its B+ of a winding of half the volts, as of a donor's or an isolating transformer: one half-wave charges the upper of two
capacitors in series, the other half-wave the lower.

Formulas: worked out by the analysis: averaged law of source resistance, EMF and device (analysis/devices/averaged.py). A doubler gives
2*sqrt(2)*V unloaded, and its ripple is that of a full-wave rectifier on both capacitors in series, I/(2*f*(C/2)) (derived: two saw-teeth
half a cycle apart); each capacitor has I/(f*C) (standard filter algebra). For one direct current it loads the winding with twice the
current of a bridge (conservation of power).

Limits: the inverse voltage across a leg is 2*sqrt(2)*V_half for full-wave, sqrt(2)*V for a bridge, 2*sqrt(2)*V for a doubler, so diodes
go in series; a rectifier tube wants a least resistance in each plate lead (plate_resistors) and a largest first capacitor. A rectifier
tube has one cathode, so it makes a full-wave rectifier or the upper half of a hybrid bridge, no bridge and no doubler. On a bridge or a
doubler a series resistor stands in one winding lead. The first node of a doubler has two capacitors in series, with the winding's end b on
their joint, and a resistor across each: nothing else empties them when a diode or a lead is open. Nothing that opens may stand between
its diodes and its reservoirs: with the upper half off and the lower on, the load would turn the upper capacitor's volts round.

Ports: plus (to the filter), minus; of a doubler middle.
Roles: diode-a-1 ..., bridge diode-plus-a-1, diode-minus-a-1 ..., doubler diode-plus-1, diode-minus-1 ...; plate-resistor-a, -b; ht-fuse,
standby.
"""

from __future__ import annotations

from ...diagnostics import Label
from ...spec.model import Block
from ...units.values import Resistance
from ..builder import Fill, Scope
from ..netlist import GROUND, Diode, Pin, Rectifier
from ..supply_leads import BEFORE_RESERVOIR, CENTRE_TAP, WINDING, ht_fuse, lead, place_of

KIND = "rectifier"
SECTION = "supply"

USUAL_DIODE = Fill("1N4007", "1N4007", "the usual rectifier diode (common practice)")
ONE_DIODE = Fill("1", 1, "one diode in each leg")


def elaborate(scope: Scope) -> None:
    """Ports: plus, minus."""
    scope.title = "Rectifier"
    scope.span = scope.block.span_of("rectifier")
    block = scope.block.block("rectifier")
    tapped = "transformer.ht-ct" in scope.source
    kind, arrangement = str(block.get("kind", "")), str(block.get("arrangement", ""))
    if not _possible(scope, block, kind, arrangement, tapped):
        return
    middle = _middle(scope) if arrangement == "doubler" else ""
    plus = scope.port("plus", scope.builder.net("rectifier.plus", "supply", "rectifier, plus"))
    ends = {leg: _fused_end(scope, block, leg) for leg in "ab"}
    legs = {leg: _into_leg(scope, block, leg, ends[leg]) for leg in "ab"}
    if kind == "tube":
        devices, in_series = _tube(scope, block, legs, plus), 1
        if devices and arrangement == "hybrid-bridge":
            # the silicon takes the winding's ends before the plate resistors, so that a path has one of them
            below, in_series = _silicon(scope, block, _ways(arrangement, ends, plus))
            devices = (*devices, *below) if below else ()
    else:
        devices, in_series = _silicon(scope, block, _ways(arrangement, legs, plus))
    if not devices:
        return
    if tapped and (arrangement == "full-wave" or CENTRE_TAP in (place_of(scope.block, "ht_fuse"), place_of(scope.block, "standby"))):
        lead(scope, CENTRE_TAP, scope.source["transformer.ht-ct"], GROUND)
    minus = scope.port("minus", scope.source["transformer.ht-ct"] if arrangement == "full-wave" else GROUND)
    ohms = block.get("plate_resistors")
    scope.builder.rectifiers.append(
        Rectifier(
            id="high-tension",
            kind=kind,
            arrangement=arrangement,
            plus=plus,
            minus=minus,
            transformer=_transformer(scope),
            winding="HT",
            devices=devices,
            diodes_in_series=in_series,
            reservoir="",
            extra_ohms=ohms.ohms if isinstance(ohms, Resistance) else 0.0,
            span=block.span,
            middle=middle,
        )
    )


def _middle(scope: Scope) -> str:
    """The joint of the two reservoirs, with the winding's end b on it; the filter builds the capacitors."""
    first = next((str(node.get("node")) for node in scope.block.blocks("filter")), "B1")
    net = scope.builder.net(f"{first}.series-1", "supply", f"{first} between capacitors 1 and 2, HT winding, end b")
    scope.builder.join(scope.source["transformer.ht-b"], net, scope.block.span_of("rectifier"))
    return scope.port("middle", net)


def _ways(arrangement: str, legs: dict[str, str], plus: str) -> list[tuple[str, str, str]]:
    """(Leg, anode net, cathode net) of every leg of silicon."""
    if arrangement == "full-wave":
        return [("a", legs["a"], plus), ("b", legs["b"], plus)]
    if arrangement == "doubler":
        return [("plus", legs["a"], plus), ("minus", GROUND, legs["a"])]
    below = [("minus-a", GROUND, legs["a"]), ("minus-b", GROUND, legs["b"])]
    return below if arrangement == "hybrid-bridge" else [("plus-a", legs["a"], plus), ("plus-b", legs["b"], plus), *below]


def _possible(scope: Scope, block: Block, kind: str, arrangement: str, tapped: bool) -> bool:
    """Whether winding, devices and arrangement go together; says what does not."""
    volts = scope.design.spec.block("supply").block("transformer").block("high_tension")
    problem = scope.builder.problem
    if arrangement == "full-wave" and not tapped:
        problem(
            "ELB-042",
            "full-wave-needs-centre-tap",
            "a full-wave rectifier needs a centre-tapped winding",
            block.span_of("arrangement"),
            "full-wave here",
            notes=("a winding without a tap takes a bridge; a tapped one is written 220-0-220 V",),
            others=(Label(volts.span_of("volts"), "no centre tap"),),
        )
        return False
    if kind == "tube" and arrangement in ("bridge", "doubler"):
        problem(
            "ELB-043",
            "tube-bridge",
            f"one rectifier tube cannot make a {arrangement}",
            block.span_of("arrangement"),
            "its two plates share one cathode",
            notes=(
                f"a {arrangement} needs {'two cathodes more' if arrangement == 'bridge' else 'a cathode for each half'}; use hybrid-bridge "
                "with two silicon diodes, full-wave on a centre-tapped winding, or silicon",
            ),
        )
        return False
    if kind == "silicon" and arrangement == "hybrid-bridge":
        problem(
            "ELB-100",
            "hybrid-without-tube",
            "a hybrid bridge is half tube, half silicon, and this one has no tube",
            block.span_of("kind"),
            "silicon",
            helps=("kind: tube with the tube's name, or arrangement: bridge",),
        )
        return False
    for key in ("ht_fuse", "standby"):
        if arrangement == "doubler" and place_of(scope.block, key) == BEFORE_RESERVOIR:
            problem(
                "ELB-104",
                "opened-doubler",
                f"{'a fuse' if key == 'ht_fuse' else 'a switch'} before the reservoirs of a doubler turns the upper one round once open",
                scope.block.block(key).span_of("where"),
                "before the upper reservoir",
                helps=("where: after-reservoir",) if key == "standby" else ("where: winding, or after-reservoir",),
                notes=(
                    "the lower half still charges its capacitor; the load then pulls the B+ below the joint, and an electrolytic bursts",
                ),
            )
            return False
        if place_of(scope.block, key) == CENTRE_TAP and not tapped:
            problem(
                "ELB-044",
                "no-centre-tap-lead",
                "there is no centre-tap lead to put it in",
                scope.block.block(key).span_of("where"),
                "the winding has no centre tap",
                others=(Label(volts.span_of("volts"), "no centre tap"),),
            )
            return False
    return True


def _suffix(block: Block, leg: str) -> str | None:
    """What tells the parts of a winding's lead apart; None where nothing stands in it: a bridge or a doubler has them in one lead only."""
    if block.get("arrangement") in ("bridge", "doubler"):
        return "" if leg == "a" else None
    return leg


def _fused_end(scope: Scope, block: Block, leg: str) -> str:
    """A winding's end, or what is behind its fuse."""
    net, suffix = scope.source[f"transformer.ht-{leg}"], _suffix(block, leg)
    if suffix is not None and place_of(scope.block, "ht_fuse") == WINDING:
        behind = scope.builder.net(f"ht.{leg}-fused", "high-tension-ac", f"HT winding, end {leg}, behind its fuse")
        ht_fuse(scope, net, behind, suffix)
        net = behind
    return net


def _into_leg(scope: Scope, block: Block, leg: str, net: str) -> str:
    """From a winding's end through the series resistor to the devices."""
    suffix = _suffix(block, leg)
    if suffix is not None and "plate_resistors" in block:
        behind = scope.builder.net(f"rectifier.{leg}", "high-tension-ac", f"rectifier, {leg}")
        scope.resistor("plate_resistors", net, behind, role="plate-resistor", block=block, suffix=suffix)
        net = behind
    return net


def _tube(scope: Scope, block: Block, legs: dict[str, str], plus: str) -> tuple[str, ...]:
    """The rectifier tube's plates and cathode on its pins. Heater and cathode may share a pin: `heaters` sees to that."""
    ref = str(block.get("tube", ""))
    bound = scope.builder.tube(ref)
    section = next((s for s in bound.type.sections if s.kind == "rectifier"), None) if bound else None
    if section is None:  # name resolution has said so
        return ()
    pins = scope.builder.tube_pins.setdefault(ref, {})
    for electrode, net in (("plate1", legs["a"]), ("plate2", legs["b"]), ("cathode", plus)):
        for number in section.pins.get(electrode, ()):
            pins[str(number)] = net
    scope.parts["rectifier-tube"] = ref
    return (ref,)


def _silicon(scope: Scope, block: Block, ways: list[tuple[str, str, str]]) -> tuple[tuple[str, ...], int]:
    """All diodes, leg by leg; each leg holds the same number in series."""
    diodes = block.block("diodes")
    found = scope.design.diodes.get(str(scope.value("part", USUAL_DIODE, diodes)[0]))
    if found is None:
        return (), 1
    in_series = int(scope.value("in_series", ONE_DIODE, diodes)[0])
    refs: list[str] = []
    for leg, start, end in ways:
        net = start
        for number in range(1, in_series + 1):
            last = number == in_series
            behind = end if last else scope.builder.net(f"rectifier.{leg}-{number}", "high-tension-ac", f"between the diodes of leg {leg}")
            role = f"diode-{leg}-{number}"
            pins = (Pin("a", net), Pin("k", behind))
            path = f"{diodes.path}/part/{leg.replace('-', '_')}_{number}"
            refs.append(scope.keep(Diode, "diode", role=role, path=path, span=diodes.span_of("part"), pins=pins, type=found))
            net = behind
    return tuple(refs), in_series


def _transformer(scope: Scope) -> str:
    """The power transformer's designator."""
    stage = next(s for s in scope.builder.stages if s.kind == "power-transformer")
    return stage.parts["power-transformer"]

"""Power transformer: mains to the high-tension, heater and bias windings.

What it does: isolates the amp from the mains and makes every voltage in it.

When to use it: always; an amp fed straight from the mains is none this compiler builds.

Formulas: the primary tap is the one whose volts stand in the ratio nearest to 1 to the region's nominal mains. No-load volts and
regulation are worked out by the analysis from the winding's figures.

Limits: a winding's rated current means nothing without its basis (rms, or DC behind a capacitor or a choke), so the spec must say it.
A bridge or a doubler uses the whole of a centre-tapped winding: its tap is then insulated and the winding counted as a plain one of
twice the volts.
Windings that nothing uses keep their ends, each insulated separately.

Ports: ht-a, ht-ct, ht-b; h1-a, h1-ct, h1-b and so on; bias (its other end is circuit ground).
Roles: power-transformer.
"""

from __future__ import annotations

from ...spec.model import Block
from ...units.format import show_volts
from ...units.values import WindingVolts
from ..amounts import amount, amounts, words
from ..builder import Fill, Scope
from ..netlist import EARTH, GROUND, WHOLE_WINDING, Pin, PowerTransformer, Winding

KIND = "power-transformer"
SECTION = "mains"

FEEDS_ALL = Fill("[all]", ("all",), "a heater winding feeds every tube that no other winding feeds")
UNUSED_END = "unused winding: insulate each end separately"
UNUSED_TAP = "unused centre tap: insulate its end"


def elaborate(scope: Scope) -> None:
    """Ports: ht-a, ht-ct, ht-b, h1-a ..., bias."""
    scope.title = "Power transformer"
    block = scope.block
    primary = _primary(scope)
    if primary is None:
        return
    pins = [Pin("L", scope.source["mains.line"]), Pin("N", scope.source["mains.neutral"])]
    windings = [_high_tension(scope, pins)]
    windings += [_heater(scope, heater, number, pins) for number, heater in enumerate(block.blocks("heaters"), 1)]
    if "bias" in block:
        windings.append(_bias(scope, pins))
    if block.get("screen") is True:
        pins.append(Pin("SCREEN", EARTH))
    scope.keep(
        PowerTransformer,
        "transformer",
        role="power-transformer",
        path=block.path,
        span=block.span,
        pins=tuple(pins),
        label="power transformer",
        primary_volts=amount(primary, "volts") or 0.0,
        primary_hertz=amounts(primary, "hz"),
        primary_resistance=amount(primary, "resistance") or 0.0,
        windings=tuple(windings),
        insulation_volts=amount(block, "insulation"),
        screen=block.get("screen") is True,
        watts=amount(block, "power"),
        lead_colours=str(block.get("lead_colours", "")),
    )


def _primary(scope: Scope) -> Block | None:
    """The primary tap whose volts are nearest the region's mains; the others are facts."""
    nominal = scope.design.region.nominal_volts.value
    taps = [tap for tap in scope.block.blocks("primary") if amount(tap, "volts")]
    if not taps:
        return None

    def distance(tap: Block) -> float:
        ratio = nominal / (amount(tap, "volts") or 1.0)
        return max(ratio, 1.0 / ratio)

    picked = min(taps, key=distance)
    scope.facts["primary_taps_volts"] = tuple(amount(tap, "volts") for tap in taps)
    scope.facts["primary_tap_volts"] = amount(picked, "volts")
    scope.facts["primary_tap_path"] = picked.path
    return picked


def _high_tension(scope: Scope, pins: list[Pin]) -> Winding:
    block = scope.block.block("high_tension")
    rated = block.get("volts")
    volts, tapped = (rated.volts, rated.centre_tapped) if isinstance(rated, WindingVolts) else (0.0, False)
    resistance = _halves(scope, block, tapped)
    no_load = _no_load(scope, block, volts)
    whole = tapped and scope.design.spec.block("supply").block("rectifier").get("arrangement") in WHOLE_WINDING
    if whole:
        volts, resistance, no_load = 2.0 * volts, (sum(resistance),), 2.0 * no_load if no_load else None
    names = ("HT-A", "HT-CT" if tapped else "", "HT-B")
    for name in filter(None, names):
        spare = UNUSED_TAP if whole and name == "HT-CT" else ""
        net = scope.builder.net(name.lower().replace("-", ".", 1), "high-tension-ac", _label(name), spare)
        pins.append(Pin(name, scope.port(name.lower(), net)))
    return Winding(
        name="HT",
        kind="high-tension",
        volts=volts,
        amps=amount(block, "current") or 0.0,
        basis=str(block.get("basis", "")),
        resistance=resistance,
        no_load_volts=no_load,
        centre_tapped=tapped and not whole,
        pins=names,
        feeds=("rectifier",),
        span=block.span,
    )


def _halves(scope: Scope, block: Block, tapped: bool) -> tuple[float, ...]:
    """Winding resistance: one figure, or one per half. One figure for two halves could mean the half or the whole."""
    found = amounts(block, "resistance")
    wanted = 2 if tapped else 1
    if len(found) == wanted:
        return found
    scope.builder.problem(
        "ELB-041",
        "winding-resistance",
        "a centre-tapped winding needs the resistance of each half" if tapped else "a winding without a tap has one resistance",
        block.span_of("resistance"),
        f"{len(found)} given, {wanted} wanted",
        notes=("measured from the tap to each end; the two differ a little, the outer half being longer",) if tapped else (),
    )
    return (found or (0.0,)) * 2 if tapped else found[:1]


def _no_load(scope: Scope, block: Block, volts: float) -> float | None:
    """The winding's no-load volts; those below its rated volts are a mistake."""
    found = amount(block, "no_load")
    if found is not None and found < volts:
        scope.builder.problem(
            "ELB-045",
            "no-load-below-rated",
            f"the winding has fewer volts with nothing connected ({show_volts(found)}) than at its rated current ({show_volts(volts)})",
            block.span_of("no_load"),
            "below the rated volts",
        )
    return found


def _heater(scope: Scope, block: Block, number: int, pins: list[Pin]) -> Winding:
    name = f"H{number}"
    tapped = block.get("centre_tapped") is True
    feeds = words(block, "feeds") if "feeds" in block else scope.value("feeds", FEEDS_ALL, block)[0]
    names = (f"{name}-A", f"{name}-CT" if tapped else "", f"{name}-B")
    for pin in filter(None, names):
        net = scope.builder.net(pin.lower().replace("-", "."), "heater", _label(pin))
        pins.append(Pin(pin, scope.port(pin.lower(), net)))
    ohms = amount(block, "resistance")
    return Winding(
        name=name,
        kind="heater",
        volts=amount(block, "volts") or 0.0,
        amps=amount(block, "current") or 0.0,
        basis="rms",
        resistance=() if ohms is None else (ohms / 2.0,) * 2 if tapped else (ohms,),
        no_load_volts=_no_load(scope, block, amount(block, "volts") or 0.0),
        centre_tapped=tapped,
        pins=names,
        feeds=tuple(feeds),
        span=block.span,
    )


def _bias(scope: Scope, pins: list[Pin]) -> Winding:
    """One end to the bias rectifier, the other to ground; both ends insulated when there is no fixed bias."""
    block = scope.block.block("bias")
    used = scope.design.spec.block("bias").get("scheme") == "fixed"
    spare = "" if used else UNUSED_END
    live = scope.builder.net("bias.ac", "bias", "bias winding", spare)
    back = GROUND if used else scope.builder.net("bias.ac-return", "bias", "bias winding, other end", spare)
    pins += [Pin("BIAS-A", live), Pin("BIAS-B", back)]
    scope.port("bias", live)
    return Winding(
        name="BIAS",
        kind="bias",
        volts=amount(block, "volts") or 0.0,
        amps=amount(block, "current") or 0.0,
        basis=str(block.get("basis", "")),
        resistance=amounts(block, "resistance"),
        no_load_volts=_no_load(scope, block, amount(block, "volts") or 0.0),
        centre_tapped=False,
        pins=("BIAS-A", "", "BIAS-B"),
        feeds=("bias",),
        span=block.span,
    )


def _label(pin: str) -> str:
    """ "HT-CT" -> "HT winding, centre tap"."""
    name, end = pin.split("-")
    return f"{name} winding, {'centre tap' if end == 'CT' else 'end ' + end.lower()}"

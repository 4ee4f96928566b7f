"""What single-ended and push-pull outputs have in common: the tubes with their resistors, and the output transformer."""

from __future__ import annotations

import math

from ..spec.model import Block, Field
from ..units.values import SectionName
from .amounts import amount, amounts, plain
from .builder import Fill, Scope
from .netlist import GROUND, Capacitor, OutputTransformer, Pin, Tap, TubeSection
from .reading import fed_node, sections_of

TREBLE_HERTZ = 40e3
"""Without a leakage inductance the transformer's treble corner is taken to lie here."""


def output_tubes(scope: Scope, count: int) -> tuple[Field, ...]:
    """The `tubes` entries, `count` of them; another number is reported."""
    found = scope.block.items("tubes")
    if len(found) != count:
        scope.builder.problem(
            "ELB-016",
            "wrong-number-of-output-tubes",
            f"a {scope.block.get('topology')} output stage takes {count} tube{'s' if count > 1 else ''}, but {len(found)} are named",
            scope.block.span_of("tubes"),
        )
    return found[:count]


def drives(scope: Scope, letters: str) -> dict[str, str]:
    """The nets that drive the grids: "out" of the last stage for one side, "out-a" and "out-b" of a phase inverter for two."""
    ports = {"a": "out"} if letters == "a" else {letter: f"out-{letter}" for letter in letters}
    missing = [port for port in ports.values() if port not in scope.source]
    if missing:
        push_pull = letters != "a"
        scope.builder.problem(
            "ELB-017",
            "output-without-its-drive",
            "a push-pull output needs a phase inverter as the last stage of the signal"
            if push_pull
            else "a single-ended output takes one signal, but the last stage of the signal is a phase inverter",
            scope.block.span_of("topology"),
        )
    return {letter: scope.source.get(port) or scope.net(f"drive-{letter}") for letter, port in ports.items()}


def cathode_nets(scope: Scope, letters: str) -> dict[str, str]:
    """One cathode net per tube; "output.cathode" for all on a shared cathode resistor; ground in fixed bias without test resistors."""
    bias = scope.design.spec.block("bias")
    if bias.get("scheme") == "fixed":
        if "test_resistor" not in bias:
            return dict.fromkeys(letters, GROUND)
    elif len(letters) > 1 and bias.get("arrangement", "shared") == "shared":
        return dict.fromkeys(letters, scope.net("cathode", "signal", "output cathodes"))
    return {letter: scope.net(f"cathode-{letter}", "signal", f"output cathode {letter}") for letter in letters}


def tubes(scope: Scope, letters: str, plates: dict[str, str]) -> None:
    """The output tubes with grid leak, grid stopper and screen stopper each.

    Declares the ports drive-, grid-, plate-, screen-, cathode- with each letter, and screens.
    """
    found = output_tubes(scope, len(letters))
    drive = drives(scope, letters)
    cathodes = cathode_nets(scope, letters)
    fixed = scope.design.spec.block("bias").get("scheme") == "fixed"
    back = scope.builder.net("bias.feed", "bias", "bias feed") if fixed else GROUND
    screens = scope.port("screens", fed_node(scope.builder, "screens", 1))
    for letter in letters:
        _needs_block(scope, drive[letter], letter)
        scope.resistor("grid_leak", scope.port(f"drive-{letter}", drive[letter]), back, suffix=letter)
    for letter in letters:
        grid = scope.port(f"grid-{letter}", scope.net(f"grid-{letter}") if "grid_stopper" in scope.block else drive[letter])
        scope.resistor("grid_stopper", drive[letter], grid, suffix=letter)
    names: list[str] = []
    for letter, field in zip(letters, (*found, *[None] * len(letters)), strict=False):
        screen = scope.port(f"screen-{letter}", scope.net(f"screen-{letter}") if "screen_stopper" in scope.block else screens)
        plate = scope.port(f"plate-{letter}", plates[letter])
        cathode = scope.port(f"cathode-{letter}", cathodes[letter])
        grid = scope.ports[f"grid-{letter}"]
        section = power_section(scope, field, plate=plate, grid=grid, cathode=cathode, screen=screen)
        names += [section.ref] if section else []
        scope.resistor("screen_stopper", screens, screen, suffix=letter)
    scope.facts["sections"] = tuple(names)
    scope.facts["connection"] = scope.value("connection", Fill("pentode", "pentode", "the screens have a B+ node of their own"))[0]


def power_section(scope: Scope, field: Field | None, *, plate: str, grid: str, cathode: str, screen: str) -> TubeSection | None:
    """Puts an output tube in: its one section, or the pentode section of a triode-pentode."""
    for name in sections_of(field):
        bound = scope.builder.tube(name.tube)
        if bound and not name.section and bound.type.section("") is None:
            pentode = next((s.name for s in bound.type.sections if s.kind == "pentode"), "")
            name = SectionName(name.tube, pentode)
        return scope.tube(name, plate=plate, grid=grid, cathode=cathode, screen=screen)
    return None


def _needs_block(scope: Scope, net: str, letter: str) -> None:
    """Nothing but the coupling capacitor may bring DC to an output grid."""
    if any(pin.net == net for part in scope.builder.parts if isinstance(part, Capacitor) for pin in part.pins):
        return
    scope.builder.problem(
        "ELB-018",
        "output-grid-without-coupling-capacitor",
        f"output grid {letter} is not fed through a coupling capacitor",
        scope.block.span_of("tubes"),
        notes=("the stage before it needs `coupling`",),
    )


def transformer(scope: Scope, primary: tuple[Pin, ...], *, swapped: bool = False) -> None:
    """The output transformer: secondary "0" on circuit ground, the speaker's tap on "speaker.hot", every other one on "output.tap-N"."""
    block = scope.block.block("transformer")
    ohms = sorted(amounts(block, "taps"))
    load = amount(block, "primary")
    if not ohms or not load:
        return
    resistance = block.block("resistance")
    secondary_resistance = amount(resistance, "secondary") or 0.0
    nets = _tap_nets(scope, ohms)
    taps = tuple(
        Tap(
            ohms=tap,
            pin=f"{tap:g}",
            turns_ratio=math.sqrt(load / tap),
            resistance=secondary_resistance * math.sqrt(tap / ohms[-1]),
        )
        for tap in ohms
    )
    watts, lowest = amount(block, "power"), amount(block, "lowest")
    scope.keep(
        OutputTransformer,
        "transformer",
        role="transformer",
        path=block.path,
        span=scope.block.span_of("transformer"),
        label="output transformer",
        note=_note(scope, nets, swapped),
        pins=(*primary, Pin("0", GROUND), *(Pin(tap.pin, nets[tap.ohms]) for tap in taps)),
        topology=str(block.get("type")),
        primary_ohms=load,
        primary_resistance=amount(resistance, "primary") or 0.0,
        henries=amount(block, "primary_inductance"),
        leakage_henries=_leakage(scope, block, load),
        taps=taps,
        watts=watts,
        watts_hertz=lowest,
        gap_amps=amount(block, "gap_current"),
        insulation_volts=amount(block, "insulation"),
        lead_colours=str(block.get("lead_colours", "")),
        saturation_volts=amount(block, "saturation"),
    )


def _leakage(scope: Scope, block: Block, load: float) -> float:
    text = f"{load / (2.0 * math.pi * TREBLE_HERTZ) * 1e3:.2g}"
    henries = float(text) / 1e3  # what is said is what is used
    reason = "puts the transformer's treble corner, primary load over leakage reactance, at 40 kHz (common practice for a good part)"
    found = scope.value("leakage_inductance", Fill(f"{text} mH", henries, reason), block)[0]
    return plain(found) or henries


def _tap_nets(scope: Scope, ohms: list[float]) -> dict[float, str]:
    """Tap -> net. A speaker or feedback tap the transformer lacks is reported where it is named."""
    spec = scope.design.spec
    used = {
        "speaker": (amount(spec.block("speaker"), "tap"), spec.block("speaker").span_of("tap")),
        "feedback": (amount(spec.block("feedback"), "from"), spec.block("feedback").span_of("from")),
    }
    for what, (tap, span) in used.items():
        if tap is not None and tap not in ohms:
            has = ", ".join(f"{o:g}" for o in ohms)
            scope.builder.problem(
                "ELB-019", "no-such-tap", f"the {what} is on the {tap:g} Ω tap, but the output transformer has {has} Ω", span
            )
    hot = used["speaker"][0] if used["speaker"][0] in ohms else ohms[-1]
    nets: dict[float, str] = {}
    for tap in ohms:
        if tap == hot:
            nets[tap] = scope.builder.net("speaker.hot", "speaker", "speaker hot")
        else:
            why = "" if tap == used["feedback"][0] else "unused tap: insulate its end"
            nets[tap] = scope.builder.net(f"{scope.id}.tap-{tap:g}", "speaker", f"output {tap:g} Ω tap", why)
        scope.port(f"tap-{tap:g}", nets[tap])
    scope.port("hot", nets[hot or ohms[-1]])
    return nets


def _note(scope: Scope, nets: dict[float, str], swapped: bool) -> str:
    free = [f"{tap:g} Ω" for tap, net in nets.items() if scope.builder.nets[net].open]
    notes = []
    if free:
        notes.append(f"Unused: {', '.join(free)}. Insulate each end by itself.")
    if "feedback" in scope.design.spec:
        notes.append(
            "The plate leads are crossed so that the feedback opposes the signal; the polarity test of the bring-up decides."
            if swapped
            else "With the plate leads so, the feedback opposes the signal; the polarity test of the bring-up decides."
        )
    return " ".join(notes)

"""What single-ended and push-pull outputs have in common: the tubes with their resistors, and the output transformer."""

from __future__ import annotations

import math
from collections.abc import Collection

from ..diagnostics import Label, Severity
from ..spec.model import Block, Field
from ..units.values import SectionName
from .amounts import amount, amounts, plain
from .builder import Fill, Scope
from .netlist import GROUND, Capacitor, InterstageTransformer, OutputTransformer, Pin, Pot, Tap, TubeSection
from .reading import fed_node, sections_of

PENTODE = Fill("pentode", "pentode", "the screens have a B+ node of their own")
TREBLE_HERTZ = 40e3
"""Without a leakage inductance the transformer's treble corner is taken to lie here."""


def seats(scope: Scope, sides: str) -> dict[str, Field | None]:
    """Seat -> its entry of `tubes`: one tube on each side ("a", "b") or two ("a1", "a2", "b1", "b2"), those of side a first.

    Another number is reported.
    """
    found = scope.block.items("tubes")
    if len(found) == 2 * len(sides):
        return dict(zip((f"{side}{number}" for side in sides for number in "12"), found, strict=True))
    if len(found) != len(sides):
        takes = "1 tube or 2" if len(sides) == 1 else "2 tubes or 4"
        scope.builder.problem(
            "ELB-016",
            "wrong-number-of-output-tubes",
            f"a {scope.block.get('topology')} output stage takes {takes}, but {len(found)} {'is' if len(found) == 1 else 'are'} named",
            scope.block.span_of("tubes"),
        )
    return dict(zip(sides, (*found, *[None] * len(sides)), strict=False))


def drives(scope: Scope, sides: str) -> dict[str, str]:
    """The nets that drive the grids: "out" of the last stage for one side, "out-a" and "out-b" of a phase inverter for two."""
    ports = {"a": "out"} if sides == "a" else {side: f"out-{side}" for side in sides}
    missing = [port for port in ports.values() if port not in scope.source]
    if missing:
        push_pull = sides != "a"
        scope.builder.problem(
            "ELB-017",
            "output-without-its-drive",
            "a push-pull output needs a phase inverter as the last stage of the signal"
            if push_pull
            else "a single-ended output takes one signal, but the last stage of the signal is a phase inverter",
            scope.block.span_of("topology"),
        )
    return {side: scope.source.get(port) or scope.net(f"drive-{side}") for side, port in ports.items()}


def cathode_nets(scope: Scope, letters: Collection[str]) -> dict[str, str]:
    """One cathode net per tube; "output.cathode" for all on a shared cathode resistor; ground in fixed bias without test resistors."""
    bias = scope.design.spec.block("bias")
    if bias.get("scheme") == "fixed":
        if "test_resistor" not in bias:
            return dict.fromkeys(letters, GROUND)
    elif len(letters) > 1 and bias.get("arrangement", "shared") == "shared":
        return dict.fromkeys(letters, scope.net("cathode", "signal", "output cathodes"))
    return {letter: scope.net(f"cathode-{letter}", "signal", f"output cathode {letter}") for letter in letters}


def tubes(scope: Scope, plates: dict[str, str]) -> None:
    """The output tubes: a grid leak on each side; a grid stopper and a screen stopper for each tube. plates: side -> net.

    Declares the ports drive- and plate- with each side, grid-, screen- and cathode- with each seat, and screens.
    """
    found = seats(scope, "".join(plates))
    drive = drives(scope, "".join(plates))
    cathodes = cathode_nets(scope, found)
    fixed = scope.design.spec.block("bias").get("scheme") == "fixed"
    back = scope.builder.net("bias.feed", "bias", "bias feed") if fixed else GROUND
    screens = screen_feeds(scope, plates)
    for side in plates:
        _needs_block(scope, drive[side], side)
        scope.resistor("grid_leak", scope.port(f"drive-{side}", drive[side]), back, suffix=side)
    for seat in found:
        grid = scope.port(f"grid-{seat}", scope.net(f"grid-{seat}") if "grid_stopper" in scope.block else drive[seat[0]])
        scope.resistor("grid_stopper", drive[seat[0]], grid, suffix=seat)
    names: list[str] = []
    for seat, field in found.items():
        feed = screens[seat[0]]
        screen = scope.port(f"screen-{seat}", scope.net(f"screen-{seat}") if "screen_stopper" in scope.block else feed)
        plate = scope.port(f"plate-{seat[0]}", plates[seat[0]])
        cathode = scope.port(f"cathode-{seat}", cathodes[seat])
        section = power_section(scope, field, plate=plate, grid=scope.ports[f"grid-{seat}"], cathode=cathode, screen=screen)
        names += [section.ref] if section else []
        scope.resistor("screen_stopper", feed, screen, suffix=seat)
    scope.facts["sections"] = tuple(names)


def screen_feeds(scope: Scope, plates: dict[str, str]) -> dict[str, str]:
    """What each side's screens hang on through their stoppers: the B+ node, the plate, or its tap. Declares screens or screens-SIDE.

    Facts: connection.
    """
    connection = scope.facts["connection"] = scope.value("connection", PENTODE)[0]
    if connection == "pentode":
        return dict.fromkeys(plates, scope.port("screens", fed_node(scope.builder, "screens", 1)))
    for node in scope.design.spec.block("supply").blocks("filter"):
        if any(item.value == "screens" for item in node.items("feeds")):
            scope.builder.problem(
                "ELB-080",
                "node-that-feeds-no-screen",
                f"{node.get('node')} is to feed the screens, but in {connection} connection no B+ node does",
                node.span_of("feeds"),
                severity=Severity.WARNING,
                others=(Label(scope.block.span_of("connection"), "the screens hang on the primary" if tapped(scope) else "on the plates"),),
                helps=("take screens out of its feeds; a node that feeds nothing else may go as well",),
            )
    if connection == "triode":
        feeds = dict(plates)
    else:
        feeds = {side: scope.net(f"screen-tap-{side}", "signal", f"output screen tap {side}") for side in plates}
    for side, net in feeds.items():
        scope.port(f"screens-{side}", net)
    return feeds


def tapped(scope: Scope) -> bool:
    """Whether the screens hang on taps of the primary."""
    return scope.block.get("connection") == "ultralinear"


def screen_tap(scope: Scope) -> float | None:
    """Share of the turns from B+ to the plate at which the screen's lead leaves the primary; None for a primary without such leads."""
    block = scope.block.block("transformer")
    percent = amount(block, "screen_tap")
    if percent is None and tapped(scope):
        scope.builder.problem(
            "ELB-081",
            "no-screen-tap",
            "ultralinear connection needs an output transformer with screen taps, and this one has none",
            block.span_of("type"),
            others=(Label(scope.block.span_of("connection"), "the screens are to hang on them"),),
            helps=("write where its maker put them, as `screen_tap: 43 %`: turns from B+ to the tap, of those from B+ to the plate",),
            notes=("without such taps the screens take a B+ node (pentode) or their own plate (triode)",),
        )
    if percent is not None and not 0.0 < percent < 100.0:
        scope.builder.problem(
            "ELB-082",
            "screen-tap-outside-the-winding",
            "a screen tap lies between B+ and the plate: more than 0 % and less than 100 % of the turns",
            block.span_of("screen_tap"),
            notes=("0 % would be pentode connection, 100 % triode connection: both are written as `connection`",),
        )
        return None
    return None if percent is None else percent / 100.0


def tap_pins(scope: Scope, share: float | None, name: str, side: str) -> tuple[Pin, ...]:
    """The lead of one side's screen tap, insulated where no screen hangs on it; none of a primary without taps."""
    if share is None:
        return ()
    net = scope.ports.get(f"screens-{side}", "") if tapped(scope) else ""
    why = "" if net else "unused screen tap: insulate its end"
    return (Pin(name, net or scope.builder.net(f"{scope.id}.screen-tap-{side}", "signal", f"output screen tap {side}", why)),)


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
    """Nothing but a coupling capacitor or a winding may bring DC to an output grid, itself or through a master volume."""
    masters = {stage.id for stage in scope.builder.stages if stage.kind == "master-volume"}
    level = next((p for p in scope.builder.parts if isinstance(p, Pot) and p.stage in masters and p.net("wiper") == net), None)
    nets = {net, level.net("cw")} if level else {net}
    if any(pin.net in nets for part in scope.builder.parts if isinstance(part, Capacitor | InterstageTransformer) for pin in part.pins):
        return
    scope.builder.problem(
        "ELB-018",
        "output-grid-without-coupling-capacitor",
        f"output grid {letter} is not fed through a coupling capacitor",
        scope.block.span_of("tubes"),
        notes=("the stage before it needs `coupling`",),
    )


def transformer(scope: Scope, primary: tuple[Pin, ...], *, swapped: bool = False, screen_share: float | None = None) -> None:
    """The output transformer: secondary "0" on circuit ground, the speaker's tap on "speaker.hot", every other one on "output.tap-N".

    primary: its leads in the order of the winding. screen_share: as `screen_tap` has it.
    """
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
        screen_tap=screen_share,
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

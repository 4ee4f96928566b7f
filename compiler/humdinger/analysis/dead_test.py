"""The dead tests of an amp: what an ohmmeter shows between two of its terminals before power has ever been on.

The rows are those of bring-up practice (common practice), for what this amp has. Every number is a nodal solution of `dead_network`.
"""

from __future__ import annotations

from collections.abc import Iterator

from ..circuit.netlist import (
    EARTH,
    GROUND,
    Bond,
    Capacitor,
    Fuse,
    Inlet,
    InterstageTransformer,
    Jack,
    Lamp,
    Netlist,
    OutputTransformer,
    Part,
    Pot,
    PowerTransformer,
    Resistor,
    Speaker,
    Stud,
    Switch,
    Tube,
    TubeSection,
)
from ..records import record, replace
from .dead_network import RESISTOR_SPREAD, DeadNetwork, Reading, Setup
from .results import DeadTest, DeadTests
from .screening import screen_share

JOINED_OHMS = 0.5
"""More than this between two ends of one wire is a bad joint (common practice; a good lead pair takes up to 0.3 of it)."""
BOND_OHMS = 0.1
"""Protective earth, apart from the meter's own leads (published portable-appliance guidance, read as an excerpt)."""
INSULATION_OHMS = 1e6
"""Pass limit at 500 V direct (published portable-appliance guidance, read as an excerpt)."""
SUPPLY_OHMS = 10e3
"""A B+ node that stays below this is shorted somewhere (common practice)."""

Terminal = tuple[str, str]


@record
class _Ask:
    """A reading to take. id ends the name of the row; stops None: outside the band is reason enough."""

    group: str
    about: str
    red: Terminal
    black: Terminal
    setup: Setup = Setup()
    words: tuple[str, ...] = ()
    stop_below: float | None = None
    stop_above: float | None = None
    supply: bool = False
    through: Resistor | None = None
    """The resistor that black hangs on: its lead there is loose, so the way goes through it."""


def dead_tests(netlist: Netlist) -> DeadTests:
    """Every reading this amp asks for, keyed "group/about" (a number behind it where one thing is read twice)."""
    base = DeadNetwork(netlist, Setup())
    networks: dict[Setup, DeadNetwork] = {Setup(): base}
    rows: dict[str, DeadTest] = {}
    for ask in _asked(netlist, base):
        network = networks.get(ask.setup)
        if network is None:
            network = networks[ask.setup] = DeadNetwork(netlist, ask.setup)
        key, count = f"{ask.group}/{ask.about}", 2
        while key in rows:
            key, count = f"{ask.group}/{ask.about}/{count}", count + 1
        rows[key] = _row(netlist, network, ask)
    return DeadTests(_assumed(netlist), rows)


def _row(netlist: Netlist, network: DeadNetwork, ask: _Ask) -> DeadTest:
    if ask.through is None:
        found = network.read(_net(netlist, ask.red), _net(netlist, ask.black))
    else:
        far = next(pin.net for pin in ask.through.pins if pin.name != ask.black[1])
        found = _in_series(network.read(_net(netlist, ask.red), far), ask.through)
    red, black = (ask.black, ask.red) if found.swapped else (ask.red, ask.black)
    below, above = ask.stop_below, ask.stop_above
    if found.ohms is None:
        kind = "open"
    elif found.unknown:
        kind = "unknown"
    elif found.high_ohms == 0.0:
        kind, above = "joined", above or JOINED_OHMS
    else:
        kind = "ohms"
        if ask.supply:
            below = min(SUPPLY_OHMS, 0.5 * found.ohms)
    hidden = kind == "unknown"
    return DeadTest(
        group=ask.group,
        about=ask.about,
        red=red,
        black=black,
        kind=kind,
        ohms=None if hidden else found.ohms,
        low_ohms=None if hidden else found.low_ohms,
        high_ohms=None if hidden else found.high_ohms,
        setup=ask.words,
        unknown=found.unknown,
        stop_below_ohms=below,
        stop_above_ohms=above,
    )


def _in_series(found: Reading, part: Resistor) -> Reading:
    """A reading with a resistor in one of its leads."""
    if found.ohms is None or found.low_ohms is None or found.high_ohms is None:
        return found
    spread = RESISTOR_SPREAD if part.tolerance is None else part.tolerance
    low, high = (found.low_ohms + part.ohms * (1.0 - spread), found.high_ohms + part.ohms * (1.0 + spread))
    return replace(found, ohms=found.ohms + part.ohms, low_ohms=low, high_ohms=high)


def _net(netlist: Netlist, terminal: Terminal) -> str:
    return netlist.by_ref[terminal[0]].net(terminal[1])


def _asked(netlist: Netlist, base: DeadNetwork) -> Iterator[_Ask]:
    """In the order of work: earth and mains, transformers, heaters, B+, tubes, jacks."""
    ground = _ground(netlist)
    yield from _earth(netlist)
    yield from _mains(netlist)
    yield from _windings(netlist)
    yield from _heaters(netlist, ground)
    yield from _supply(netlist, ground)
    for section in netlist.sections:
        yield from _section(netlist, section, ground, base)
    yield from _secondary(netlist)
    yield from _jacks(netlist, ground)
    yield from _feedback(netlist)


def _feedback(netlist: Netlist) -> Iterator[_Ask]:
    """Speaker tap to the end of the feedback resistor that belongs on it. Open as it has to be, the meter sees the resistor and what is
    behind it; with the loop closed already both ends are one wire, and it shows nothing."""
    for stage in netlist.stages_of("feedback"):
        part = netlist.by_ref.get(stage.parts.get("resistor", ""))
        if not isinstance(part, Resistor):
            continue
        ends = {pin.name: pin.net for pin in part.pins}
        near = next((name for name, net in ends.items() if net in netlist.nets and netlist.nets[net].domain == "speaker"), None)
        if near is None:
            continue
        tap = next(((p.ref, pin) for p, pin in _rows_at(netlist, ends[near]) if isinstance(p, Jack | OutputTransformer)), None)
        if tap:
            yield _Ask("feedback", part.ref, tap, (part.ref, near), through=part)


def _rows_at(netlist: Netlist, net: str) -> list[tuple[Part, str]]:
    """What is on a net, jacks first."""
    return sorted(netlist.on_net.get(net, ()), key=lambda row: not isinstance(row[0], Jack))


def _ground(netlist: Netlist) -> Terminal:
    """Where the black lead goes for circuit ground: the bond, else the minus of a capacitor, else anything on it."""
    rows = netlist.on_net.get(GROUND, ())
    ranked = sorted(rows, key=lambda row: (not isinstance(row[0], Bond), not isinstance(row[0], Capacitor), row[1] != "-"))
    return (ranked[0][0].ref, ranked[0][1]) if ranked else ("", "")


def _earth(netlist: Netlist) -> Iterator[_Ask]:
    inlet = next(netlist.of(Inlet), None)
    if inlet is None or inlet.cord_cores < 3:
        return
    pin = (inlet.ref, "PE")
    for stud in netlist.of(Stud):
        yield _Ask("earth", stud.ref, pin, (stud.ref, "PE"), stop_above=BOND_OHMS)
    for transformer in netlist.of(PowerTransformer):
        if any(p.name == "SCREEN" and p.net == EARTH for p in transformer.pins):
            yield _Ask("earth", transformer.ref, pin, (transformer.ref, "SCREEN"), stop_above=BOND_OHMS)
    for bond in netlist.of(Bond):
        yield _Ask("earth", bond.ref, pin, (bond.ref, "1"), stop_above=None if bond.kind == "loop-breaker" else BOND_OHMS)


def _mains(netlist: Netlist) -> Iterator[_Ask]:
    """Insulation, primary, and the way of the line through fuse and switch."""
    inlet = next(netlist.of(Inlet), None)
    switch = next((s for s in netlist.of(Switch) if s.where == "mains"), None)
    transformer = next(netlist.of(PowerTransformer), None)
    if inlet is None or transformer is None:
        return
    live, neutral = (inlet.ref, "L"), (inlet.ref, "N")
    on, off = (Setup(mains_on=True), ("mains switch on",)), (Setup(), ("mains switch off",))
    for fuse in netlist.of(Fuse):
        if fuse.where == "mains":
            entry, far = _sides(netlist, fuse, live)
            yield _Ask("line", fuse.ref, live, entry, *on)
            yield _Ask("line", fuse.ref, live, far, *on)
            out = Setup(mains_on=True, fuses_out=(fuse.ref,))
            yield _Ask("line", fuse.ref, live, far, out, ("mains switch on", f"{fuse.ref} out of its holder"))
    if switch is not None:
        for pole in range(1, switch.poles + 1):
            ends = (switch.ref, f"{pole}a"), (switch.ref, f"{pole}b")
            if any(p.name == f"{pole}a" for p in switch.pins):
                yield _Ask("switch", switch.ref, *ends, *on)
                yield _Ask("switch", switch.ref, *ends, *off)
    yield _Ask("primary", transformer.ref, live, neutral, *on)
    if switch is not None:
        yield _Ask("primary", transformer.ref, live, neutral, *off)
    if inlet.cord_cores >= 3:
        words = ("mains switch on", "L and N joined", "insulation tester, 500 V direct")
        yield _Ask("insulation", transformer.ref, live, (inlet.ref, "PE"), Setup(mains_on=True), words, stop_below=INSULATION_OHMS)


def _sides(netlist: Netlist, fuse: Fuse, live: Terminal) -> tuple[Terminal, Terminal]:
    """A fuse's contacts: the one the line reaches with the fuse out, then the other."""
    switches = [s for s in netlist.of(Switch) if s.where == "mains"]
    reached = {_net(netlist, live)}
    for switch in switches:  # the line meets one switch at most before the fuse
        nets = {pin.name: pin.net for pin in switch.pins}
        reached |= {nets[f"{pole}b"] for pole in range(1, switch.poles + 1) if nets.get(f"{pole}a") in reached}
    entry = next((pin.name for pin in fuse.pins if pin.net in reached), "1")
    return (fuse.ref, entry), (fuse.ref, "2" if entry == "1" else "1")


def _windings(netlist: Netlist) -> Iterator[_Ask]:
    """High-tension and bias windings, each half against the tap."""
    for transformer in netlist.of(PowerTransformer):
        for winding in transformer.windings:
            if winding.kind == "heater":
                continue
            first, tap, last = winding.pins
            pairs = ((first, tap), (last, tap)) if tap else ((first, last),)
            for a, b in pairs:
                if a and b:
                    yield _Ask("winding", f"{transformer.ref} {a}", (transformer.ref, a), (transformer.ref, b))


def _heaters(netlist: Netlist, ground: Terminal) -> Iterator[_Ask]:
    """Each heater winding to circuit ground without its reference first, then each end with it: what was lifted is proved to be back."""
    stage = next(iter(netlist.stages_of("heaters")), None)
    for transformer in netlist.of(PowerTransformer):
        for winding in transformer.windings:
            if winding.kind != "heater":
                continue
            mark = "" if winding.name == "H1" else f"{winding.name.lower()}-"
            parts = tuple(
                ref for role, ref in (stage.parts.items() if stage else ()) if role.startswith((f"{mark}reference", f"{mark}hum-balance"))
            )
            ends = [pin for pin in (winding.pins[0], winding.pins[2]) if pin and len(netlist.on_net.get(transformer.net(pin), ())) > 1]
            names = " and ".join(parts)
            if parts and ends:
                words = (f"{names} lifted",)
                yield _Ask("heater", winding.name, (transformer.ref, ends[0]), ground, Setup(lifted=parts), words)
            for pin in ends:
                yield _Ask("heater", winding.name, (transformer.ref, pin), ground, words=(f"{names} on again",) if parts else ())


def _supply(netlist: Netlist, ground: Terminal) -> Iterator[_Ask]:
    """Every B+ and bias capacitor node to ground, then the standby contacts open."""
    for net in _supply_nets(netlist):
        at = _terminal_on(netlist, net)
        if at:
            yield _Ask("supply", net, at, ground, supply=True)
    for switch in netlist.of(Switch):
        if switch.where == "standby":
            words = (f"{switch.ref} in STANDBY",)
            for end in ("1a", "1b"):
                yield _Ask("standby", switch.ref, (switch.ref, end), ground, Setup(standby_play=False), words, supply=True)


def _supply_nets(netlist: Netlist) -> tuple[str, ...]:
    charged = [c.net("+" if c.net("-") == GROUND else "-") for c in netlist.of(Capacitor) if c.polarised and GROUND in _nets(c)]
    nets = [*netlist.b_plus, *(net for net in charged if net in netlist.nets and netlist.nets[net].domain in ("supply", "bias"))]
    return tuple(net for net in dict.fromkeys(nets) if net != GROUND)


def _nets(part: Capacitor) -> tuple[str, ...]:
    return tuple(pin.net for pin in part.pins)


def _terminal_on(netlist: Netlist, net: str) -> Terminal | None:
    """A capacitor's end on a net, else whatever is there."""
    rows = [row for row in netlist.on_net.get(net, ()) if not isinstance(row[0], Speaker)]
    ranked = sorted(rows, key=lambda row: (not (isinstance(row[0], Capacitor) and row[0].polarised), isinstance(row[0], Tube)))
    return (ranked[0][0].ref, ranked[0][1]) if ranked else None


def _section(netlist: Netlist, section: TubeSection, ground: Terminal, base: DeadNetwork) -> Iterator[_Ask]:
    """Cathode and grid to ground, plate and screen to the B+ node that feeds them. A parked section: all of it to ground."""
    if section.section.kind == "rectifier":
        return
    for electrode, net in (("cathode", section.cathode), ("grid", section.grid)):
        at = _pin(netlist, section, electrode, net)
        if at:
            yield _Ask(electrode, section.ref, at, ground)
    for electrode, net in (("plate", section.plate), ("screen", section.screen)):
        at = _pin(netlist, section, electrode, net)
        if at is None:
            continue
        node = "" if section.unused else _feeding(netlist, net, base)
        node_terminal = _terminal_on(netlist, node) if node else None
        yield _Ask(electrode, section.ref, at, node_terminal or ground)
    if screen_share(netlist, section) > 0.0:
        # from B+ both taps read alike; a screen on the wrong half shows by reading less to the other plate than to its own
        screen, plate = _pin(netlist, section, "screen", section.screen), _pin(netlist, section, "plate", section.plate)
        if screen and plate and section.screen != section.plate:
            yield _Ask("screen-plate", section.ref, screen, plate)
            yield from (_Ask("screen-other", section.ref, screen, far) for far in _other_plate(netlist, section))


def _other_plate(netlist: Netlist, section: TubeSection) -> Iterator[Terminal]:
    """The plate at the other end of the primary, if the stage is push-pull."""
    for ref in netlist.power_sections:
        other = netlist.by_section[ref]
        if other.plate != section.plate and (at := _pin(netlist, other, "plate", other.plate)):
            yield at
            return


def _pin(netlist: Netlist, section: TubeSection, electrode: str, net: str) -> Terminal | None:
    """The pin of an electrode that is wired to its net."""
    tube = netlist.by_ref[section.tube]
    wired = {pin.name: pin.net for pin in tube.pins}
    pins = (str(number) for number in section.section.pins.get(electrode, ()))
    name = next((pin for pin in pins if net and wired.get(pin) == net), None)
    return (tube.ref, name) if name else None


def _feeding(netlist: Netlist, net: str, base: DeadNetwork) -> str:
    """The B+ node a plate or screen hangs on: the nearest by ohms."""
    found = [(r.ohms, k, node) for k, node in enumerate(netlist.b_plus) if (r := base.read(net, node)).ohms is not None]
    return min(found)[2] if found else ""


def _secondary(netlist: Netlist) -> Iterator[_Ask]:
    """The tap the speaker is on shows up at the speaker; the others are read by themselves. Every winding of an interstage transformer."""
    for transformer in netlist.of(OutputTransformer):
        for tap in transformer.taps:
            yield _Ask("secondary", f"{transformer.ref} {tap.pin}", (transformer.ref, tap.pin), (transformer.ref, "0"))
    for between in netlist.of(InterstageTransformer):
        for one, other in (("P", "B"), ("S1", "CT"), ("S2", "CT")):
            yield _Ask("secondary", f"{between.ref} {one}-{other}", (between.ref, one), (between.ref, other))


def _jacks(netlist: Netlist, ground: Terminal) -> Iterator[_Ask]:
    """Each jack from tip to ground, empty; one with a contact also with an open plug in."""
    for jack in netlist.of(Jack):
        tip = (jack.ref, "tip")
        contact = jack.switched and any(p.name == "tip-switch" for p in jack.pins)
        yield _Ask("jack", jack.ref, tip, ground, words=(f"{jack.ref} empty",))
        if contact:
            yield _Ask("jack", jack.ref, tip, ground, Setup(plugged=(jack.ref,)), (f"plug with nothing on it in {jack.ref}",))


def _assumed(netlist: Netlist) -> tuple[str, ...]:
    """What every reading takes for granted, of what this amp has."""
    found = ["cord out of the wall", "every tube out of its socket", "capacitors charged by the meter, so open", "speaker off, jacks empty"]
    switches = {switch.where for switch in netlist.of(Switch)}
    if "mains" in switches:
        found.append("mains switch off")
    if "standby" in switches:
        found.append("standby in PLAY")
    if any(True for _ in netlist.of(Fuse)):
        found.append("fuses in")
    pots = tuple(netlist.of(Pot))
    if any(not p.role.endswith("hum-balance") and not p.role.startswith("adjustment") for p in pots):
        found.append("every control fully clockwise")
    if any(p.role.startswith("adjustment") for p in pots):
        found.append("bias trimmer fully counterclockwise, its cold end")
    if any(p.role.endswith("hum-balance") for p in pots):
        found.append("hum balance in the middle")
    if any(True for _ in netlist.of(Lamp)):
        found.append("pilot lamp out")
    if any(True for _ in netlist.stages_of("feedback")):
        found.append("the feedback resistor off at the speaker's end: first power joins it")
    return tuple(found)

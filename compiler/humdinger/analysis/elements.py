"""What a netlist means electrically in one condition: a flat list of ideal elements between nets.

One list feeds the equations (`system`), the SPICE deck (`spice`) and nobody else, so the deck is the circuit that was solved.

What is left out or idealised, for every user of the numbers:
* mains and high-tension AC nets are not solved; rectifiers with their windings become averaged one-ports (`supply`);
* a closed switch or a fuse is 1 mΩ, the circuit bond 1 mΩ, an end of a pot at least 1e-4 of its track;
* heaters and filament lamps are resistors (rated volts over rated amps) and heater windings their own resistance, without EMF: the
  heater nets sit at their reference potential and the load on the reference is right;
* the speaker is a resistor of its nominal impedance at every frequency;
* the output transformer has one common flux, linear inductance and one leakage, shared between primary and secondary. Dots: P (or P1,
  then the centre tap for the second half) and every tap, so a tap is in phase with P against B, with P1 against P2;
* capacitances are the tubes' own; no wiring capacitance.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from itertools import pairwise

from ..circuit.netlist import (
    GROUND,
    Bond,
    Capacitor,
    Choke,
    Coupler,
    Diode,
    Fuse,
    InterstageTransformer,
    Jack,
    Lamp,
    Netlist,
    OutputTransformer,
    Pot,
    PowerTransformer,
    Resistor,
    Speaker,
    Switch,
    Tube,
    TubeSection,
)
from ..records import record
from ..units.taper import END_RESISTANCE, track_fraction
from .devices.diode import THERMAL_VOLTS
from .results import Condition
from .supply import AveragedRectifier, heater_connection, heater_nets, rectifier_elements

CONTACT_OHMS = 1e-3
POT_END = END_RESISTANCE
DIODE_OHMS = 0.05
"""In series with a diode that is not part of a rectifier; own assumption."""
LIGHT_EMISSION = 2.0
"""Emission coefficient of a light-emitting diode (from memory: 1.5 to 2.5); its volts at one current are the spec's."""
HEATER_WINDING_OHMS = 0.01
"""Of a heater winding whose resistance nobody gave; only the potential of its nets depends on it."""
COIL_OHMS = 1e-6
"""Least resistance of a coil: a loop of ideal coils has no solution."""
PRIMARY_HERTZ = 40.0
"""Without a primary inductance its reactance is taken as the plate load at this frequency or the maker's lowest (common practice)."""

UNSOLVED_DOMAINS = frozenset({"mains", "high-tension-ac"})


@record
class TwoPole:
    """A resistor (ohms) or a capacitor (farads) between two nets. `owner` is the part or section it stands for."""

    name: str
    owner: str
    a: str
    b: str
    value: float


@record
class Inductor:
    """A choke: henries with its winding resistance in series."""

    name: str
    a: str
    b: str
    henries: float
    ohms: float


@record
class Coil:
    """A winding of an output transformer, dot at `a`. turns: relative to the whole primary; leakage in henries of its own."""

    name: str
    a: str
    b: str
    turns: float
    ohms: float
    leakage: float


@record
class Transformer:
    """Coils on one core. henries: of the whole primary."""

    name: str
    henries: float
    coils: tuple[Coil, ...]


@record
class TubeElement:
    """A triode or pentode. Nets of plate, grid, cathode and (pentode) screen."""

    name: str
    law: str
    plate: str
    grid: str
    cathode: str
    screen: str
    parameters: Mapping[str, float]


@record
class DiodeElement:
    """A silicon diode outside any rectifier."""

    name: str
    anode: str
    cathode: str
    saturation: float
    emission_volts: float
    ohms: float


@record
class PhotocellElement:
    """The cell of an optical coupler between two nets; `light`: name of the DiodeElement that lights it."""

    name: str
    a: str
    b: str
    light: str
    dark_ohms: float
    bright_ohms: float
    bright_amps: float
    gamma: float


@record
class Elements:
    """The flat circuit. `nets` are the solved nets in netlist order, circuit ground left out. `out`: tubes pulled in this condition."""

    nets: tuple[str, ...]
    resistors: tuple[TwoPole, ...]
    capacitors: tuple[TwoPole, ...]
    inductors: tuple[Inductor, ...]
    transformers: tuple[Transformer, ...]
    tubes: tuple[TubeElement, ...]
    diodes: tuple[DiodeElement, ...]
    rectifiers: tuple[AveragedRectifier, ...]
    out: frozenset[str]
    photocells: tuple[PhotocellElement, ...] = ()


def light_of(part: Coupler) -> str:
    """What the diode of a coupler is called among the elements and ports."""
    return f"{part.ref}.light"


def pulled_tubes(netlist: Netlist, condition: Condition) -> frozenset[str]:
    """Designators of the tubes that are out of their sockets: whole envelopes, so a triode-pentode loses both systems."""
    if condition.tubes == "all":
        return frozenset()
    if condition.tubes == "small":
        return frozenset(netlist.by_section[ref].tube for ref in netlist.power_sections)
    return frozenset(t.ref for t in netlist.of(Tube) if not t.type.is_rectifier)


def elements_of(netlist: Netlist, condition: Condition) -> Elements:
    """The flat circuit of a netlist in a condition. Raises ValueError for a tube section without a model."""
    return _Flattener(netlist, condition).run()


class _Flattener:
    """Collects the elements; one method per class of part."""

    def __init__(self, netlist: Netlist, condition: Condition) -> None:
        self.netlist = netlist
        self.condition = condition
        self.out = pulled_tubes(netlist, condition)
        kept = direct_nets(netlist)
        self.unsolved = {n for n, net in netlist.nets.items() if net.domain in UNSOLVED_DOMAINS and n not in kept}
        self.rectifying = {ref for r in netlist.rectifiers for ref in r.devices}
        self.resistors: list[TwoPole] = []
        self.capacitors: list[TwoPole] = []
        self.inductors: list[Inductor] = []
        self.transformers: list[Transformer] = []
        self.tubes: list[TubeElement] = []
        self.diodes: list[DiodeElement] = []
        self.photocells: list[PhotocellElement] = []

    def run(self) -> Elements:
        for part in self.netlist.parts:
            self._part(part)
        for section in self.netlist.sections:
            self._section(section)
        self._silence_oscillator()
        names = dict.fromkeys(self.netlist.nets) | dict.fromkeys(self.netlist.on_net)
        return Elements(
            nets=tuple(n for n in names if n != GROUND and n not in self.unsolved),
            resistors=tuple(self.resistors),
            capacitors=tuple(self.capacitors),
            inductors=tuple(self.inductors),
            transformers=tuple(self.transformers),
            tubes=tuple(self.tubes),
            diodes=tuple(self.diodes),
            rectifiers=rectifier_elements(self.netlist, self.condition, self.out),
            out=self.out,
            photocells=tuple(self.photocells),
        )

    def _resistor(self, name: str, owner: str, a: str, b: str, ohms: float) -> None:
        if a != b and a not in self.unsolved and b not in self.unsolved:
            self.resistors.append(TwoPole(name, owner, a, b, ohms))

    def _capacitor(self, name: str, owner: str, a: str, b: str, farads: float) -> None:
        if a != b and a not in self.unsolved and b not in self.unsolved:
            self.capacitors.append(TwoPole(name, owner, a, b, farads))

    def _part(self, part: object) -> None:
        match part:
            case Resistor():
                self._resistor(part.ref, part.ref, part.pins[0].net, part.pins[1].net, part.ohms)
            case Capacitor():
                self._capacitor(part.ref, part.ref, part.pins[0].net, part.pins[1].net, part.farads)
            case Pot():
                self._pot(part)
            case Choke():
                self.inductors.append(Inductor(part.ref, part.net("1"), part.net("2"), part.henries, max(part.ohms, COIL_OHMS)))
            case Diode() if part.ref not in self.rectifying:
                volts = part.type.emission.value * THERMAL_VOLTS
                found = DiodeElement(part.ref, part.net("a"), part.net("k"), part.type.saturation_amps.value, volts, DIODE_OHMS)
                if found.anode != found.cathode and not {found.anode, found.cathode} & self.unsolved:
                    self.diodes.append(found)
            case Coupler():
                self._coupler(part)
            case OutputTransformer():
                self.transformers.append(output_transformer(part))
            case InterstageTransformer():
                self.transformers.append(interstage_transformer(part))
            case PowerTransformer():
                self._heater_windings(part)
            case Fuse() | Bond():
                self._resistor(part.ref, part.ref, part.net("1"), part.net("2"), CONTACT_OHMS)
            case Switch():
                self._switch(part)
            case Lamp() if part.kind != "neon":
                self._resistor(part.ref, part.ref, part.net("1"), part.net("2"), part.volts / part.amps)
            case Jack() if part.purpose in ("input", "return") and part.switched and part.net("tip") != self.netlist.input_net:
                # the guitar is plugged into the first input; what is empty rests on its contact
                self._resistor(part.ref, part.ref, part.net("tip"), part.net("tip-switch"), CONTACT_OHMS)
            case Jack() if part.purpose == "speaker" and part.switched and part.net("tip-switch") != GROUND:
                # an extension jack with nothing in it leads on to the speakers inside
                self._resistor(part.ref, part.ref, part.net("tip"), part.net("tip-switch"), CONTACT_OHMS)
            case Speaker():
                self._resistor(part.ref, part.ref, part.net("+"), part.net("-"), part.ohms)
            case Tube() if part.ref not in self.out:
                self._heater(part)
            case _:
                pass

    def _pot(self, pot: Pot) -> None:
        below = track_fraction(pot.taper, pot_position(self.netlist, self.condition, pot))
        ccw, wiper, cw = pot.net("ccw"), pot.net("wiper"), pot.net("cw")
        self._resistor(f"{pot.ref}.ccw", pot.ref, ccw, wiper, pot.ohms * max(below, POT_END))
        self._resistor(f"{pot.ref}.cw", pot.ref, wiper, cw, pot.ohms * max(1.0 - below, POT_END))

    def _coupler(self, part: Coupler) -> None:
        name, volts = light_of(part), LIGHT_EMISSION * THERMAL_VOLTS
        saturation = part.bright_amps * math.exp(-part.light_volts / volts)
        self.diodes.append(DiodeElement(name, part.net("a"), part.net("k"), saturation, volts, DIODE_OHMS))
        cell = PhotocellElement(
            part.ref, part.net("1"), part.net("2"), name, part.dark_ohms, part.bright_ohms, part.bright_amps, part.gamma
        )
        self.photocells.append(cell)

    def _switch(self, switch: Switch) -> None:
        if not switch_closed(switch, self.condition):
            return
        nets = {pin.name: pin.net for pin in switch.pins}
        for pole in range(1, switch.poles + 1):
            if f"{pole}a" in nets and f"{pole}b" in nets:
                self._resistor(f"{switch.ref}.{pole}", switch.ref, nets[f"{pole}a"], nets[f"{pole}b"], CONTACT_OHMS)

    def _silence_oscillator(self) -> None:
        """With the tremolo off and no footswitch to say so, the oscillator's grid is held at ground; no DC changes by it."""
        if self.condition.tremolo or any(s.where == "footswitch" for s in self.netlist.of(Switch)):
            return
        for stage in self.netlist.stages_of("phase-shift-oscillator"):
            grid = stage.ports.get("grid")
            if grid:
                self._resistor(f"{stage.id}.silence", stage.id, grid, GROUND, CONTACT_OHMS)

    def _heater_windings(self, transformer: PowerTransformer) -> None:
        for winding in transformer.windings:
            if winding.kind != "heater":
                continue
            ends = [transformer.net(pin) for pin in winding.pins if pin]
            for half, (a, b) in enumerate(pairwise(ends)):
                ohms = winding.resistance[min(half, len(winding.resistance) - 1)] if winding.resistance else 0.0
                name = f"{transformer.ref}.{winding.name}.{half + 1}"
                self._resistor(name, transformer.ref, a, b, max(ohms, HEATER_WINDING_OHMS))

    def _heater(self, tube: Tube) -> None:
        nets = heater_nets(tube)
        connection = heater_connection(tube)
        if nets and connection:
            self._resistor(f"{tube.ref}.heater", tube.ref, *nets, connection.volts / connection.amps)

    def _section(self, found: TubeSection) -> None:
        section = found.section
        if found.unused or found.tube in self.out or section.kind == "rectifier":
            return
        if section.model is None:
            raise ValueError(f"{found.ref} has no model")
        self.tubes.append(
            TubeElement(found.ref, section.model.law, found.plate, found.grid, found.cathode, found.screen, section.model.parameters)
        )
        for tag, farads, a, b in (
            ("cgp", section.grid_plate_farads, found.grid, found.plate),
            ("cgk", section.input_farads, found.grid, found.cathode),
            ("cpk", section.output_farads, found.plate, found.cathode),
        ):
            if farads is not None and farads.value > 0.0:
                self._capacitor(f"{found.ref}.{tag}", found.ref, a, b, farads.value)


def direct_nets(netlist: Netlist) -> frozenset[str]:
    """The direct terminals of the rectifiers, and what stands behind a fuse or a switch in their leads: direct whatever its domain."""
    found = {net for r in netlist.rectifiers for net in (r.plus, r.minus, r.middle) if net}
    contacts = [[pin.net for pin in part.pins] for part in netlist.parts if isinstance(part, Fuse | Switch)]
    leads = [pair for nets in contacts for pair in zip(nets[::2], nets[1::2], strict=True)]
    while beyond := {end for a, b in leads for start, end in ((a, b), (b, a)) if start in found and start != GROUND} - found:
        found |= beyond
    return frozenset(found)


def pot_position(netlist: Netlist, condition: Condition, pot: Pot) -> float:
    """Shaft position 0..1 of a pot in a condition: by the control that moves it, by its own control name, else as the netlist has it."""
    for control in netlist.controls:
        if control.ref == pot.ref:
            return condition.controls.get(control.name, control.position)
    return condition.controls.get(pot.control, pot.position)


def switch_closed(switch: Switch, condition: Condition) -> bool:
    """Whether a switch conducts: as it plays; the footswitch the other way round while the tremolo is off."""
    if switch.where == "footswitch" and not condition.tremolo:
        return not switch.closed
    return switch.closed


def primary_turns(part: OutputTransformer) -> tuple[tuple[str, str, float], ...]:
    """The primary from terminal to terminal, in the order of the winding, with the share of its turns that lies between them."""
    share = part.screen_tap or 0.0
    if part.topology == "single-ended":
        places = {"P": 0.0, "S": 1.0 - share, "B": 1.0}
    else:
        places = {"P1": 0.0, "S1": 0.5 * (1.0 - share), "CT": 0.5, "S2": 0.5 * (1.0 + share), "P2": 1.0}
    return tuple((a, b, places[b] - places[a]) for a, b in pairwise(part.primary_pins))


def output_transformer(part: OutputTransformer) -> Transformer:
    """The common-flux model of an output transformer: half the leakage in the primary, half in the secondary, referred by turns squared.

    The primary's leakage and resistance lie along its turns, so that a screen tap has its share of both (own assumption).
    """
    henries = part.henries or part.primary_ohms / (2.0 * math.pi * (part.watts_hertz or PRIMARY_HERTZ))
    # passive by construction, but coupled inductors in a deck need a coupling below 1
    leakage = max(part.leakage_henries, 1e-6 * henries)
    coils = [
        Coil(f"{part.ref}.{a}-{b}", part.net(a), part.net(b), turns, max(part.primary_resistance * turns, COIL_OHMS), 0.5 * leakage * turns)
        for a, b, turns in primary_turns(part)
    ]
    low, low_turns, low_ohms = "0", 0.0, 0.0
    for tap in sorted(part.taps, key=lambda t: -t.turns_ratio):
        turns = 1.0 / tap.turns_ratio
        coils.append(
            Coil(
                f"{part.ref}.{low}-{tap.pin}",
                part.net(tap.pin),
                part.net(low),
                turns - low_turns,
                max(tap.resistance - low_ohms, COIL_OHMS),
                0.5 * leakage * (turns**2 - low_turns**2),
            )
        )
        low, low_turns, low_ohms = tap.pin, turns, max(tap.resistance, low_ohms)
    return Transformer(part.ref, henries, tuple(coils))


def interstage_transformer(part: InterstageTransformer) -> Transformer:
    """The same model of a transformer between stages: half the leakage in the primary, half in the secondary by its turns."""
    leakage, half = max(part.leakage_henries, 1e-6 * part.henries), 0.5 * part.ratio
    first = Coil(f"{part.ref}.P-B", part.net("P"), part.net("B"), 1.0, max(part.primary_resistance, COIL_OHMS), 0.5 * leakage)
    halves = [
        Coil(
            f"{part.ref}.{a}-{b}",
            part.net(a),
            part.net(b),
            half,
            max(0.5 * part.secondary_resistance, COIL_OHMS),
            0.25 * leakage * part.ratio**2,
        )
        for a, b in (("S1", "CT"), ("CT", "S2"))
    ]
    return Transformer(part.ref, part.henries, (first, *halves))

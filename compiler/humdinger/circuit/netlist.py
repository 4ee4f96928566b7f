"""The netlist: every part of the amp with its terminals on nets, and the spec line that caused it.

The file is over 500 lines because it is one contract, a class for each kind of part: whoever reads a netlist reads this page and no other.

One amp has one netlist. Everything the manual says is read off it or computed from it. Parts are what a builder
holds in the hand; `analysis` turns them into equations. All values are SI.

Nets are named after what a builder would probe: "B1" (B+ nodes, away from the rectifier), "first.plate", "V1a" is never a net.
Circuit ground is "0". Domains tell what a net belongs to: "signal", "supply", "bias", "heater", "speaker", "ground", "earth", "mains",
"high-tension-ac".
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import field
from functools import cached_property
from typing import Any, TypeVar

from ..diagnostics import Span
from ..parts.model import DiodeType, Region, Section, TubeType
from ..records import record

GROUND = "0"
EARTH = "PE"


@record
class Origin:
    """Why a value is what it is.

    kind: "spec" (written), "include" (house style), "default" (filled in, with the reason), "computed", "library".
    """

    kind: str
    reason: str = ""


@record
class Pin:
    """A terminal of a part and the net it is on.

    Two-terminal parts use "1" and "2" ("+" and "-" when polarised, "a" and "k" for diodes).
    """

    name: str
    net: str


@record(kw_only=True)
class Part:
    """A part.

    `ref` is its reference designator, `path` the spec path it comes from, `stage` the id of the stage that owns it, `role` its job there.
    """

    ref: str
    path: str
    stage: str
    role: str
    span: Span
    pins: tuple[Pin, ...]
    origin: Origin = Origin("spec")
    label: str = ""
    note: str = ""

    def net(self, pin: str) -> str:
        """The net on a terminal. Raises KeyError for a terminal the part does not have."""
        for found in self.pins:
            if found.name == pin:
                return found.net
        raise KeyError(f"{self.ref} has no terminal {pin}")


@record(kw_only=True)
class Resistor(Part):
    """Pins "1", "2". watts and volts_max None when the spec says nothing.

    technology: "film", "wirewound", "flameproof", "fusible", "carbon"; "ntc" for an inrush limiter, with its cold resistance.
    """

    ohms: float
    watts: float | None = None
    volts_max: float | None = None
    tolerance: float | None = None
    technology: str = "film"


@record(kw_only=True)
class Capacitor(Part):
    """Pins "1", "2", or "+", "-" when polarised. technology: "electrolytic", "film", "ceramic", "mica", "class-X2", "class-Y2"."""

    farads: float
    volts: float | None = None
    tolerance: float | None = None
    technology: str = "film"
    ripple_amps: float | None = None

    @property
    def polarised(self) -> bool:
        """Whether it has a plus end."""
        return self.technology == "electrolytic"


@record(kw_only=True)
class Pot(Part):
    """Pins "ccw", "wiper", "cw". position 0..1 is the shaft; the taper law (units.taper) turns it into a track fraction from ccw.

    When used as a rheostat the wiper shares a net with one end. control: the name on the panel. gang: the designator of the track in
    front, when this is the rear track of a pot with two on one shaft.
    """

    ohms: float
    taper: str
    control: str
    position: float = 0.5
    watts: float | None = None
    gang: str = ""


@record(kw_only=True)
class Choke(Part):
    """Pins "1", "2". resistance is its winding."""

    henries: float
    ohms: float
    amps: float | None = None
    insulation_volts: float | None = None


@record(kw_only=True)
class Diode(Part):
    """Pins "a", "k"."""

    type: DiodeType


@record(kw_only=True)
class Tube(Part):
    """One envelope: pins are its pin numbers ("1".."9"). Sections in use are in Netlist.sections. Unconnected pins are not listed."""

    type: TubeType
    heater: str = ""


@record(kw_only=True)
class Tap:
    """A secondary of the output transformer for a speaker impedance. turns: primary (whole) to this tap, ratio > 1."""

    ohms: float
    pin: str
    turns_ratio: float
    resistance: float


@record(kw_only=True)
class OutputTransformer(Part):
    """Pins: single-ended "P", "B"; push-pull "P1", "CT", "P2"; secondary "0" and one per tap ("8" ...). Resistance of the whole primary.

    With screen taps also "S" between "P" and "B", or "S1" and "S2" between the ends and "CT"; pins stand in the order of the winding.
    Dots: "P" or "P1", and every tap against "0": a tap is in phase with P against B, with P1 against P2.
    leakage: whole primary, secondary shorted. insulation, power and lowest hertz as the maker gives them.
    """

    topology: str
    primary_ohms: float
    primary_resistance: float
    henries: float | None
    leakage_henries: float
    taps: tuple[Tap, ...]
    watts: float | None = None
    watts_hertz: float | None = None
    gap_amps: float | None = None
    insulation_volts: float | None = None
    lead_colours: str = ""
    saturation_volts: float | None = None
    """Primary volts rms at watts_hertz where the core begins to saturate."""
    screen_tap: float | None = None
    """Share of the turns from B+ to the plate at which the screen taps lie; None without such taps."""

    @property
    def primary_pins(self) -> tuple[str, ...]:
        """The primary's terminals in the order of the winding."""
        low = {"0", *(tap.pin for tap in self.taps)}
        return tuple(pin.name for pin in self.pins if pin.name not in low)


@record(kw_only=True)
class InterstageTransformer(Part):
    """Pins: primary "P" (plate), "B"; secondary "S1", "CT", "S2". Dots: "P" and "S1" against the other ends.

    ratio: turns of the whole secondary over those of the primary. Resistances of the whole windings; leakage seen from the primary.
    """

    ratio: float
    henries: float
    leakage_henries: float
    primary_resistance: float
    secondary_resistance: float
    gap_amps: float | None = None
    insulation_volts: float | None = None
    lead_colours: str = ""


@record(kw_only=True)
class Winding:
    """A secondary of the power transformer. kind: "high-tension", "heater", "bias". volts: rms at rated amps, one half when centre-tapped.

    basis: "rms", "dc-capacitor-input", "dc-choke-input" (what the maker's amps mean). no_load_volts: rms, one half; None: computed from
    resistance. resistance: of each half (one entry when not centre-tapped; none when unknown). pins: end, centre tap, end ("" where there
    is none). feeds: "all", "rectifier" ... A bridge uses the whole of a tapped winding: it is then counted as not centre-tapped, with the
    volts and the resistance of the whole, and the middle of `pins` still names the tap.
    """

    name: str
    kind: str
    volts: float
    amps: float
    basis: str
    resistance: tuple[float, ...]
    no_load_volts: float | None
    centre_tapped: bool
    pins: tuple[str, str, str]
    feeds: tuple[str, ...]
    span: Span


@record(kw_only=True)
class PowerTransformer(Part):
    """Primary pins "L", "N" (the tap the region picked); secondaries in `windings`. primary_resistance is that of the picked tap."""

    primary_volts: float
    primary_hertz: tuple[float, ...]
    primary_resistance: float
    windings: tuple[Winding, ...]
    insulation_volts: float | None = None
    screen: bool = False
    watts: float | None = None
    lead_colours: str = ""

    def winding(self, name: str) -> Winding:
        """The winding of that name. Raises KeyError."""
        for found in self.windings:
            if found.name == name:
                return found
        raise KeyError(name)


@record(kw_only=True)
class Fuse(Part):
    """Pins "1", "2". characteristic: IEC 60127 letter T, F ...; breaking: "H", "L", "E" or "".

    where: "mains", "high-tension", "heater", or "thermal" (in the primary; characteristic "thermal", amps at least the mains fuse's).
    """

    amps: float
    characteristic: str
    breaking: str
    volts: float | None
    where: str
    holder: str = ""


@record(kw_only=True)
class Switch(Part):
    """Pins in pairs "1a","1b" per pole. closed: whether it conducts in the state that plays. where: "mains", "standby", "footswitch"."""

    poles: int
    where: str
    closed: bool = True
    volts: float | None = None
    amps: float | None = None
    dc_volts: float | None = None


@record(kw_only=True)
class Jack(Part):
    """Pins "tip", "sleeve", and "tip-switch" when it has a contact that opens on insertion.

    purpose: "input", "send", "return", "speaker", "line-out", "footswitch".
    """

    purpose: str
    switched: bool
    insulated: bool = True


@record(kw_only=True)
class Inlet(Part):
    """Pins "L", "N", "PE". kind: "iec-c14" or "captive-cord"; cord_cores 3 or 2."""

    kind: str
    cord_cores: int
    volts: float | None = None
    amps: float | None = None
    strain_relief: bool | None = None


@record(kw_only=True)
class Stud(Part):
    """The protective-earth stud on the chassis: pin "PE". dedicated: nothing else is fixed by it."""

    thread: str
    dedicated: bool | None = None


@record(kw_only=True)
class Bond(Part):
    """The one conductor from circuit ground to the earth stud: pins "1" (circuit ground), "2" (PE). kind: "direct" or "loop-breaker"."""

    kind: str
    area_mm2: float | None = None
    ohms_measured: float | None = None


@record(kw_only=True)
class Lamp(Part):
    """Pins "1", "2". kind: "filament", "neon", "led"."""

    kind: str
    volts: float
    amps: float


@record(kw_only=True)
class Coupler(Part):
    """A diode that gives light and a photoresistor that sees it, in one case: pins "a", "k" (the diode), "1", "2" (the cell).

    dark_ohms: at the least, no light. bright_ohms: at bright_amps through the diode. gamma: how fast the ohms fall with the current
    (analysis/devices/photocell). light_volts at bright_amps, light_amps at the most; cell_volts and watts the cell's ratings.
    rise_seconds, fall_seconds: how slowly it brightens and darkens; no number takes them in.
    """

    dark_ohms: float
    bright_ohms: float
    bright_amps: float
    gamma: float
    light_volts: float
    light_amps: float | None = None
    cell_volts: float | None = None
    watts: float | None = None
    rise_seconds: float | None = None
    fall_seconds: float | None = None


@record(kw_only=True)
class Speaker(Part):
    """Pins "+", "-". ohms is the nominal impedance, resistance the voice coil's DC resistance."""

    ohms: float
    resistance: float | None
    watts: float | None
    sensitivity_db: float | None = None
    fixed: bool = False


@record
class TubeSection:
    """A section of a tube in the circuit, named "V1a". Nets of its electrodes ("" where it has none). unused: parked by the house rule."""

    ref: str
    tube: str
    stage: str
    section: Section
    plate: str
    grid: str
    cathode: str
    screen: str = ""
    suppressor: str = ""
    unused: bool = False


@record
class Rectifier:
    """A rectifier as a whole, for the averaged law and for its rules.

    arrangement: "full-wave" (centre-tapped), "bridge", "hybrid-bridge" (a tube's plates and two silicon diodes), "doubler" or "half-wave".
    plus/minus: nets of the DC terminals; middle: of a doubler, between its two reservoirs, where the winding's end b is. transformer: its
    designator;
    winding: the winding's name. devices: the refs of diodes or of the tube, per leg in series. For silicon, `diodes_in_series` per leg.
    kind: "silicon" or "tube". reservoir: ref of the capacitor it charges ("" when choke input). extra_ohms: series resistors in the way of
    the current of one conducting path.
    """

    id: str
    kind: str
    arrangement: str
    plus: str
    minus: str
    transformer: str
    winding: str
    devices: tuple[str, ...]
    diodes_in_series: int
    reservoir: str
    extra_ohms: float
    span: Span
    middle: str = ""


@record
class Net:
    """A net. label: what a builder reads.

    open: why it ends in the air ("unused tap: insulate its end"), "" for one that joins something.
    """

    name: str
    domain: str
    label: str = ""
    open: str = ""


@record
class StageInstance:
    """One stage as elaborated.

    ports: e.g. {"in": net, "out": net}. parts: role -> ref (roles are unique within a stage). Drawing order is list order.
    """

    id: str
    kind: str
    span: Span
    ports: Mapping[str, str]
    parts: Mapping[str, str]
    title: str = ""
    section: str = ""
    """Which drawing section it belongs to: "preamp", "inverter", "output", "tremolo", "supply", "heaters", "mains"."""
    facts: Mapping[str, object] = field(default_factory=dict)


@record
class Control:
    """A control on the panel. ref: the pot or switch it moves; position: the default shaft position 0..1."""

    name: str
    ref: str
    position: float


LEVELS = ("volume", "master-volume")
"""Stage kinds whose pot turns the signal down to nothing."""


@record
class Default:
    """A value the compiler filled in, for `show`: spec path, text as one would have written it, and the reason."""

    path: str
    text: str
    reason: str


WHOLE_WINDING = frozenset({"bridge", "hybrid-bridge", "doubler"})
"""Arrangements of a rectifier that use a winding from end to end; a tap it may have is insulated."""

P = TypeVar("P", bound=Part)


@record(slots=False)
class Netlist:
    """The elaborated amp. `parts` are in designator order; `sections` in signal order."""

    name: str
    region: Region
    mains_hertz: float
    parts: tuple[Part, ...]
    sections: tuple[TubeSection, ...]
    rectifiers: tuple[Rectifier, ...]
    nets: Mapping[str, Net]
    stages: tuple[StageInstance, ...]
    controls: tuple[Control, ...]
    defaults: tuple[Default, ...]
    input_net: str
    output_net: str
    bias_scheme: str
    """"cathode" or "fixed"."""
    power_sections: tuple[str, ...]
    b_plus: tuple[str, ...]
    """B+ nodes in order away from the rectifier."""
    places: Mapping[str, str] = field(default_factory=dict)
    """Place (a spec path with names for list positions) -> designator, of every part that the compiler numbers; for the lock file."""

    @cached_property
    def by_ref(self) -> Mapping[str, Part]:
        """Designator -> part."""
        return {p.ref: p for p in self.parts}

    @cached_property
    def by_section(self) -> Mapping[str, TubeSection]:
        """ "V1a" -> section."""
        return {s.ref: s for s in self.sections}

    @cached_property
    def on_net(self) -> Mapping[str, tuple[tuple[Part, str], ...]]:
        """Net -> (part, terminal) in designator order."""
        found: dict[str, list[tuple[Part, str]]] = {}
        for part in self.parts:
            for pin in part.pins:
                found.setdefault(pin.net, []).append((part, pin.name))
        return {net: tuple(rows) for net, rows in found.items()}

    @cached_property
    def _by_kind(self) -> dict[type, tuple[Part, ...]]:
        return {}

    def of(self, kind: type[P]) -> Iterator[P]:
        """The parts of one class, in designator order."""
        found: Any = self._by_kind.get(kind)
        if found is None:
            found = self._by_kind[kind] = tuple(p for p in self.parts if isinstance(p, kind))
        return iter(found)

    def stage(self, id: str) -> StageInstance:
        """The stage with that id. Raises KeyError."""
        for found in self.stages:
            if found.id == id:
                return found
        raise KeyError(id)

    def stages_of(self, kind: str) -> tuple[StageInstance, ...]:
        """The stages of one kind, in order."""
        return tuple(s for s in self.stages if s.kind == kind)

"""The parts library as typed data: numbers with their sources, no equations.

SI units throughout: volts, amps, ohms, watts, farads, siemens; millimetres only where the name says `_mm`.
A missing number is None: a rule that needs it says "not evaluated".
"""

from __future__ import annotations

from collections.abc import Mapping

from ..records import record


@record
class Cited:
    """A number and where it was read. Source tags: see parts/data/sources.yaml; "memory" says so."""

    value: float
    source: str

    def __float__(self) -> float:
        return self.value


@record
class RatingSet:
    """Limits of one tube section in one rating system; never mixed with those of another system.

    system: "design-centre", "design-max" or "absolute". Plate and screen volts are to the cathode.
    variant: the version of the type that alone has these limits ("6SN7GTB", "6V6GTA", "earlier sheets"); empty for the type itself.
    total_watts: plate and screen together. both_plates_watts: of a twin's two sections. plate_max_signal_watts: at full drive.
    heater_cathode_*: peak volts; `cathode_positive` when the cathode is positive to the heater, `heater_positive` the other sign,
    `heater_positive_dc` the DC part of the latter.
    """

    system: str
    plate_volts: Cited | None = None
    plate_cutoff_volts: Cited | None = None
    screen_volts: Cited | None = None
    screen_cutoff_volts: Cited | None = None
    plate_watts: Cited | None = None
    screen_watts: Cited | None = None
    screen_peak_watts: Cited | None = None
    cathode_amps: Cited | None = None
    heater_cathode_positive_volts: Cited | None = None
    heater_positive_volts: Cited | None = None
    heater_positive_dc_volts: Cited | None = None
    grid_leak_fixed_ohms: Cited | None = None
    grid_leak_cathode_ohms: Cited | None = None
    grid_leak_note: str = ""
    grid_leak_derate_watts: Cited | None = None
    """Above this much plate and screen dissipation together the two derated figures below hold instead."""
    grid_leak_fixed_derated_ohms: Cited | None = None
    grid_leak_cathode_derated_ohms: Cited | None = None
    total_watts: Cited | None = None
    both_plates_watts: Cited | None = None
    plate_max_signal_watts: Cited | None = None
    variant: str = ""
    note: str = ""


@record
class RectifierRatings:
    """Limits of a rectifier tube, per plate where it matters. Tables map plate volts rms to the limit."""

    peak_inverse_volts: Cited | None = None
    peak_plate_amps: Cited | None = None
    dc_amps: Cited | None = None
    dc_amps_by_volts: Mapping[float, float] | None = None
    plate_volts_rms: Cited | None = None
    first_capacitor_farads: Cited | None = None
    source_ohms: Cited | None = None
    source_ohms_by_volts: Mapping[float, float] | None = None
    heater_cathode_volts: Cited | None = None
    source: str = ""
    """Source of the tables, unless `table_sources` names another for one of them."""
    plate_volts_rms_choke: Cited | None = None
    """Limit with a choke-input filter; plate_volts_rms is with a capacitor."""
    table_sources: Mapping[str, str] | None = None


@record
class TubeModel:
    """Parameters of a device law (analysis/devices holds the laws themselves).

    law: "triode" (mu, ex, kg1, kp, kvb, vct), "pentode" (mu, ex, kg1, kg2, kp, kvb, beta, slope, slope_volts) or "rectifier" (perveance).
    Amps, volts. `source` says which fit; `verdict` how good it is.
    """

    law: str
    parameters: Mapping[str, float]
    source: str
    verdict: str = ""
    estimated: tuple[str, ...] = ()
    """Parameters that are own estimates, because no published point settles them."""


@record
class OperatingPoint:
    """A published typical condition, with its source. Currents are for `tubes` tubes together."""

    kind: str
    source: str
    tubes: int = 1
    values: Mapping[str, float] | None = None
    """Keys: plate_volts, screen_volts, grid_volts, cathode_ohms, plate_amps, plate_amps_max_signal, screen_amps, screen_amps_max_signal,
    transconductance, plate_ohms, mu, mu_screen, load_ohms, load_plate_to_plate_ohms, output_watts, distortion_percent, supply_volts ...
    All are in parts/reader.py (POINT_KEYS)."""
    sources: Mapping[str, str] | None = None
    """Key -> source of that number; `source` is what most of them have."""
    note: str = ""


@record
class Section:
    """One electrode system of a tube. name: "a"/"b" of a twin (a = lowest pin numbers), "t"/"p" of a triode-pentode, "" of a single tube.

    kind: "triode", "pentode" or "rectifier". pins: electrode -> pin numbers; electrodes are plate, grid, cathode, screen, suppressor,
    plate1, plate2 (rectifier). A cathode pin that also carries the suppressor or beam plates is listed under both.
    """

    name: str
    kind: str
    pins: Mapping[str, tuple[int, ...]]
    model: TubeModel | None
    ratings: tuple[RatingSet, ...] = ()
    rectifier: RectifierRatings | None = None
    grid_plate_farads: Cited | None = None
    input_farads: Cited | None = None
    output_farads: Cited | None = None
    points: tuple[OperatingPoint, ...] = ()

    def rating(self, system: str = "") -> RatingSet | None:
        """The named rating set; without a name, the design-centre one if there is one, else design-max, else absolute.

        The sets of a variant (6SN7GTB, "earlier sheets") are passed over unless no other has the system asked for.
        """
        plain = sorted(self.ratings, key=lambda r: bool(r.variant))
        if system:
            return next((r for r in plain if r.system == system), None)
        order = ("design-centre", "design-max", "absolute")
        return min(plain, key=lambda r: (bool(r.variant), order.index(r.system)), default=None)


@record
class HeaterConnection:
    """One legal way to feed the heater: volts across, amps, and which pins join on each side. centre_tap_pins may be empty."""

    volts: float
    amps: float
    side_a_pins: tuple[int, ...]
    side_b_pins: tuple[int, ...]
    name: str
    source: str
    centre_tap_pins: tuple[int, ...] = ()


@record
class Envelope:
    """Bulb size in millimetres."""

    diameter_mm: Cited | None = None
    seated_mm: Cited | None = None
    overall_mm: Cited | None = None
    bulb: str = ""
    note: str = ""


@record
class Base:
    """A socket: pin count, pin circle, hole and fixing centres in millimetres; numbering is clockwise from the wiring side.

    hole_largest_mm: where holders differ (skirted, shielded), the largest hole in use.
    """

    name: str
    pins: int
    pin_circle_mm: Cited
    pin_spacing_degrees: float
    hole_mm: Cited
    fixing_centres_mm: Cited
    pin_diameter_mm: Cited | None = None
    hole_largest_mm: Cited | None = None
    note: str = ""


@record
class TubeType:
    """A tube type. kind: "twin triode", "power pentode", "beam tetrode", "small pentode", "triode-pentode", "rectifier".

    warm_up: "indirect" or "direct" (rectifiers and their B+ rise). internal_pins (IC) must stay free; unconnected_pins (NC) are free or
    missing; shield_pins are an internal shield or a metal base sleeve (see `note` where it goes); absent pins are in no list.
    cathode_is_heater: the B+ is taken from a heater pin (GZ34, 5Y3GT).
    """

    name: str
    kind: str
    aliases: tuple[str, ...]
    base: Base
    eia_base: str
    heaters: tuple[HeaterConnection, ...]
    sections: tuple[Section, ...]
    envelope: Envelope
    warm_up: str = "indirect"
    cathode_is_heater: bool = False
    internal_pins: tuple[int, ...] = ()
    unconnected_pins: tuple[int, ...] = ()
    note: str = ""
    shield_pins: tuple[int, ...] = ()
    pins_source: str = ""
    """Where the pin numbers were read."""
    user: bool = False
    """From a file of the builder's own, not from the built-in library."""

    def section(self, name: str) -> Section | None:
        """The section of that name, or None."""
        return next((s for s in self.sections if s.name == name), None)

    @property
    def is_power(self) -> bool:
        """Whether it can be an output tube."""
        return self.kind in ("power pentode", "beam tetrode", "triode-pentode")

    @property
    def is_rectifier(self) -> bool:
        """Whether it rectifies."""
        return self.kind == "rectifier"


@record
class DiodeType:
    """A silicon diode: law i = is*(exp(v/(n*Vt))-1), ratings with sources."""

    name: str
    saturation_amps: Cited
    emission: Cited
    repetitive_reverse_volts: Cited
    average_amps: Cited
    surge_amps: Cited
    user: bool = False


@record
class Region:
    """What a mains region sets. Volts rms; `hertz` is empty where the spec must say (jp)."""

    code: str
    name: str
    nominal_volts: Cited
    low_volts: Cited
    high_volts: Cited
    insulation_high_volts: Cited
    hertz: Cited | None
    line_colour: str
    neutral_colour: str
    earth_colours: tuple[str, ...]
    colour_source: str
    plug: str
    paper: str
    emergency_number: str
    wiring_rules: str
    deferral: str
    notes: tuple[str, ...] = ()
    plug_fuse_amps: Cited | None = None
    """Fuse in the plug up to plug_fuse_watts, None where plugs have no fuse."""
    plug_fuse_watts: Cited | None = None
    plug_fuse_high_amps: Cited | None = None
    work_rules: str = ""
    """The rules for work on live parts and for the test of a repaired appliance, by name."""
    test_bond_ohms: Cited | None = None
    """Protective earth at such a test, apart from the lead; None where nobody looked it up."""
    test_insulation_ohms: Cited | None = None

"""What the analysis found: frozen numbers, keyed by designators, section names and net names; SI units.

Results carry ids, never spans: spans live in the netlist. Every result says for which condition it was computed and how it converged.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

CONDITIONS = ("nominal", "high", "low", "no-tubes", "no-tubes-high", "small-tubes")
"""nominal/high/low: all tubes, mains at the region's nominal, high and low; no-tubes(-high): every tube out but the rectifier, mains
nominal (at the insulation corner, for capacitors); small-tubes: output tubes out."""


@dataclass(frozen=True, slots=True)
class Condition:
    """What was assumed. tubes: "all", "none" (a rectifier tube stays in), "small" (output tubes out)."""

    name: str
    mains_volts: float
    tubes: str
    controls: Mapping[str, float]
    tremolo: bool = False


@dataclass(frozen=True, slots=True)
class Convergence:
    """How the solve went. residual: worst Kirchhoff sum in amps. trouble: nets named when it failed."""

    converged: bool
    iterations: int
    residual_amps: float
    fallback: bool = False
    trouble: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class SectionPoint:
    """Operating point of one tube section. Volts are to the section's own cathode; watts are dissipation at no signal."""

    plate_volts: float
    grid_volts: float
    screen_volts: float | None
    cathode_to_ground_volts: float
    plate_amps: float
    grid_amps: float
    screen_amps: float | None
    cathode_amps: float
    plate_watts: float
    screen_watts: float | None
    transconductance: float
    plate_ohms: float
    mu: float
    heater_to_cathode_volts: float | None
    """Positive: heater positive to cathode."""


@dataclass(frozen=True, slots=True)
class Stress:
    """Volts across (signed: first pin to second pin, pot ends ccw to cw), amps through (rms where AC counts), watts in a part, at no signal."""

    volts: float
    amps: float
    watts: float


@dataclass(frozen=True, slots=True)
class RectifierPoint:
    """A rectifier under load. winding amps rms are of each half (full-wave) or of the whole winding (bridge)."""

    dc_volts: float
    dc_amps: float
    emf_peak_volts: float
    source_ohms: float
    winding_rms_amps: float
    form_factor: float
    """winding rms amps over DC amps."""
    peak_amps: float
    ripple_volts_pp: float
    inverse_peak_volts: float
    inverse_peak_unloaded_volts: float
    device_drop_volts: float


@dataclass(frozen=True, slots=True)
class Operating:
    """The DC solution of one condition."""

    condition: Condition
    volts: Mapping[str, float]
    sections: Mapping[str, SectionPoint]
    parts: Mapping[str, Stress]
    rectifiers: Mapping[str, RectifierPoint]
    ripple_volts_pp: Mapping[str, float]
    """B+ node -> ripple estimate peak to peak, through the RC and choke sections."""
    convergence: Convergence


@dataclass(frozen=True, slots=True)
class WindingBudget:
    """Load on one transformer winding. `dc_amps` for HT windings; percent is of the rating in the rating's own basis."""

    transformer: str
    winding: str
    volts: float
    rated_amps: float
    basis: str
    rms_amps: float
    dc_amps: float | None
    form_factor: float | None
    percent: float | None
    volt_amps: float
    consumers: tuple[tuple[str, float], ...]


@dataclass(frozen=True, slots=True)
class HeaterBudget:
    """Heater volts at one winding in one condition: rated, at the load, percent of nominal per condition name."""

    winding: str
    nominal_volts: float
    load_amps: float
    rated_amps: float
    volts: Mapping[str, float]
    regulation_known: bool
    consumers: tuple[tuple[str, float], ...] = ()


@dataclass(frozen=True, slots=True)
class MainsBudget:
    """Primary load at nominal mains. heat_watts: everything that ends as heat in the cabinet."""

    volt_amps: float
    watts: float
    primary_rms_amps: float
    high_tension_watts: float
    heater_watts: float


@dataclass(frozen=True, slots=True)
class Discharge:
    """Discharge of one capacitor node after switch-off with all tubes cold: joules at the cold corner, seconds to 60 V along resistive paths.

    seconds is None when no resistive path takes it below 60 V. paths: the refs that discharge it.
    fixed_path: whether a resistor stands right across the capacitor, no switch, fuse or choke between.
    seconds_alone: with every fuse, switch and standby open.
    """

    net: str
    capacitors: tuple[str, ...]
    farads: float
    start_volts: float
    joules: float
    seconds: float | None
    seconds_alone: float | None
    fixed_path: bool
    paths: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class StageGain:
    """Small-signal gain of a stage at 1 kHz, from its input net to its output net, as loaded in the amp."""

    stage: str
    from_net: str
    to_net: str
    gain: float
    gain_db: float
    phase_degrees: float


@dataclass(frozen=True, slots=True)
class Response:
    """Transfer from the input jack to a net: complex values at `hertz` (rms out per volt rms in)."""

    net: str
    hertz: tuple[float, ...]
    real: tuple[float, ...]
    imag: tuple[float, ...]
    controls: Mapping[str, float]


@dataclass(frozen=True, slots=True)
class OscillatorPoint:
    """The oscillator at one shaft position of its speed control. margin: gain available (tube aged to 0.7 gm) over gain required. hertz: where the loop's phase is 0."""

    position: float
    hertz: float
    gain_required: float
    gain_available: float
    gain_available_aged: float
    margin: float
    starts: bool
    """By the pole test: a right-half-plane pair."""


@dataclass(frozen=True, slots=True)
class Tremolo:
    """Start margin and rate over the speed pot; what the injection path loses; grid volts needed and available."""

    points: tuple[OscillatorPoint, ...]
    slow_hertz: float
    fast_hertz: float
    injection: str
    injection_loss_db: float | None
    retained: Mapping[str, float]
    """Power section -> share of the low-frequency grid drive left by its cathode resistor at the slowest rate (1 for fixed bias)."""
    available_peak_volts: float | None
    needed_peak_volts: float | None


@dataclass(frozen=True, slots=True)
class GridPath:
    """DC resistance from a grid to its return: own part, the part shared by n grids, and the effective sum own + n * shared. ends_at: net."""

    section: str
    own_ohms: float
    shared_ohms: float
    sharers: int
    effective_ohms: float
    ends_at: str


@dataclass(frozen=True, slots=True)
class BiasRange:
    """Fixed bias: volts at the grids with the adjustment at each end, and with the wiper open."""

    coldest_volts: float
    hottest_volts: float
    wiper_open_volts: float
    idle_percent_cold: Mapping[str, float]
    idle_percent_hot: Mapping[str, float]


@dataclass(frozen=True, slots=True)
class Results:
    """Everything the analysis computes for one netlist."""

    operating: Mapping[str, Operating]
    windings: tuple[WindingBudget, ...]
    heaters: tuple[HeaterBudget, ...]
    mains: MainsBudget
    discharges: tuple[Discharge, ...]
    gains: tuple[StageGain, ...]
    responses: tuple[Response, ...]
    poles: tuple[complex, ...]
    tremolo: Tremolo | None
    grid_paths: tuple[GridPath, ...]
    bias_range: BiasRange | None
    input_low_pass_hertz: float | None

    @property
    def nominal(self) -> Operating:
        """The nominal condition."""
        return self.operating["nominal"]

"""What the analysis found: frozen numbers, keyed by designators, section names and net names; SI units.

Results carry ids, never spans: spans live in the netlist. Every result says for which condition it was computed and how it converged.
The file is over 500 lines because it is one contract: whoever reads results reads this page and no other.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import field
from itertools import pairwise

from ..records import record

CONDITIONS = ("nominal", "high", "low", "no-tubes", "no-tubes-high", "small-tubes")
"""nominal/high/low: all tubes, mains at the region's nominal, high and low; no-tubes(-high): every tube out but the rectifier, mains
nominal (at the insulation corner, for capacitors); small-tubes: output tubes out."""


@record
class Condition:
    """What was assumed. tubes: "all", "none" (a rectifier tube stays in), "small" (output tubes out)."""

    name: str
    mains_volts: float
    tubes: str
    controls: Mapping[str, float]
    tremolo: bool = False


@record
class Convergence:
    """How the solve went. residual: worst Kirchhoff sum in amps. trouble: nets named when it failed."""

    converged: bool
    iterations: int
    residual_amps: float
    fallback: bool = False
    trouble: tuple[str, ...] = ()


@record
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


@record
class Stress:
    """Volts across (signed: first pin to second pin, pot ends ccw to cw), amps through (rms where AC counts), watts, at no signal."""

    volts: float
    amps: float
    watts: float


@record
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
    no_load_volts_rms: float = 0.0
    """Of one half of a centre-tapped winding, or of the whole winding, nothing connected, at this condition's mains."""
    averaging_volts: float = 0.0
    """By how much dc_volts reads high (an estimate, within a fifth): the averaged law takes the reservoir as constant over a cycle."""
    winding_volts_rms: float = 0.0
    """At the winding's ends under this load; of one half of a centre-tapped winding, or of the whole winding."""
    charging_rms_amps: float = 0.0
    """rms amps of all legs together: in the centre tap's lead, and between rectifier and reservoir."""


@record
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


@record
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
    full_drive_rms_amps: float | None = None
    """Of a high-tension winding at full sine drive, `form_factor` as at idle (it falls a little with the load); None where unknown."""
    full_drive_percent: float | None = None

    @property
    def full_drive_volt_amps(self) -> float:
        """Volt-amps at full sine drive; those of idle where full drive changes nothing here or is not known."""
        if self.full_drive_rms_amps is None or self.rms_amps <= 0.0:
            return self.volt_amps
        return self.volt_amps * self.full_drive_rms_amps / self.rms_amps


@record
class HeatersInSeries:
    """Two heaters in series across a winding, by designator: rated amps, volts each gets at nominal mains, volts each is made for.

    apart: the larger of the two amps over the smaller, less 1.
    """

    tubes: tuple[str, str]
    amps: Mapping[str, float]
    volts: Mapping[str, float]
    rated_volts: Mapping[str, float]
    apart: float


@record
class HeaterBudget:
    """Load of a heater winding with all tubes in, and volts at the pins per condition (rms; the wires' own drop is not in them).

    regulation_known: the winding's no-load volts or resistance are given; without them `volts` is the rated figure, scaled by the mains.
    consumers: (ref, amps); tubes, lamps, and the resistors of the heater reference.
    """

    winding: str
    nominal_volts: float
    load_amps: float
    rated_amps: float
    volts: Mapping[str, float]
    regulation_known: bool
    consumers: tuple[tuple[str, float], ...] = ()
    tube_volts: float | None = None
    """What the heaters on it are made for: of several kinds the one farthest from the winding's own volts. None without a tube."""
    series: tuple[HeatersInSeries, ...] = ()

    @property
    def fed(self) -> tuple[str, ...]:
        """Designators of everything that takes current, one by one: of a row "V4 + V5" both."""
        return tuple(ref for names, _ in self.consumers for ref in names.split(" + "))


@record
class HeaterCathode:
    """Heater to cathode of one section, every section on every winding, rectifiers included. Signed: positive is heater positive.

    volts: DC per condition with its tube in. volts_cold_start: rectifier hot, every cathode cold, mains at the insulation corner.
    signal_peak_volts: how far the cathode swings either way at full drive of the output grids (0 when it is bypassed).
    tied: the cathode is the heater, or is joined to it.
    """

    section: str
    tube: str
    winding: str
    volts: Mapping[str, float]
    volts_cold_start: float
    signal_peak_volts: float
    tied: bool = False

    @property
    def heater_positive_volts(self) -> float:
        """Worst volts with the heater positive, signal included; 0 when the heater never is."""
        return max(0.0, self.volts_cold_start, *(v + self.signal_peak_volts for v in self.volts.values()))

    @property
    def cathode_positive_volts(self) -> float:
        """Worst volts with the cathode positive, signal included; 0 when the cathode never is."""
        return max(0.0, -self.volts_cold_start, *(self.signal_peak_volts - v for v in self.volts.values()))


@record
class FuseLoad:
    """rms amps in an HT fuse: idle, by mains corner; at full drive (None where unknown); with an output tube shorted, by cathode resistor.

    The last two from the direct amps by the form factor of idle.
    """

    fuse: str
    idle_rms_amps: Mapping[str, float]
    full_drive_rms_amps: float | None
    shorted_rms_amps: Mapping[str, float]


@record
class MainsBudget:
    """Primary load at nominal mains. watts: everything that ends as heat in the cabinet, losses of the transformer included."""

    volt_amps: float
    watts: float
    primary_rms_amps: float
    high_tension_watts: float
    heater_watts: float
    loss_watts: float = 0.0
    full_drive_rms_amps: float | None = None
    """Primary current at full sine drive; None where the output stage's is unknown."""


@record
class Discharge:
    """Discharge of one capacitor node after switch-off with all tubes cold: joules at the cold corner, seconds to 60 V by resistance.

    seconds is None when no resistive path takes it below 60 V. paths: the refs that discharge it.
    fixed_path: whether a resistor stands right across the capacitor, no switch, fuse or choke between.
    seconds_alone: with every fuse, switch and standby open; `opened` says which those are.
    net, minus: the capacitor's two nets. kind: "supply", "bias" or "signal" (coupling and tone capacitors).
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
    minus: str = "0"
    kind: str = "supply"
    opened: tuple[str, ...] = ()


@record
class PartStress:
    """The worst a resistor, pot or capacitor sees over all conditions, at no signal. Volts and watts are magnitudes.

    Watts of resistors on a heater winding are those of its AC. cold_volts: with every tube cold, mains at the insulation corner.
    fault_volts: of a cathode bypass capacitor, with its tube shorted from plate to cathode; None for other parts.
    signal_watts: of a sine at 1 kHz that drives the output grids by their bias, on top of worst_watts (by proportion; not for what clips).
    """

    ref: str
    worst_watts: float
    watts_condition: str
    worst_volts: float
    volts_condition: str
    cold_volts: float
    fault_volts: float | None = None
    signal_watts: float = 0.0


@record
class TrackLoad:
    """The worst a pot's track takes: amps of its busier part, and the watts of those amps through the whole track.

    A maker rates the whole track; where the current runs through a part of it, that part may have no more than its share.
    """

    ref: str
    amps: float
    watts: float
    condition: str


@record
class CopperLoss:
    """Share of the output stage's power that heats the output transformer's windings, on the tap in use: of each side, and of both."""

    ref: str
    primary_share: float
    secondary_share: float

    @property
    def share(self) -> float:
        """Of both sides."""
        return self.primary_share + self.secondary_share


@record
class CouplingLeak:
    """What a coupling capacitor leaks when it is sound, nominal: amps, and by how many volts that lifts the grid behind it.

    bias_volts: grid to cathode of the section it lifts, None where no section hangs on it. ohms: from there to the grid's return.
    """

    capacitor: str
    amps: float
    ohms: float
    shift_volts: float
    section: str = ""
    bias_volts: float | None = None


@record
class StageGain:
    """Small-signal gain of a stage at 1 kHz, from its input net to its output net, as loaded in the amp."""

    stage: str
    from_net: str
    to_net: str
    gain: float
    gain_db: float
    phase_degrees: float


@record
class Response:
    """Transfer from the input jack to a net: complex values at `hertz` (rms out per volt rms in)."""

    net: str
    hertz: tuple[float, ...]
    real: tuple[float, ...]
    imag: tuple[float, ...]
    controls: Mapping[str, float]

    def decibels_at(self, hertz: float) -> float:
        """Size at a frequency, straight between the points on logarithmic scales; at the ends' own size beyond them."""
        sizes = [20.0 * math.log10(max(math.hypot(a, b), 1e-12)) for a, b in zip(self.real, self.imag, strict=True)]
        for (low, before), (high, after) in pairwise(zip(self.hertz, sizes, strict=True)):
            if low <= hertz <= high:
                return before + (after - before) * math.log(hertz / low) / math.log(high / low)
        return sizes[0] if hertz < self.hertz[0] else sizes[-1]


@record
class OscillatorPoint:
    """The oscillator at one shaft position of its speed control.

    Gains are of the unloaded stage, mu Ra/(rp + Ra); gain_required is what the aged tube needs in this network, its own rp included.
    margin: gain available (tube aged to 0.7 gm) over gain required. hertz: where the loop's phase is 0, the tube new.
    pole: of the amp closest to that frequency (rad/s), as built; `starts` says that it lies in the right half plane.
    """

    position: float
    hertz: float
    gain_required: float
    gain_available: float
    gain_available_aged: float
    margin: float
    starts: bool
    """By the pole test: a right-half-plane pair."""
    pole: complex = 0j


@record
class Excursion:
    """What the running tremolo does to one tube at full intensity, slowest rate: its grid against its cathode.

    cut_off_share: share of one turn of the wave in which the plate current is below 1 % of idle.
    """

    section: str
    lowest_grid_volts: float
    highest_grid_volts: float
    cut_off_share: float


@record
class CellSwing:
    """An optical cell while the tremolo runs: ohms at rest (tremolo off), at the brightest and the darkest moment; amps of its diode.

    dc_volts: across the cell with no signal. The cell is taken to follow at once.
    """

    ref: str
    rest_ohms: float
    bright_ohms: float
    dark_ohms: float
    rest_amps: float
    most_amps: float
    dc_volts: float


@record
class RunningTremolo:
    """The amp while the tremolo runs, intensity full, slowest rate, by harmonic balance (analysis/slow_wave).

    Gains: volts at the speaker per volt at the input, at 1 kHz. depth: (loudest - softest)/(loudest + softest); depth_db: from softest to
    loudest, 60 at the most. idle_output_peak_volts: of the slow wave at the speaker, no signal. excursions: the tubes the tremolo moves,
    then the output tubes. follower_peak_volts: swing of the injection's follower at its cathode. cell: what is lit, if the tremolo
    goes in as light.
    """

    loudest_gain: float
    softest_gain: float
    depth: float
    depth_db: float
    idle_output_peak_volts: float
    excursions: tuple[Excursion, ...]
    follower_peak_volts: float | None = None
    cell: CellSwing | None = None


@record
class Tremolo:
    """Start margin and rate over the speed pot; what the injection path loses; grid volts needed and available.

    Rates are where the loop's phase is 0, which is where an oscillation that just holds itself runs; with a margin of 2 or 3 it runs 5 to
    15 % slower, because the tube cuts off and its grid conducts (seen on circuits stepped through time).
    """

    points: tuple[OscillatorPoint, ...]
    slow_hertz: float
    fast_hertz: float
    injection: str
    injection_loss_db: float | None
    retained: Mapping[str, float]
    """Power section -> share of the low-frequency grid drive left by its cathode resistor at the slowest rate (1 for fixed bias)."""
    available_peak_volts: float | None
    needed_peak_volts: float | None
    """Peak at an output grid that moves the transconductance by 6 dB from crest to crest."""
    retained_siemens: Mapping[str, float] = field(default_factory=dict)
    """Power section -> transconductance of plate and screen of all tubes on its cathode resistor, as `retained` takes it."""
    retained_solved: Mapping[str, float] = field(default_factory=dict)
    """The same share read off the solved network."""
    plate_peak_volts: float | None = None
    """Estimated swing of the oscillator's plate at the slowest rate."""
    start_seconds: float | None = None
    """Slowest build-up from 1 mV to the plate swing, by the growth rate of the pole pair."""
    speed_control: str = ""
    worst_margin: float | None = None
    """Least margin over the pot with every ladder part and the pot at the worst end of its tolerance, heaters at 90 %, the tube aged."""
    worst_position: float | None = None
    """Shaft position where that is."""
    set_hertz: float | None = None
    """Rate at the shaft position the speed control stands at."""
    plate_load_ohms: float | None = None
    """Real part of what the oscillator's plate looks into there."""
    cut_off_grid_volts: Mapping[str, float] = field(default_factory=dict)
    """Power section -> grid volts at which its plate current has fallen to 1 % of idle."""
    running: RunningTremolo | None = None
    """For every injection but at the output tubes' grids and their bias: those are judged by what arrives at the grids."""


@record
class GridPath:
    """DC resistance from a grid to its return: own part, part shared by n grids, effective sum own + n * shared. ends_at: net."""

    section: str
    own_ohms: float
    shared_ohms: float
    sharers: int
    effective_ohms: float
    ends_at: str


@record
class BiasRange:
    """Fixed bias: volts at the grids with the adjustment at each end, and with the wiper open.

    most_percent_cold: idle dissipation at the cold end, the largest over sections and mains corners; least_percent_hot: the smallest at
    the hot end. Both None when a corner has no solution.
    """

    coldest_volts: float
    hottest_volts: float
    wiper_open_volts: float
    idle_percent_cold: Mapping[str, float]
    idle_percent_hot: Mapping[str, float]
    most_percent_cold: float | None = None
    least_percent_hot: float | None = None


@record
class BiasSupply:
    """The supply of a fixed bias: how soon it is there, and what happens without it.

    settle_seconds: mean delay from the bias winding to the grids (first moment of the step response). lost_*: its filtered output
    shorted to ground at nominal mains, which an open rectifier amounts to; direct amps of the B+ rectifier, watts per plate, rms amps
    per fuse. None and empty when that has no solution.
    """

    settle_seconds: float | None
    lost_dc_amps: float | None = None
    lost_plate_watts: Mapping[str, float] = field(default_factory=dict)
    lost_fuse_amps: Mapping[str, float] = field(default_factory=dict)


@record
class CathodeBias:
    """A cathode resistor of the output stage at nominal mains, and with one of its tubes shorted from plate to cathode."""

    resistor: str
    sections: tuple[str, ...]
    volts: float
    watts: float
    shorted_section: str
    shorted_volts: float
    shorted_watts: float
    shorted_dc_amps: float | None = None
    """Of the B+ rectifier in that fault; None without one."""


@record
class Decoupler:
    """A section of the B+ filter behind the reservoir: time constant of its series resistance and its capacitor."""

    node: str
    ohms: float
    farads: float
    seconds: float


@record
class FeedbackLoop:
    """Gain to the speaker at 1 kHz with the feedback's end at the speaker lifted, and as built; loop_db: what closing it takes away."""

    resistor: str
    gain_open: float
    gain_closed: float
    loop_db: float


@record
class CouplingCorner:
    """Low corner of a coupling capacitor: 1/(2 pi C (source + load ohms)), both as the rest of the amp presents them."""

    capacitor: str
    hertz: float
    source_ohms: float
    load_ohms: float


@record
class Sensitivity:
    """Input volts rms at 1 kHz that drive the output grids by their bias (peak): as the controls stand, and with every volume full."""

    drive_peak_volts: float
    volts_rms: float
    volts_rms_full: float
    controls: Mapping[str, float]


@record
class LoopLevel:
    """What a device finds at an effects loop, 1 kHz, a plug in both jacks.

    send_volts_rms: at the open SEND while the amp's input drives the output grids by their bias, the loop empty.
    return_volts_rms: at RETURN, for the same drive. device_gain: what a device must gain to be as loud as the empty loop.
    None where the loop does not reach the grids.
    """

    stage: str
    send_jack: str
    return_jack: str
    send_volts_rms: float | None
    send_ohms: float
    return_volts_rms: float | None
    return_ohms: float
    device_gain: float | None


@record
class LineLevel:
    """The open line out at 1 kHz. share: of the speaker's voltage; volts_rms: while the speaker gets the clean power, None if unknown."""

    jack: str
    share: float
    volts_rms: float | None
    source_ohms: float


@record
class Inverter:
    """Balance of the phase inverter at 1 kHz as loaded. gains are magnitudes from its input to the output grids.

    imbalance: (a - b) / mean, signed. phase_error_degrees: away from 180. tail_volts: across the resistance common to both cathodes
    (or the cathode load), tail_share of the supply node.
    """

    stage: str
    kind: str
    net_a: str
    net_b: str
    gain_a: float
    gain_b: float
    imbalance: float
    phase_error_degrees: float
    tail_volts: float
    tail_share: float


@record
class OutputLoad:
    """What the output tubes see through the tap the speaker is on, and what that gives.

    load_ohms: plate to plate, or of the single tube. optimum_ohms: of the published condition closest in plate and screen volts
    (None when the library has none). class_b_watts: bound of one tube's dissipation at the worst sine drive. clean_watts: with `formula`.
    """

    topology: str
    tap: str
    load_ohms: float
    optimum_ohms: float | None
    optimum_source: str
    ratio: float | None
    class_b_watts: float | None
    clean_watts: float
    formula: str
    plate_ohms: float = 0.0
    """Plate resistance across the load: of both tubes in series, or of the one."""
    least_henries: float | None = None
    """Primary inductance that puts the bass corner, load parallel to plate resistance, at BASS_HERTZ of `load`."""
    full_drive_dc_amps: float | None = None
    """Direct amps of the B+ rectifier at that power, the supply taken as stiff."""


@record
class SpeakerLoad:
    """What hangs on a tap in one use of the speaker jacks: "inside", "inside and extension" or "extension".

    ohms: nominal impedances together; load_ohms: what the output tubes see of it; ratio: that to the best load of the type.
    """

    state: str
    tap: str
    tap_ohms: float
    ohms: float
    load_ohms: float
    optimum_ohms: float | None
    ratio: float | None


@record
class ContactFault:
    """An external contact (a jack's tip): volts to ground in the worst normal condition, and with the worst one coupling capacitor shorted.

    fault_amps: into 2 kilohms from the contact to ground. capacitor "" and fault equal to normal when no capacitor reaches the contact.
    path_ohms: DC resistance from the contact to ground on the outside of its blocking capacitors, None when there is no path.
    """

    jack: str
    contact: str
    net: str
    normal_volts: float
    normal_condition: str
    capacitor: str
    fault_volts: float
    fault_amps: float
    path_ohms: float | None
    blocking: tuple[str, ...] = ()
    """Every capacitor that keeps DC off the contact."""


@record
class CentreTap:
    """Where the centre tap of a winding that feeds a rectifier goes.

    joined: DC terminals ("plus", "minus", "ground") it reaches through `through` (fuses, switches, resistors). legal: false when that
    shorts half of the winding through the rectifier (a bridge on a tap that joins a DC terminal).
    """

    rectifier: str
    winding: str
    net: str
    joined: tuple[str, ...]
    through: tuple[str, ...]
    legal: bool


@record
class MainsPath:
    """A path that is not isolating from a mains conductor to any other net: its parts in order."""

    mains_net: str
    net: str
    refs: tuple[str, ...]


@record
class DeadTest:
    """A reading on the dead amp: cord out, tubes out, capacitors charged by the meter and open, controls as DeadTests.assumed says.

    red, black: (designator, terminal) of the leads, the way round in which no diode conducts; group: which step of the work; about: the
    designator, section or node it proves. kind: "ohms", "joined" (nothing but wire, contacts, fuses between), "open", or "unknown" (hangs
    on the winding resistances of `unknown`, which nobody gave). setup: what stands differently for this reading.
    low and high: all resistors at the ends of their tolerance. stop_below, stop_above: beyond these no power goes on.
    """

    group: str
    about: str
    red: tuple[str, str]
    black: tuple[str, str]
    kind: str
    ohms: float | None
    low_ohms: float | None
    high_ohms: float | None
    setup: tuple[str, ...] = ()
    unknown: tuple[str, ...] = ()
    stop_below_ohms: float | None = None
    stop_above_ohms: float | None = None


@record
class DeadTests:
    """All readings in the order of work, under what they assume of every part that can stand one way or another."""

    assumed: tuple[str, ...]
    rows: Mapping[str, DeadTest]


@record
class Bleed:
    """One capacitor node emptied by hand through `ohms`, from the cold corner: peak watts in that resistor, seconds to 60 V."""

    ohms: float
    peak_watts: float
    seconds: float | None


@record
class MainsChart:
    """Direct volts of one state of the tubes ("none", "small", "all") over the mains: volts[net][k] belongs to mains_volts[k], rising.

    metered_volts: what a meter of 10 MΩ shows at nominal mains on the nets that it moves by more than 1 %.
    """

    tubes: str
    nominal_mains_volts: float
    mains_volts: tuple[float, ...]
    volts: Mapping[str, tuple[float, ...]]
    metered_volts: Mapping[str, float]

    @property
    def nominal(self) -> int:
        """Where nominal mains is in `mains_volts`."""
        return self.mains_volts.index(self.nominal_mains_volts)


@record
class FirstPower:
    """What the steps of first power expect and the charts do not say.

    limiter_watts: bulb of the limiter lamp, from the amp's volt-amps at idle; None when no standard bulb is that large.
    cold_bias_volts: output section -> what a meter of 10 MΩ shows at its grid, output tubes out, trimmers at their cold end: at low,
    nominal and high mains. cold_cathode_amps: output section -> cathode current with the trimmers there, every tube in, at the same mains.
    feedback_tenfold_db: how far the output falls when feedback is closed through ten times its resistor.
    unloaded_volts_rms: "transformer/winding" -> volts with nothing on it (of one half of a tapped high-tension winding) at low, nominal
    and high mains; `estimated` names the heater windings whose no-load volts nobody gave: 5, 10 and 15 % above rated then.
    cold_bias_small_volts: as cold_bias_volts, the small tubes in; empty where nothing can be turned. limited_volts: what is left of nominal
    mains for the amp behind the limiter lamp, every tube in and warm.
    """

    volt_amps: float
    limiter_watts: float | None
    cold_bias_volts: Mapping[str, tuple[float, float, float]]
    cold_cathode_amps: Mapping[str, tuple[float, float, float]]
    feedback_tenfold_db: float | None = None
    unloaded_volts_rms: Mapping[str, tuple[float, float, float]] = field(default_factory=dict)
    estimated: tuple[str, ...] = ()
    cold_bias_small_volts: Mapping[str, tuple[float, float, float]] = field(default_factory=dict)
    limited_volts: float | None = None


@record
class Loudness:
    """What the speaker makes of the clean output power: decibels at one metre, and how long a day that may be heard unprotected.

    Sensitivity + 10 log10(watts), one speaker in the open; 85 dB for 8 hours, half the time for every 3 dB more (a recommended exposure
    limit of occupational hygiene, read as an excerpt; A-weighting left out).
    """

    level_db: float
    seconds_a_day: float


@record
class LoadLine:
    """What a tube section's plate works into, and how far it swings on it. Plate and screen volts to the cathode; nominal mains, idle.

    dc_ohms: what direct current of the plate sees, B+ nodes held, a shared cathode moved by all its tubes; dc_cutoff_volts: plate volts at
    no current on that line. ac_ohms: what signal current sees at ac_hertz, the tube's own conductances out; of a pair, with both tubes
    conducting. zero_*: where the signal line meets the curve of 0 V at the grid. cutoff_volts: where it meets no current; of a pair, where
    the other tube alone has taken over, as far above idle as zero_volts is below. alone_ohms: of a pair, with the other tube cut off;
    kink_*: where that begins. limit_watts: plate dissipation rating, of `limit_system`.
    """

    section: str
    stage: str
    plate_volts: float
    grid_volts: float
    screen_volts: float | None
    plate_amps: float
    dc_ohms: float
    dc_cutoff_volts: float
    ac_ohms: float
    ac_hertz: float
    zero_volts: float
    zero_amps: float
    cutoff_volts: float
    limit_watts: float | None = None
    limit_system: str = ""
    limit_source: str = ""
    alone_ohms: float | None = None
    kink_volts: float | None = None
    kink_amps: float | None = None
    screen_share: float = 0.0
    """How much of the plate's swing the screen follows: 0 on a B+ node, the tap's share of the turns, 1 on the plate.

    At 1 plate_amps, zero_amps and limit_watts are those of plate and screen together."""

    @property
    def swing_down_volts(self) -> float:
        """How far the plate falls before the grid reaches 0 V."""
        return self.plate_volts - self.zero_volts

    @property
    def swing_up_volts(self) -> float:
        """How far it rises before the tube (of a pair: the other tube at its 0 V) takes it no further."""
        return self.cutoff_volts - self.plate_volts


@record
class DriveLevel:
    """The amp in the steady state of a sine at its input. Volts at the speaker are the alternating part; means are of one period.

    watts: rms squared over the load. distortion: rms of the harmonics from the second on over the fundamental. crest_*: of the speaker's
    volts above and below their mean. mean_volts: net -> of the B+ nodes, and of cathodes and grids of the output tubes. plate_watts,
    screen_watts, plate_amps, screen_amps: output section -> mean.
    """

    input_volts_rms: float
    output_volts_rms: float
    watts: float
    distortion: float
    crest_up_volts: float
    crest_down_volts: float
    mean_volts: Mapping[str, float]
    plate_watts: Mapping[str, float]
    screen_watts: Mapping[str, float]
    plate_amps: Mapping[str, float]
    screen_amps: Mapping[str, float]

    @property
    def asymmetry(self) -> float:
        """(up - down) over (up + down) of the crests, signed."""
        return (self.crest_up_volts - self.crest_down_volts) / (self.crest_up_volts + self.crest_down_volts)


@record
class PowerPoint:
    """A level with a name: "half" (of the input of clipping), "clipping", "distortion-0.05", "distortion-0.1", "most".

    wave: volts at the speaker over one period.
    """

    name: str
    level: DriveLevel
    wave: tuple[float, ...]


@record
class LargeSignal:
    """A sweep of a sine at the input, quiet to four times full drive; tremolo at rest, every volume up, the other controls as they stand.

    load_ohms: the speakers as built, as a resistor. idle_volts: of the nets of mean_volts, without signal. complete: every level was found.
    """

    hertz: float
    controls: Mapping[str, float]
    load_ohms: float
    idle_volts: Mapping[str, float]
    levels: tuple[DriveLevel, ...]
    points: tuple[PowerPoint, ...]
    complete: bool

    def point(self, name: str) -> PowerPoint | None:
        """The point of that name; None where the sweep does not reach it."""
        return next((p for p in self.points if p.name == name), None)


@record
class Given:
    """A number that goes into a formula. unit: "V", "A", "ohm", "F", "H", "W", "Hz", "s", "S", "x" (a ratio). what: whose it is."""

    symbol: str
    value: float
    unit: str
    what: str = ""


@record
class Worked:
    """A textbook formula with its numbers, beside what the solver says of the same thing.

    name: "first/gain"; group: the part of the amp ("preamp", "inverter", "output", "tremolo", "supply", "transformer"); about: stage,
    node or winding. formula: the right side, in the symbols of `given`. unit: of closed (what the formula gives) and solved (None: the
    solver has no such number). why: what the formula leaves out. source: where it is from.
    """

    name: str
    group: str
    about: str
    what: str
    symbol: str
    formula: str
    given: tuple[Given, ...]
    unit: str
    closed: float
    source: str
    solved: float | None = None
    why: str = ""

    @property
    def off_share(self) -> float | None:
        """How far the formula is above the solver, as a share of the solver's number; None where one of them says nothing."""
        return (self.closed - self.solved) / abs(self.solved) if self.solved else None


@record
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
    stored_joules: float = 0.0
    """In all capacitors with every tube cold, mains at the insulation corner."""
    heater_cathodes: tuple[HeaterCathode, ...] = ()
    stresses: Mapping[str, PartStress] = field(default_factory=dict)
    cathode_biases: tuple[CathodeBias, ...] = ()
    corners: tuple[CouplingCorner, ...] = ()
    sensitivity: Sensitivity | None = None
    loops: tuple[LoopLevel, ...] = ()
    """Effects loops, in signal order."""
    line_out: LineLevel | None = None
    inverter: Inverter | None = None
    load: OutputLoad | None = None
    speaker_loads: tuple[SpeakerLoad, ...] = ()
    """Every use of the speaker jacks, the speakers inside first."""
    contacts: tuple[ContactFault, ...] = ()
    centre_taps: tuple[CentreTap, ...] = ()
    mains_paths: tuple[MainsPath, ...] = ()
    bias_supply: BiasSupply | None = None
    bass_corner_hertz: float | None = None
    """Sum of the corners of the coupling capacitors in the signal path, of an inverter's two the higher one."""
    decouplers: tuple[Decoupler, ...] = ()
    feedback: FeedbackLoop | None = None
    source_ohms: Mapping[str, float] = field(default_factory=dict)
    """Net -> the resistance a meter to circuit ground looks into, nominal, tubes in and warm."""
    metered_volts: Mapping[str, float] = field(default_factory=dict)
    """Net -> what a meter of 10 MΩ shows there, nominal: the nets that it moves by more than 1 %."""
    dead_tests: DeadTests | None = None
    charts: Mapping[str, MainsChart] = field(default_factory=dict)
    """By condition: "no-tubes", "small-tubes", "nominal"."""
    first_power: FirstPower | None = None
    bleeds: Mapping[str, Bleed] = field(default_factory=dict)
    """Net of a supply or bias capacitor node -> the discharge resistor on it."""
    loudness: Loudness | None = None
    tracks: Mapping[str, TrackLoad] = field(default_factory=dict)
    """Designator of a pot -> the worst its track takes."""
    copper: CopperLoss | None = None
    leaks: tuple[CouplingLeak, ...] = ()
    """Of every coupling capacitor."""
    load_lines: tuple[LoadLine, ...] = ()
    """Every section in use, in signal order."""
    worked: tuple[Worked, ...] = ()
    """Formulas of the design notes, in the order of the signal, then supply and transformer."""

    large_signal: LargeSignal | None = None
    fuses: tuple[FuseLoad, ...] = ()
    charging_rms_amps: float | None = None
    """Of the loop that charges the B+ reservoir, all legs together: the most at idle, or at full drive."""

    @property
    def speaker_watts(self) -> float | None:
        """Clean watts that reach the speaker: of the primary's less what stays in the output transformer's copper. None without a load."""
        if self.load is None:
            return None
        return self.load.clean_watts * (1.0 - (self.copper.share if self.copper else 0.0))

    @property
    def nominal(self) -> Operating:
        """The nominal condition."""
        return self.operating["nominal"]

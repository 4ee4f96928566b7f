"""Numbers of the steps of first power: the limiter lamp, bias at its cold end, feedback closed for the first time."""

from __future__ import annotations

import math
from collections.abc import Mapping

from ..circuit.netlist import GROUND, Netlist, PowerTransformer, Resistor, Speaker
from ..records import replace
from .bias import adjustments
from .mains_charts import MainsSolutions
from .probing import METER_OHMS
from .results import FirstPower, Loudness, MainsBudget, OutputLoad
from .smallsignal import GAIN_HERTZ
from .study import Study
from .variants import Change, added, moved_wiper, short, solve_variants

BULB_WATTS = (25.0, 40.0, 60.0, 75.0, 100.0, 150.0, 200.0, 300.0, 500.0)
"""Filament bulbs one can buy (common practice). The smallest that is at least the amp's volt-amps at idle; twice them at most
(common practice), which these steps keep above 15 VA."""
RISE = (0.05, 0.10, 0.15)
"""How far a heater winding with nothing on it stands above its rated volts, least, usual, most (common practice)."""
FILAMENT = 0.55
"""Power of its volts that the current of a filament lamp goes with (from memory)."""
HALVINGS = 40
DAY_SECONDS = 86400.0
TENFOLD = 10.0
"""Feedback is closed the first time through this many times its resistor (common practice)."""


def first_power(study: Study, solutions: MainsSolutions, mains: MainsBudget) -> FirstPower:
    """What the steps expect beyond the charts."""
    cold = {pot.ref: _cold_end(study, pot.ref) for pot in adjustments(study.netlist)}
    return FirstPower(
        volt_amps=mains.volt_amps,
        limiter_watts=limiter_watts(mains.volt_amps),
        cold_bias_volts=_cold_bias(study, solutions, cold, "no-tubes"),
        cold_bias_small_volts=_cold_bias(study, solutions, cold, "small-tubes") if cold else {},
        limited_volts=limited_volts(mains.volt_amps, float(study.netlist.region.nominal_volts)),
        cold_cathode_amps=_cold_amps(study, cold),
        feedback_tenfold_db=_tenfold(study),
        unloaded_volts_rms=_unloaded(study),
        estimated=tuple(
            f"{x.ref}/{w.name}"
            for x in study.netlist.of(PowerTransformer)
            for w in x.windings
            if w.kind == "heater" and w.no_load_volts is None
        ),
    )


def loudness(netlist: Netlist, load: OutputLoad | None) -> Loudness | None:
    """None without a sensitivity or an output power.

    n speakers alike side by side are 10 log n louder than one with the same power all told: their cones add up (common practice, below
    some hundred hertz; above it is less).
    """
    speaker = next(netlist.of(Speaker), None)
    if speaker is None or speaker.sensitivity_db is None or load is None or load.clean_watts <= 0.0:
        return None
    count = sum(1 for _ in netlist.of(Speaker))
    level = speaker.sensitivity_db + 10.0 * math.log10(load.clean_watts) + 10.0 * math.log10(count)
    return Loudness(level, min(DAY_SECONDS, 8.0 * 3600.0 * 2.0 ** (-(level - 85.0) / 3.0)))


def _unloaded(study: Study) -> Mapping[str, tuple[float, float, float]]:
    """Volts of every winding with nothing on it follow the mains in proportion."""
    netlist, region = study.netlist, study.netlist.region
    nominal = float(region.nominal_volts)
    mains = (float(region.low_volts), nominal, float(region.high_volts))
    fed = {(r.transformer, r.winding): r.id for r in netlist.rectifiers}
    found: dict[str, tuple[float, float, float]] = {}
    for transformer in netlist.of(PowerTransformer):
        for winding in transformer.windings:
            key = f"{transformer.ref}/{winding.name}"
            if winding.kind == "heater":
                one = winding.volts / transformer.primary_volts
                if winding.no_load_volts is None:
                    low, middle, high = (one * v * (1.0 + rise) for v, rise in zip(mains, RISE, strict=True))
                else:
                    low, middle, high = (winding.no_load_volts / transformer.primary_volts * v for v in mains)
                found[key] = (low, middle, high)
                continue
            point = study.nominal.rectifiers.get(fed.get((transformer.ref, winding.name), ""))
            if point is not None:
                low, middle, high = (point.no_load_volts_rms * v / nominal for v in mains)
                found[key] = (low, middle, high)
    return found


def limiter_watts(volt_amps: float) -> float | None:
    """The smallest bulb of BULB_WATTS that is not below the volt-amps; None when there is none."""
    return next((watts for watts in BULB_WATTS if watts >= volt_amps), None)


def limited_volts(volt_amps: float, nominal: float) -> float | None:
    """What the limiter lamp leaves of the mains for an amp of so many volt-amps, taken as a resistor; None without a lamp or a load.

    A filament's current goes with volts to the power FILAMENT, so its resistance grows with the glow. The amp's share x solves
    amp x = lamp (1 - x)^FILAMENT, both as volt-amps at full mains; bisected.
    """
    watts = limiter_watts(volt_amps)
    if watts is None or volt_amps <= 0.0:
        return None
    low, high = 0.0, 1.0
    for _ in range(HALVINGS):
        share = 0.5 * (low + high)
        low, high = (share, high) if volt_amps * share < watts * (1.0 - share) ** FILAMENT else (low, share)
    return nominal * 0.5 * (low + high)


def _cold_bias(study: Study, solutions: MainsSolutions, cold: Mapping[str, float], state: str) -> Mapping[str, tuple[float, float, float]]:
    """Output section -> volts a meter shows at its grid, trimmers cold, in a state without output tubes; low, nominal, high mains."""
    netlist, region = study.netlist, study.netlist.region
    pots = adjustments(netlist)
    if netlist.bias_scheme != "fixed" or not netlist.power_sections:
        return {}
    rows: dict[str, list[float]] = {ref: [] for ref in netlist.power_sections}
    for volts in (float(region.low_volts), float(region.nominal_volts), float(region.high_volts)):
        if all(s.system.condition.mains_volts != volts for s in solutions.by_state[state]):
            return {}
        base = solutions.at(state, volts)
        turned = tuple(c for pot in pots for c in moved_wiper(base.system, pot, cold[pot.ref]))
        meters: list[tuple[Change, ...]] = [(*turned, short(netlist.by_section[ref].grid, GROUND, METER_OHMS)) for ref in rows]
        for ref, variant in zip(rows, solve_variants(base, meters), strict=True):
            if not variant.good:
                return {}
            rows[ref].append(variant.volts(netlist.by_section[ref].grid))
    return {ref: (found[0], found[1], found[2]) for ref, found in rows.items()}


def _cold_end(study: Study, ref: str) -> float:
    """The track fraction at which a trimmer makes the grids most negative, from the two ends at nominal mains."""
    base = study.solved["no-tubes"]
    pot = next(p for p in adjustments(study.netlist) if p.ref == ref)
    grids = [study.netlist.by_section[s].grid for s in study.netlist.power_sections]
    ends = solve_variants(base, [moved_wiper(base.system, pot, fraction) for fraction in (0.0, 1.0)])
    sums = [sum(v.volts(net) for net in grids) for v in ends]
    return 0.0 if sums[0] <= sums[1] else 1.0


def _cold_amps(study: Study, cold: Mapping[str, float]) -> Mapping[str, tuple[float, float, float]]:
    """Output section -> plate and screen amps together, every tube in, trimmers cold; low, nominal, high mains."""
    pots = adjustments(study.netlist)
    if not pots:
        return {}
    rows: dict[str, list[float]] = {ref: [] for ref in study.netlist.power_sections}
    for condition in ("low", "nominal", "high"):
        base = study.solved[condition]
        variant = solve_variants(base, [tuple(c for pot in pots for c in moved_wiper(base.system, pot, cold[pot.ref]))])[0]
        if not variant.good:
            return {}
        for ref, found in rows.items():
            screen = variant.port(ref, "screen")[1] if study.netlist.by_section[ref].screen else 0.0
            found.append(variant.port(ref, "plate")[1] + screen)
    return {ref: (found[0], found[1], found[2]) for ref, found in rows.items()}


def _tenfold(study: Study) -> float | None:
    """Decibels between feedback open and closed through TENFOLD times its resistor."""
    netlist, closed = study.netlist, study.playing
    stage = next(iter(netlist.stages_of("feedback")), None)
    part = netlist.by_ref.get(stage.parts.get("resistor", "")) if stage else None
    if not isinstance(part, Resistor) or netlist.input_net not in closed.system.index or netlist.output_net not in closed.system.index:
        return None
    a, b = (pin.net for pin in part.pins)
    gains = []
    for siemens in (-1.0 / part.ohms, (1.0 / TENFOLD - 1.0) / part.ohms):
        found = replace(closed, Y=added(closed.system, closed.Y, [(a, b, siemens)]))
        gains.append(abs(found.transfer(netlist.input_net, [netlist.output_net], [GAIN_HERTZ])[0, 0]))
    return 20.0 * math.log10(gains[0] / gains[1]) if min(gains) > 0.0 else None

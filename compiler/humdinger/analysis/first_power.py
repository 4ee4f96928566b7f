"""Numbers of the steps of first power: the limiter lamp, bias at its cold end, feedback closed for the first time."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import replace

from ..circuit.netlist import GROUND, Resistor
from .bias import adjustments
from .mains_charts import MainsSolutions
from .probing import METER_OHMS
from .results import FirstPower, MainsBudget
from .smallsignal import GAIN_HERTZ
from .study import Study
from .variants import Change, Variant, added, moved_wiper, short, solve_variants

BULB_WATTS = (25.0, 40.0, 60.0, 75.0, 100.0, 150.0, 200.0, 300.0, 500.0)
"""Filament bulbs one can buy (common practice). The smallest that is at least the amp's volt-amps at idle; twice them at most
(common practice), which these steps keep above 15 VA."""
TENFOLD = 10.0
"""Feedback is closed the first time through this many times its resistor (common practice)."""


def first_power(study: Study, solutions: MainsSolutions, mains: MainsBudget, cold: Variant | None) -> FirstPower:
    """cold: the nominal amp with its bias trimmers at the cold end; None without one."""
    return FirstPower(
        volt_amps=mains.volt_amps,
        limiter_watts=limiter_watts(mains.volt_amps),
        cold_bias_volts=_cold_bias(study, solutions),
        cold_cathode_amps=_cathode_amps(study, cold) if cold is not None and cold.good else {},
        feedback_tenfold_db=_tenfold(study),
    )


def limiter_watts(volt_amps: float) -> float | None:
    """The smallest bulb of BULB_WATTS that is not below the volt-amps; None when there is none."""
    return next((watts for watts in BULB_WATTS if watts >= volt_amps), None)


def _cold_bias(study: Study, solutions: MainsSolutions) -> Mapping[str, tuple[float, float, float]]:
    """Output section -> volts a meter shows at its grid, trimmers cold, no tube but a rectifier in; low, nominal, high mains."""
    netlist, region = study.netlist, study.netlist.region
    pots = adjustments(netlist)
    if netlist.bias_scheme != "fixed" or not netlist.power_sections:
        return {}
    cold = {pot.ref: _cold_end(study, pot.ref) for pot in pots}
    rows: dict[str, list[float]] = {ref: [] for ref in netlist.power_sections}
    for volts in (float(region.low_volts), float(region.nominal_volts), float(region.high_volts)):
        if all(s.system.condition.mains_volts != volts for s in solutions.by_state["no-tubes"]):
            return {}
        base = solutions.at("no-tubes", volts)
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


def _cathode_amps(study: Study, cold: Variant) -> Mapping[str, float]:
    """Plate and screen together."""
    found = {}
    for ref in study.netlist.power_sections:
        amps = cold.port(ref, "plate")[1]
        if study.netlist.by_section[ref].screen:
            amps += cold.port(ref, "screen")[1]
        found[ref] = amps
    return found


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

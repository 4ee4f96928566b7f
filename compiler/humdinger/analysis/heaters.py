"""Heater volts at the windings, and what stands between every heater and its cathode.

Volts at the pins: no-load - (no-load - rated) * I / I rated, a straight line through the maker's two figures, times mains over the
primary's rated volts. The drop of the heater wires is not in it. Load amps are taken at rated volts in every condition: a
hot heater changes its current by about half of a change of volts, which is within the line's own error (common practice).
"""

from __future__ import annotations

from collections.abc import Mapping

from ..circuit.netlist import Netlist, PowerTransformer, Tube, TubeSection, Winding
from .results import HeaterBudget, HeaterCathode, Operating
from .study import COLD, Study
from .supply import heater_nets
from .windings import heater_consumers, winding_ends


def heater_budgets(study: Study) -> tuple[HeaterBudget, ...]:
    """Every heater winding: its load with all tubes in, and its volts in every condition."""
    return tuple(_budget(study, t, w) for t in study.netlist.of(PowerTransformer) for w in t.windings if w.kind == "heater")


def _budget(study: Study, transformer: PowerTransformer, winding: Winding) -> HeaterBudget:
    netlist = study.netlist
    consumers = heater_consumers(netlist, transformer, winding, study.elements("nominal"))
    no_load, known = _no_load(transformer, winding)
    by_tubes: dict[str, float] = {"all": sum(amps for _, amps in consumers)}
    volts: dict[str, float] = {}
    for name, found in study.operating.items():
        kind = found.condition.tubes
        if kind not in by_tubes:
            by_tubes[kind] = sum(amps for _, amps in heater_consumers(netlist, transformer, winding, study.elements(name)))
        share = by_tubes[kind] / winding.amps if winding.amps > 0.0 else 0.0
        scale = found.condition.mains_volts / transformer.primary_volts
        volts[name] = scale * (no_load - (no_load - winding.volts) * share)
    return HeaterBudget(
        winding=winding.name,
        nominal_volts=winding.volts,
        load_amps=by_tubes["all"],
        rated_amps=winding.amps,
        volts=volts,
        regulation_known=known,
        consumers=consumers,
    )


def _no_load(transformer: PowerTransformer, winding: Winding) -> tuple[float, bool]:
    """No-load volts, and whether they are given or follow from a given resistance."""
    if winding.no_load_volts is not None:
        return winding.no_load_volts, True
    if winding.resistance:
        ratio = winding.volts / transformer.primary_volts
        return winding.volts + winding.amps * (sum(winding.resistance) + ratio**2 * transformer.primary_resistance), True
    return winding.volts, False


def heater_cathodes(study: Study, swing: Mapping[str, float]) -> tuple[HeaterCathode, ...]:
    """Heater to cathode of every section of every tube whose heater is wired, rectifiers included.

    swing: section -> peak volts its cathode moves at full drive (`drive.cathode_swing`); 0 for a section that is not in it.
    At a cold start the rectifier is hot and every other cathode stands where the no-tubes state leaves it; parked sections count too.
    """
    netlist, operating = study.netlist, study.operating
    found = [row for s in netlist.sections if (row := _section(netlist, operating, s, swing.get(s.ref, 0.0)))]
    found += [row for t in netlist.of(Tube) if t.type.is_rectifier and (row := _rectifier(netlist, operating, t))]
    return tuple(found)


def _winding_of(netlist: Netlist, nets: tuple[str, str]) -> str:
    for transformer in netlist.of(PowerTransformer):
        for winding in transformer.windings:
            ends = winding_ends(transformer, winding)
            if winding.kind == "heater" and ends and set(ends) & set(nets):
                return winding.name
    return ""


def _heater(operating: Operating, nets: tuple[str, str]) -> float | None:
    """Mean of the heater's two ends: its potential; the few volts of its own AC are not counted."""
    volts = [operating.volts.get(net) for net in nets]
    return 0.5 * (volts[0] + volts[1]) if volts[0] is not None and volts[1] is not None else None


def _section(netlist: Netlist, operating: Mapping[str, Operating], section: TubeSection, swing: float) -> HeaterCathode | None:
    tube = netlist.by_ref.get(section.tube)
    nets = heater_nets(tube) if isinstance(tube, Tube) else None
    if nets is None or not section.cathode or section.section.kind == "rectifier":
        return None
    return _row(netlist, operating, section.ref, section.tube, nets, section.cathode, swing)


def _rectifier(netlist: Netlist, operating: Mapping[str, Operating], tube: Tube) -> HeaterCathode | None:
    nets = heater_nets(tube)
    section = next((s for s in tube.type.sections if s.kind == "rectifier"), None)
    if nets is None or section is None:
        return None
    if tube.type.cathode_is_heater:
        return HeaterCathode(tube.ref, tube.ref, _winding_of(netlist, nets), {"nominal": 0.0}, 0.0, 0.0, tied=True)
    pins = {pin.name: pin.net for pin in tube.pins}
    cathode = next((pins[str(n)] for n in section.pins.get("cathode", ()) if str(n) in pins), "")
    return _row(netlist, operating, tube.ref, tube.ref, nets, cathode, 0.0) if cathode else None


def _row(
    netlist: Netlist, operating: Mapping[str, Operating], ref: str, tube: str, nets: tuple[str, str], cathode: str, swing: float
) -> HeaterCathode | None:
    volts: dict[str, float] = {}
    for name, found in operating.items():
        heater, at = _heater(found, nets), found.volts.get(cathode)
        if heater is None or at is None:
            return None
        volts[name] = heater - at
    cold = volts.get(COLD, 0.0)
    hot = {name: v for name, v in volts.items() if ref not in netlist.by_section or _in(netlist, operating[name], ref)}
    return HeaterCathode(ref, tube, _winding_of(netlist, nets), hot, cold, swing, tied=cathode in nets)


def _in(netlist: Netlist, found: Operating, ref: str) -> bool:
    """Whether a section is there in a condition; a parked section has no operating point but is in when its tube is."""
    if found.condition.tubes == "all":
        return True
    section = netlist.by_section[ref]
    power = {netlist.by_section[p].tube for p in netlist.power_sections}
    return found.condition.tubes == "small" and section.tube not in power

"""Heater volts at the windings, and what stands between every heater and its cathode.

Volts at the pins: no-load - (no-load - rated) * I / I rated, a straight line through the maker's two figures, times mains over the
primary's rated volts. The drop of the heater wires is not in it. Load amps are taken at rated volts in every condition: a
hot heater changes its current by about half of a change of volts, which is within the line's own error (common practice).
"""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np

from ..circuit.heating import series_pairs
from ..circuit.netlist import GROUND, Lamp, Netlist, PowerTransformer, Tube, TubeSection, Winding
from .network import Edge, around, component, edges, nodes
from .results import HeaterBudget, HeaterCathode, HeatersInSeries, Operating
from .study import COLD, Study
from .supply import heater_connection, heater_consumers, heater_nets, series_connections

Consumers = tuple[tuple[str, float], ...]


def heater_budgets(study: Study) -> tuple[HeaterBudget, ...]:
    """Every heater winding: its load with all tubes in, and its volts in every condition."""
    return tuple(_budget(study, t, w) for t in study.netlist.of(PowerTransformer) for w in t.windings if w.kind == "heater")


def _budget(study: Study, transformer: PowerTransformer, winding: Winding) -> HeaterBudget:
    ends = winding_ends(transformer, winding)
    netlist = study.netlist
    resistors = _resistors(study, ends, winding.volts, transformer.ref)
    consumers = heater_consumers(netlist, transformer, winding) + resistors
    no_load, known = _no_load(transformer, winding)
    loads: dict[str, float] = {}
    volts: dict[str, float] = {}
    for name, found in study.operating.items():
        tubes = found.condition.tubes
        if tubes not in loads:
            loads[tubes] = sum(amps for _, amps in heater_consumers(netlist, transformer, winding, study.elements(name).out) + resistors)
        share = loads[tubes] / winding.amps if winding.amps > 0.0 else 0.0
        scale = found.condition.mains_volts / transformer.primary_volts
        volts[name] = scale * (no_load - (no_load - winding.volts) * share)
    return HeaterBudget(
        winding=winding.name,
        nominal_volts=winding.volts,
        load_amps=loads["all"],
        rated_amps=winding.amps,
        volts=volts,
        regulation_known=known,
        consumers=consumers,
        tube_volts=_tube_volts(netlist, ends, winding),
        series=_series(netlist, winding, volts["nominal"]),
    )


def _series(netlist: Netlist, winding: Winding, volts: float) -> tuple[HeatersInSeries, ...]:
    """The pairs in series on a winding: what each is made for, and what it gets of so many volts, hot, as a resistance."""
    found = []
    for pair in series_pairs(netlist):
        if pair.winding != winding.name:
            continue
        made = series_connections(netlist, pair)
        whole = sum(c.volts / c.amps for c in made)
        shares = {ref: volts * c.volts / c.amps / whole for ref, c in zip(pair.refs, made, strict=True)}
        amps = {ref: c.amps for ref, c in zip(pair.refs, made, strict=True)}
        apart = max(amps.values()) / min(amps.values()) - 1.0
        found.append(HeatersInSeries(pair.refs, amps, shares, {ref: c.volts for ref, c in zip(pair.refs, made, strict=True)}, apart))
    return tuple(found)


def winding_ends(transformer: PowerTransformer, winding: Winding) -> tuple[str, ...]:
    """The nets of a winding's ends that are wired."""
    nets = {pin.name: pin.net for pin in transformer.pins}
    return tuple(nets[pin] for pin in (winding.pins[0], winding.pins[2]) if pin in nets)


def _tube_volts(netlist: Netlist, ends: tuple[str, ...], winding: Winding) -> float | None:
    pairs = [pair for pair in series_pairs(netlist) if pair.winding == winding.name]
    among = {ref for pair in pairs for ref in pair.refs}
    found = [sum(c.volts for c in series_connections(netlist, pair)) for pair in pairs]
    for tube in netlist.of(Tube):
        nets, connection = heater_nets(tube), heater_connection(tube)
        if nets and connection and tube.ref not in among and set(ends) & set(nets):
            found.append(connection.volts)
    return max(found, key=lambda volts: abs(volts - winding.volts), default=None)


def _resistors(study: Study, ends: tuple[str, ...], volts: float, transformer: str) -> Consumers:
    """What the reference of a winding draws: the resistive network between its ends, named by the parts that touch them."""
    found = _reference(study, ends, transformer)
    if found is None:
        return ()
    near, _, ohms = found
    touching = {e.ref for e in near if e.ohms > 0.0 and set(ends) & {e.a, e.b}}
    names = [p.ref for p in study.netlist.parts if p.ref in touching]
    return ((" + ".join(names), volts / ohms),) if names and ohms < 1e6 else ()


def reference_watts(study: Study, budgets: tuple[HeaterBudget, ...]) -> Mapping[str, tuple[float, float]]:
    """Ref -> (rms volts, watts) that a heater winding's AC puts on the resistors and pots of its reference, at the highest volts."""
    found: dict[str, tuple[float, float]] = {}
    by_name = {b.winding: max(b.volts.values()) for b in budgets}
    for transformer in study.netlist.of(PowerTransformer):
        for winding in transformer.windings:
            reference = _reference(study, winding_ends(transformer, winding), transformer.ref) if winding.name in by_name else None
            if reference is None:
                continue
            near, shares, _ = reference
            for edge in near:
                across = abs(shares.get(edge.a, 0.0) - shares.get(edge.b, 0.0)) * by_name[winding.name]
                if edge.ohms > 0.0 and across > 1e-3:
                    volts, watts = found.get(edge.ref, (0.0, 0.0))
                    found[edge.ref] = (max(volts, across), watts + across**2 / edge.ohms)
    return found


def _reference(study: Study, ends: tuple[str, ...], transformer: str) -> tuple[tuple[Edge, ...], Mapping[str, float], float] | None:
    """The resistive network between a winding's ends, volts of its nets per volt of the winding, and its ohms; None when there is none."""
    if len(ends) < 2:
        return None
    taken = {transformer, *(p.ref for p in study.netlist.parts if isinstance(p, Tube | Lamp))}
    near = component(around(e for e in edges(study.elements("nominal")) if e.ref not in taken), ends, {GROUND})
    if not near:
        return None
    nets = {*ends, *(net for e in near for net in (e.a, e.b))}
    at = nodes(nets, near)
    first, last = (at.row[net] for net in ends)
    drive = np.zeros(at.size + 1)
    drive[first] += 1.0
    drive[last] -= 1.0
    solved = np.append(np.linalg.solve(at.conductance(near), drive[:-1]), 0.0)
    ohms = float(solved[first] - solved[last])
    if ohms <= 0.0:
        return None
    return near, {net: float(solved[at.row[net]]) / ohms for net in nets}, ohms


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
    At a cold start the rectifier is hot and every other cathode stands where the no-tubes state leaves it.
    """
    netlist, operating = study.netlist, study.operating
    found = [row for s in netlist.sections if (row := _section(netlist, operating, s, swing.get(s.ref, 0.0)))]
    found += [row for t in netlist.of(Tube) if t.type.is_rectifier and (row := _rectifier(netlist, operating, t))]
    return tuple(found)


def _winding_of(netlist: Netlist, nets: tuple[str, str]) -> str:
    for transformer in netlist.of(PowerTransformer):
        for winding in transformer.windings:
            ends = winding_ends(transformer, winding)
            if winding.kind == "heater" and set(ends) & set(nets):
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

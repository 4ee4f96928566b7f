"""Small losses that parts are judged by: watts in the tracks of pots, copper of the output transformer, leakage of coupling capacitors."""

from __future__ import annotations

from collections.abc import Mapping

from ..circuit.netlist import Capacitor, Netlist, OutputTransformer, Pot
from .results import CopperLoss, CouplingLeak, GridPath, OutputLoad, PartStress, TrackLoad
from .study import COLD, Study

FILM_SECONDS = 1000.0
"""Insulation of a film capacitor times its capacitance, 1 gigohm at most (common practice; makers promise ten times that)."""
FILM_OHMS = 1e9
WET_PER_SECOND = 0.01
"""Leakage of an electrolytic in amps: so much times farads times volts, which is 0.01 microamp per microfarad and volt."""
WET_LEAST_AMPS = 3e-6
"""The least a maker promises (handbook, from memory)."""


def track_loads(study: Study, heater: Mapping[str, tuple[float, float]], stresses: Mapping[str, PartStress]) -> Mapping[str, TrackLoad]:
    """Designator -> worst load of a pot's track, over all conditions.

    heater: ref -> rms volts and watts of heater AC across the track (`heaters.reference_watts`). Signal watts are a sine at full drive.
    """
    found: dict[str, TrackLoad] = {}
    for pot in study.netlist.of(Pot):
        amps = {name: o.parts[pot.ref].amps for name, o in study.operating.items() if pot.ref in o.parts}
        if not amps:
            continue
        condition = max(amps, key=lambda name: round(amps[name], 12))
        direct = amps[condition] ** 2 * pot.ohms
        alternating = heater.get(pot.ref, (0.0, 0.0))[1]
        signal = stresses[pot.ref].signal_watts if pot.ref in stresses else 0.0
        watts = direct + alternating + signal
        found[pot.ref] = TrackLoad(pot.ref, (watts / pot.ohms) ** 0.5, watts, COLD if alternating > direct else condition)
    return found


def copper_loss(netlist: Netlist, load: OutputLoad | None) -> CopperLoss | None:
    """Of the output transformer on the tap the speaker is on; None without one, or without a load.

    Series resistances of one divider: primary copper, the secondary's copper seen through the turns, the load. As in class A: where the
    tubes take turns, each half of the primary carries all of its current, and the primary's share is up to twice this.
    """
    part = next(netlist.of(OutputTransformer), None)
    if part is None or load is None:
        return None
    tap = next((t for t in part.taps if t.pin == load.tap), None)
    if tap is None:
        return None
    reflected = load.load_ohms
    copper = tap.resistance * tap.turns_ratio**2
    whole = reflected + copper + part.primary_resistance
    return CopperLoss(part.ref, part.primary_resistance / whole, copper / whole) if whole > 0.0 else None


def coupling_leaks(study: Study, paths: tuple[GridPath, ...]) -> tuple[CouplingLeak, ...]:
    """Of every part whose role is coupling, in designator order; into the grid leak of the section behind it where there is one."""
    netlist, rows = study.netlist, []
    by_grid = {s.grid: s for s in netlist.sections if s.grid and not s.unused}
    ohms = {path.section: path.own_ohms for path in paths}
    for part in netlist.of(Capacitor):
        stress = study.nominal.parts.get(part.ref)
        if stress is None or not part.role.startswith("coupling"):
            continue
        volts = abs(stress.volts)
        wet = max(WET_PER_SECOND * part.farads * volts, WET_LEAST_AMPS)
        amps = wet if part.polarised else volts / min(FILM_OHMS, FILM_SECONDS / part.farads)
        section = by_grid.get(_behind(netlist, part))
        point = study.nominal.sections.get(section.ref) if section else None
        into = ohms.get(section.ref, 0.0) if section else 0.0
        bias = point.grid_volts if point else None
        rows.append(CouplingLeak(part.ref, amps, into, amps * into, section.ref if section else "", bias))
    return tuple(rows)


def _behind(netlist: Netlist, part: Capacitor) -> str:
    """The first grid that hangs on a coupling capacitor's far end by one resistor or none; "" where there is none."""
    grids = {s.grid for s in netlist.sections if s.grid and not s.unused}
    far = part.pins[1].net
    if far in grids:
        return far
    beyond = (pin.net for other, _ in netlist.on_net.get(far, ()) if other.ref != part.ref and len(other.pins) == 2 for pin in other.pins)
    return next((net for net in beyond if net in grids), "")

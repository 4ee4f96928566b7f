"""The worst every resistor, pot and capacitor sees, over all conditions, and cold.

Cold volts are those with every tube out at the insulation corner: a coupling capacitor then has the whole B+ on one side and the bias
on the other. A cathode bypass capacitor is also looked at with its tube shorted from plate to cathode.
"""

from __future__ import annotations

from collections.abc import Mapping

from ..circuit.netlist import Capacitor, Netlist, Part, Pot, Resistor, TubeSection
from ..records import replace
from .drive import Drive
from .results import PartStress, Stress
from .stacks import doubled, stacks, uneven_share
from .study import COLD, Study
from .variants import Change, Variant, short

NOTHING = Stress(0.0, 0.0, 0.0)


def part_stresses(
    study: Study, faults: Mapping[str, float], heater: Mapping[str, tuple[float, float]], at: Drive | None
) -> Mapping[str, PartStress]:
    """Ref -> worst stress.

    faults: capacitor ref -> volts with its tube shorted (`bypass_faults`). heater: ref -> rms volts and watts of heater AC
    (`heaters.reference_watts`). at: the amp at 1 kHz, for the signal's watts.
    """
    found: dict[str, PartStress] = {}
    signal = _signal_watts(study, at)
    known = {ref for o in study.operating.values() for ref in o.parts}
    for part in study.netlist.parts:
        if isinstance(part, Resistor | Pot | Capacitor) and part.ref in known:
            found[part.ref] = _worst(study, part, faults.get(part.ref), heater.get(part.ref), signal.get(part.ref, 0.0))
    for stack in stacks(study.netlist):
        if doubled(study.netlist, stack):
            continue
        found |= {part.ref: _unevenly(part, stack, found) for part in stack if part.ref in found}
    return found


def _unevenly(part: Capacitor, stack: tuple[Capacitor, ...], found: Mapping[str, PartStress]) -> PartStress:
    """A capacitor of a series with the largest share it can get of the volts across all."""
    share, own = uneven_share(stack), found[part.ref]
    cold, worst = (sum(getattr(found[c.ref], key) for c in stack if c.ref in found) for key in ("cold_volts", "worst_volts"))
    return replace(own, cold_volts=max(own.cold_volts, share * cold), worst_volts=max(own.worst_volts, share * worst))


def _worst(study: Study, part: Part, fault: float | None, heater: tuple[float, float] | None, signal: float) -> PartStress:
    stresses = {name: o.parts.get(part.ref, NOTHING) for name, o in study.operating.items()}
    volts = {name: _across(part, study, name, stress) for name, stress in stresses.items()}
    # what the solver leaves of nothing is worst nowhere in particular
    hot = max(stresses, key=lambda name: round(stresses[name].watts, 12))
    high = max(volts, key=lambda name: round(volts[name], 6))
    watts, across, across_in = stresses[hot].watts, volts[high], high
    if heater is not None:
        watts, hot = watts + heater[1], COLD
        if heater[0] * 2**0.5 > across:
            across, across_in = heater[0] * 2**0.5, COLD
    return PartStress(
        ref=part.ref,
        worst_watts=watts,
        watts_condition=hot,
        worst_volts=across,
        volts_condition=across_in,
        cold_volts=volts[COLD],
        fault_volts=fault,
        signal_watts=signal,
    )


def _signal_watts(study: Study, at: Drive | None) -> Mapping[str, float]:
    """Ref -> watts of a sine that drives the output grids by their bias, in resistors and in both halves of pots."""
    total: dict[str, float] = {}
    if at is None:
        return total
    for r in study.elements("nominal").resistors:
        peak = abs(at.volts.get(r.a, 0j) - at.volts.get(r.b, 0j)) * at.full
        total[r.owner] = total.get(r.owner, 0.0) + 0.5 * peak**2 / r.value
    return total


def _across(part: Part, study: Study, condition: str, stress: Stress) -> float:
    """Volts across a part; across the two halves of a pot's track the larger (a rheostat has its wiper on one end)."""
    if not isinstance(part, Pot):
        return abs(stress.volts)
    volts = [study.operating[condition].volts.get(part.net(pin), 0.0) for pin in ("ccw", "wiper", "cw")]
    return max(abs(a - b) for a in volts for b in volts)


def bypassed(netlist: Netlist) -> tuple[tuple[str, TubeSection], ...]:
    """Capacitors on a section's cathode, with the section: (ref, section). The cathode's own output capacitor counts as one."""
    found = []
    for part in netlist.of(Capacitor):
        nets = {pin.net for pin in part.pins}
        section = next((s for s in netlist.sections if s.cathode in nets and s.cathode != "0" and not s.unused), None)
        if section is not None and part.polarised:
            found.append((part.ref, section))
    return tuple(found)


def bypass_changes(pairs: tuple[tuple[str, TubeSection], ...]) -> list[tuple[Change, ...]]:
    """One variant per pair: the section shorted from plate to cathode."""
    return [(short(section.plate, section.cathode),) for _, section in pairs]


def bypass_faults(netlist: Netlist, pairs: tuple[tuple[str, TubeSection], ...], variants: list[Variant]) -> Mapping[str, float]:
    """Capacitor ref -> volts across it in its variant; variants without a solution are left out."""
    found: dict[str, float] = {}
    for (ref, _), variant in zip(pairs, variants, strict=True):
        part = netlist.by_ref[ref]
        if variant.good:
            found[ref] = abs(variant.volts(part.pins[0].net) - variant.volts(part.pins[1].net))
    return found

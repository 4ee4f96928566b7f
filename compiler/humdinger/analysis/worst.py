"""The worst every resistor, pot and capacitor sees, over all conditions, and cold.

Cold volts are those with every tube out at the insulation corner: a coupling capacitor then has the whole B+ on one side and the bias
on the other. A cathode bypass capacitor is also looked at with its tube shorted from plate to cathode.
"""

from __future__ import annotations

from collections.abc import Mapping

from ..circuit.netlist import Capacitor, Netlist, Part, Pot, Resistor, TubeSection
from .results import PartStress, Stress
from .study import COLD, Study
from .variants import Change, Variant, short

NOTHING = Stress(0.0, 0.0, 0.0)


def part_stresses(study: Study, faults: Mapping[str, float]) -> Mapping[str, PartStress]:
    """Ref -> worst stress. faults: capacitor ref -> volts with its tube shorted (`bypass_faults`)."""
    found: dict[str, PartStress] = {}
    for part in study.netlist.parts:
        if isinstance(part, Resistor | Pot | Capacitor) and any(part.ref in o.parts for o in study.operating.values()):
            found[part.ref] = _worst(study, part, faults.get(part.ref))
    return found


def _worst(study: Study, part: Part, fault: float | None) -> PartStress:
    by_condition = {name: o.parts.get(part.ref, NOTHING) for name, o in study.operating.items()}
    hot = max(by_condition, key=lambda name: by_condition[name].watts)
    high = max(by_condition, key=lambda name: _across(part, study, name, by_condition[name]))
    return PartStress(
        ref=part.ref,
        worst_watts=by_condition[hot].watts,
        watts_condition=hot,
        worst_volts=_across(part, study, high, by_condition[high]),
        volts_condition=high,
        cold_volts=_across(part, study, COLD, by_condition[COLD]),
        fault_volts=fault,
    )


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

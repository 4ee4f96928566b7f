"""Volts, amps and watts in every part at no signal.

Signs: first pin to second pin; pots ccw to cw. Amps are direct amps, except where a rectifier's pulses run: its reservoir carries
their AC part as rms, a fuse between rectifier and reservoir their whole rms, a resistor in a plate lead the rms and the peak volts of the
pulses of its lead.
"""

from __future__ import annotations

from collections.abc import Mapping
from itertools import pairwise
from typing import TYPE_CHECKING

from ..circuit.netlist import (
    GROUND,
    Bond,
    Capacitor,
    Choke,
    Coupler,
    Diode,
    Fuse,
    InterstageTransformer,
    Lamp,
    OutputTransformer,
    Part,
    Pot,
    Resistor,
    Speaker,
    Switch,
)
from .devices.averaged import Pulse
from .results import Stress
from .stacks import stack_of
from .supply import LOWER

if TYPE_CHECKING:
    from .operating import Solved


def part_stress(solved: Solved, volts: Mapping[str, float], charging: Mapping[str, Pulse]) -> Mapping[str, Stress]:
    """Stress of every part whose nets are solved and that is no tube, jack or power transformer."""
    branches = {r.name: (r.a, r.b, r.value) for r in solved.system.elements.resistors}
    pulses = _pulses(solved, charging)
    found: dict[str, Stress] = _in_plate_leads(solved, charging)
    for part in solved.system.netlist.parts:
        if part.ref in found or any(pin.net not in volts for pin in part.pins):
            continue
        stress = _stress(part, solved, volts, branches, pulses)
        if stress is not None:
            found[part.ref] = stress
    return found


def _stress(
    part: Part,
    solved: Solved,
    volts: Mapping[str, float],
    branches: Mapping[str, tuple[str, str, float]],
    pulses: Mapping[str, tuple[float, float, frozenset[str]]],
) -> Stress | None:
    def through(name: str) -> float:
        if name not in branches:
            return 0.0
        a, b, ohms = branches[name]
        return (volts[a] - volts[b]) / ohms

    def across(first: str, second: str) -> float:
        return volts[part.net(first)] - volts[part.net(second)]

    match part:
        case Resistor() | Lamp() | Speaker() | Bond():
            v = volts[part.pins[0].net] - volts[part.pins[1].net]
            amps = through(part.ref)
            return Stress(v, abs(amps), v * amps)
        case Fuse():
            amps = _fuse_amps(part, abs(through(part.ref)), pulses)
            return Stress(across("1", "2"), amps, abs(across("1", "2")) * amps)
        case Switch():
            amps = max((abs(through(f"{part.ref}.{pole}")) for pole in range(1, part.poles + 1)), default=0.0)
            v = volts[part.pins[0].net] - volts[part.pins[1].net]
            return Stress(v, amps, abs(v) * amps)
        case Pot():
            low, high = through(f"{part.ref}.ccw"), through(f"{part.ref}.cw")
            watts = abs(across("ccw", "wiper") * low) + abs(across("wiper", "cw") * high)
            return Stress(across("ccw", "cw"), max(abs(low), abs(high)), watts)
        case Capacitor():
            rms = pulses[part.ref][0] if part.ref in pulses else 0.0
            return Stress(volts[part.pins[0].net] - volts[part.pins[1].net], rms, 0.0)
        case Coupler():
            # the cell: its diode is judged by its amps
            row = next(k for k, p in enumerate(solved.system.bank.ports) if (p.owner, p.kind) == (part.ref, "cell"))
            v, amps = across("1", "2"), float(solved.i[row])
            return Stress(v, abs(amps), abs(v * amps))
        case Choke():
            amps = float(solved.x[solved.system.branch[part.ref]])
            return Stress(across("1", "2"), abs(amps), abs(across("1", "2") * amps))
        case OutputTransformer():
            return _output_transformer(part, solved, volts)
        case InterstageTransformer():
            coils = next(t.coils for t in solved.system.elements.transformers if t.name == part.ref)
            amps = [float(solved.x[solved.system.branch[c.name]]) for c in coils]
            return Stress(across("P", "B"), abs(amps[0]), sum(c.ohms * i * i for c, i in zip(coils, amps, strict=True)))
        case Diode():
            row = next((k for k, p in enumerate(solved.system.bank.ports) if p.owner == part.ref), None)
            if row is None:
                return None
            v, amps = across("a", "k"), float(solved.i[row])
            return Stress(v, abs(amps), abs(v * amps))
        case _:
            return None


def _output_transformer(part: OutputTransformer, solved: Solved, volts: Mapping[str, float]) -> Stress:
    """Volts across the primary (half by half the larger), direct amps in its busier half, copper watts in all coils."""
    coils = next(t.coils for t in solved.system.elements.transformers if t.name == part.ref)
    rows = [(c, float(solved.x[solved.system.branch[c.name]])) for c in coils]
    primary = rows[: len(coils) - len(part.taps)]
    ends = ("P", "B") if part.topology == "single-ended" else ("P1", "CT", "P2")
    drops = [volts[part.net(a)] - volts[part.net(b)] for a, b in pairwise(ends)]
    return Stress(max(drops, key=abs), max(abs(i) for _, i in primary), sum(c.ohms * i * i for c, i in rows))


def _pulses(solved: Solved, charging: Mapping[str, Pulse]) -> Mapping[str, tuple[float, float, frozenset[str]]]:
    """Reservoir ref -> AC rms amps into it, whole rms amps, the nets of its rectifier's DC terminals that it is not on itself."""
    netlist = solved.system.netlist
    found = {}
    for rectifier in netlist.rectifiers:
        pulse, lower = charging[rectifier.id], charging.get(f"{rectifier.id}{LOWER}")
        ac = max(pulse.total_rms_amps**2 - pulse.mean_amps**2, 0.0) ** 0.5
        reservoir = netlist.by_ref.get(rectifier.reservoir)
        beyond = {pin.net for pin in reservoir.pins} if reservoir else set()
        terminals = frozenset({rectifier.plus, rectifier.minus} - beyond - {GROUND})
        refs = [part.ref for part in stack_of(netlist, rectifier.reservoir)] or [rectifier.id]
        found |= dict.fromkeys(refs, (ac, pulse.total_rms_amps, terminals))
        if lower is not None:  # the second half of a doubler charges the lower capacitor
            found[refs[-1]] = (max(lower.total_rms_amps**2 - lower.mean_amps**2, 0.0) ** 0.5, lower.total_rms_amps, terminals)
    return found


def _in_plate_leads(solved: Solved, charging: Mapping[str, Pulse]) -> dict[str, Stress]:
    """Series resistors between a winding's end and its rectifier: a full-wave lead carries every other pulse, a bridge's every one."""
    netlist = solved.system.netlist
    found = {}
    for rectifier in netlist.rectifiers:
        if rectifier.extra_ohms <= 0.0:
            continue
        pulse = charging[rectifier.id]
        rms = pulse.rms_amps if rectifier.arrangement == "full-wave" else pulse.total_rms_amps
        lower = charging.get(f"{rectifier.id}{LOWER}")
        if lower is not None:
            rms = (rms**2 + lower.total_rms_amps**2) ** 0.5
        for part in netlist.of(Resistor):
            if part.role.startswith("plate-resistor"):
                found[part.ref] = Stress(pulse.peak_amps * part.ohms, rms, rms**2 * part.ohms)
    return found


def _fuse_amps(fuse: Fuse, direct: float, pulses: Mapping[str, tuple[float, float, frozenset[str]]]) -> float:
    """The whole rms where the fuse stands between a rectifier and its reservoir; else the direct amps."""
    nets = {fuse.net("1"), fuse.net("2")}
    return max((rms for _, rms, terminals in pulses.values() if nets & terminals and direct > 0.0), default=direct)

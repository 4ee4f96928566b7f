"""The tremolo: start margin and rate over the speed control, what reaches the output grids, and what a cathode resistor leaves of it.

Solved with the tremolo on and the intensity turned up, everything else as the controls stand, at nominal mains.

Retained share of a slow drive common to n tubes on one cathode resistor: |(1 + jw Rk Ck)/(1 + n gm Rk + jw Rk Ck)|, gm of plate and screen
together (derived; rule catalogue TRM-006).
"""

from __future__ import annotations

import math
from collections.abc import Mapping

import numpy as np

from ..circuit.netlist import GROUND, Capacitor, Netlist, Part, Pot, Resistor, StageInstance, TubeSection
from ..records import record, replace
from ..units.taper import track_fraction
from .modulation_depth import cut_off_grid_volts, needed_peak
from .operating import Solved, solve_system
from .oscillator import GRID, PLATE, Loop, Tube
from .oscillator_worst import worst_margin
from .results import Condition, OscillatorPoint, Tremolo
from .running import running
from .smallsignal import linearise
from .study import Study, silencers
from .swing import plate_swing
from .system import build_system
from .variants import added, moved_wiper, removed

KIND = "phase-shift-oscillator"
AT_THE_GRIDS = ("output-grid-injection", "bias-supply-injection")
"""Injections that move the output tubes' control grids: judged by the wave that arrives there."""
INJECTIONS = (*AT_THE_GRIDS, "preamp-cathode-injection", "inverter-injection", "optical-injection")
STILL_AMPS = 1e-9
"""A change that upsets no Kirchhoff sum by more than this has not moved the operating point."""
FIRST_VOLTS = 1e-3
"""Amplitude a build-up is counted from: what switching on leaves (own assumption)."""
NO_TUBE = 1e-9
"""Share of the plate conductance that is as good as none: the network alone, without the tube."""
CUT_OFF_SIEMENS = 1e-12
"""A tube with less transconductance or plate conductance is cut off: any leakage is more."""


@record
class _Oscillator:
    """The oscillator's stage with its parts found."""

    stage: StageInstance
    section: TubeSection
    load: Resistor
    speed: Pot | None
    intensity: Pot | None


def tremolo(study: Study) -> Tremolo | None:
    """None when the amp has no phase-shift oscillator, its tube is cut off, or it never finds a frequency."""
    found = _oscillator(study.netlist)
    if found is None or study.nominal.sections.get(found.section.ref) is None:
        return None
    solved = _on(study, found)
    if solved is None:
        return None
    tube = _tube(solved, found)
    if tube is None:
        return None
    power = [study.netlist.by_section[ref] for ref in study.netlist.power_sections]
    probes = [(found.section.plate, GROUND)]
    probes += [pair for s in power for pair in ((s.grid, GROUND), (s.grid, s.cathode))]
    ladder = _ladder(study.netlist, found.stage)
    probes += [(part.pins[0].net, part.pins[1].net) for part in ladder]
    loop = Loop(linearise(solved), found.section, tube, found.speed, probes)
    points = loop.points()
    if not points:
        return None
    slow = min(points, key=lambda p: p.hertz)
    grids, own = _arrival(loop, slow, len(power))
    swing = _swing(study, solved, loop, found, slow)
    worst = worst_margin(loop, ladder)
    stage = _injection(study.netlist)
    at_grids = stage is None or stage.kind in AT_THE_GRIDS
    return Tremolo(
        points=points,
        slow_hertz=slow.hertz,
        fast_hertz=max(p.hertz for p in points),
        injection=str(stage.facts.get("point", stage.kind)) if stage else "",
        injection_loss_db=20.0 * math.log10(grids) if at_grids and grids > 0.0 else None,
        retained=retained_formula(study.netlist, solved, slow.hertz) if at_grids else {},
        retained_siemens={ref: _siemens(study.netlist, solved, ref) for ref in study.netlist.power_sections},
        available_peak_volts=swing * grids if at_grids and swing is not None and grids > 0.0 else None,
        needed_peak_volts=needed_peak(study) if at_grids else None,
        cut_off_grid_volts=cut_off_grid_volts(study),
        retained_solved={s.ref: share for s, share in zip(power, own, strict=True)} if at_grids else {},
        plate_peak_volts=swing,
        start_seconds=_start(points, swing),
        speed_control=found.speed.control if found.speed else "",
        worst_margin=worst[0] if worst else None,
        worst_position=worst[1] if worst else None,
        set_hertz=(here := _standing(study, found, points)).hertz,
        running=running(solved, found.section, stage, slow.hertz, swing) if stage and not at_grids and swing is not None else None,
        plate_load_ohms=float(loop.ports(np.array(2j * np.pi * here.hertz), here.position, NO_TUBE)[PLATE, PLATE].real),
    )


def _standing(study: Study, found: _Oscillator, points: tuple[OscillatorPoint, ...]) -> OscillatorPoint:
    """The point nearest to where the speed control stands."""
    controls = study.nominal.condition.controls
    at = controls.get(found.speed.control, 0.5) if found.speed else 0.5
    return min(points, key=lambda p: abs(p.position - at))


def _oscillator(netlist: Netlist) -> _Oscillator | None:
    stage = next(iter(netlist.stages_of(KIND)), None)
    if stage is None:
        return None
    section = next((s for s in netlist.sections if s.stage == stage.id and not s.unused), None)
    load = netlist.by_ref.get(stage.parts.get("plate-load", ""))
    if section is None or not isinstance(load, Resistor):
        return None
    pots = [netlist.by_ref.get(stage.parts.get(role, "")) for role in ("speed", "intensity")]
    speed, intensity = (p if isinstance(p, Pot) else None for p in pots)
    return _Oscillator(stage, section, load, speed, intensity)


def _ladder(netlist: Netlist, stage: StageInstance) -> list[Part]:
    """Capacitors and shunt resistors of the ladder."""
    refs = [ref for role, ref in stage.parts.items() if role.startswith("step-")]
    return [netlist.by_ref[ref] for ref in refs]


def _on(study: Study, found: _Oscillator) -> Solved | None:
    """The nominal amp with the pedal open and the intensity turned up; None when it has no solution.

    Neither carries direct current in any injection there is, so the operating point stays; where it does not, it is solved again.
    """
    base = study.solved["nominal"]
    changes = list(removed(base.system, *silencers(study.netlist)))
    if found.intensity:
        changes += moved_wiper(base.system, found.intensity, track_fraction(found.intensity.taper, 1.0))
    g = added(base.system, base.system.G, changes)
    system = replace(base.system, G=g, condition=_condition(study, found))
    sums = np.abs(g @ base.x + system.B.T @ base.i - system.b)[: system.nodes]
    if float(np.max(sums, initial=0.0)) < STILL_AMPS:
        return replace(base, system=system, Y=added(base.system, base.Y, changes))
    solved = solve_system(build_system(study.netlist, system.condition))
    return solved if solved.convergence.converged else None


def _condition(study: Study, found: _Oscillator) -> Condition:
    condition = study.nominal.condition
    up = {found.intensity.control: 1.0} if found.intensity else {}
    return replace(condition, tremolo=True, controls=dict(condition.controls) | up)


def _tube(solved: Solved, found: _Oscillator) -> Tube | None:
    """None for a tube that is cut off: it amplifies nothing, whatever the network does."""
    bank = solved.system.bank
    at = {port.kind: k for k, port in enumerate(bank.ports) if port.owner == found.section.ref}
    gm, gp = solved.slopes[at["plate"], at["grid"]], solved.slopes[at["plate"], at["plate"]]
    return Tube(float(gm), 1.0 / float(gp), found.load.ohms) if min(gm, gp) > CUT_OFF_SIEMENS else None


def _arrival(loop: Loop, slow: OscillatorPoint, count: int) -> tuple[float, list[float]]:
    """Mean share of the plate's volts at the output grids, and per grid the share of its volts that stands against its cathode."""
    z = loop.ports(np.array(2j * np.pi * slow.hertz), slow.position)[:, PLATE]
    probes = z[loop.first_probe :]
    plate, grids, own = probes[0], probes[1::2][:count], probes[2::2][:count]
    if not count or abs(plate) <= 0.0:
        return 0.0, [1.0] * count
    shares = [float(abs(g / plate)) for g in grids]
    return sum(shares) / count, [float(abs(o / g)) if abs(g) > 0.0 else 1.0 for o, g in zip(own, grids, strict=True)]


def _swing(study: Study, solved: Solved, loop: Loop, found: _Oscillator, slow: OscillatorPoint) -> float | None:
    model = found.section.section.model
    if model is None or model.law != "triode" or not slow.starts:
        return None
    # the law has the tube's own plate resistance in it, so the network must not
    z = loop.ports(np.array(2j * np.pi * slow.hertz), slow.position, NO_TUBE)
    return plate_swing(
        model.parameters,
        solved.volts(found.section.grid) - solved.volts(found.section.cathode),
        solved.volts(found.section.plate) - solved.volts(found.section.cathode),
        found.load.ohms,
        abs(complex(z[PLATE, PLATE])),
        abs(complex(z[GRID, PLATE])),
    )


def _start(points: tuple[OscillatorPoint, ...], swing: float | None) -> float | None:
    """Seconds from FIRST_VOLTS to the plate's swing at the slowest build-up, 0 where it is no more; None when a position does not start."""
    if swing is None or not all(p.starts for p in points):
        return None
    return max(math.log(max(swing / FIRST_VOLTS, 1.0)) / p.pole.real for p in points)


def _injection(netlist: Netlist) -> StageInstance | None:
    return next((s for kind in INJECTIONS for s in netlist.stages_of(kind)), None)


def retained_formula(netlist: Netlist, solved: Solved, hertz: float) -> Mapping[str, float]:
    """Power section -> retained share by the formula in the module's head; 1 where the cathode is on ground."""
    found: dict[str, float] = {}
    for ref in netlist.power_sections:
        ohms, farads = _cathode(netlist, netlist.by_section[ref].cathode)
        found[ref] = retained(_siemens(netlist, solved, ref), ohms, farads, hertz)
    return found


def _siemens(netlist: Netlist, solved: Solved, ref: str) -> float:
    """Transconductance of plate and screen of every power section on the cathode of one."""
    ports = {(p.owner, p.kind): k for k, p in enumerate(solved.system.bank.ports)}
    total = 0.0
    for other in netlist.power_sections:
        if netlist.by_section[other].cathode == netlist.by_section[ref].cathode:
            g, p, screen = ports[other, "grid"], ports[other, "plate"], ports.get((other, "screen"))
            total += float(solved.slopes[p, g] + (solved.slopes[screen, g] if screen is not None else 0.0))
    return total


def retained(siemens: float, ohms: float, farads: float, hertz: float) -> float:
    """The formula in the module's head; siemens: gm of plate and screen of all tubes on the resistor together."""
    turn = 2j * math.pi * hertz * ohms * farads
    return abs((1.0 + turn) / (1.0 + siemens * ohms + turn))


def _cathode(netlist: Netlist, net: str) -> tuple[float, float]:
    """Ohms and farads from a cathode net to ground, parts that end on ground themselves; 0 ohms on ground."""
    if net == GROUND:
        return 0.0, 0.0
    siemens, farads = 0.0, 0.0
    for part, _ in netlist.on_net.get(net, ()):
        if GROUND in {pin.net for pin in part.pins}:
            siemens += 1.0 / part.ohms if isinstance(part, Resistor) else 0.0
            farads += part.farads if isinstance(part, Capacitor) else 0.0
    return (1.0 / siemens if siemens else 0.0), farads

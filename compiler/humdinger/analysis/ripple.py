"""Rectifiers under load, and the ripple they leave on the B+ nodes.

The charging pulse is that of the averaged law, with the reservoir held at its mean. Ripple on the reservoir: I/(pulses f C) times the
share of the charge that the pulse has to replace (I flows on during the pulse); the textbook I/(2fC) is that with share 1. It is the
first order in ripple over B+. Further nodes: the harmonics of the pulse train drive the linearised circuit at multiples of pulses * f,
and the waveform is put together again.

How far the averaged volts read high, `averaging_volts`, has two parts. Into a pure reservoir the ripple is odd about the crest, costs the
pulse nothing to first order, and AVERAGING_ERROR is what is left. The filter behind the reservoir takes ripple current in phase with the
ripple; that makes a part of the ripple even about the crest: the reservoir stands higher than its mean while it is charged. The amps
this costs are the second part. Both, as amps, times the resistance of the B+ node.

The halves of a doubler charge their reservoirs half a cycle apart: each capacitor has the ripple of a half-wave rectifier, and the
harmonics of both trains drive the circuit together, the odd ones of the second train turned round. On B+ the odd ones cancel between equal
halves and ripple at twice the mains is left, as of a full-wave rectifier on both capacitors in series. The winding carries both trains.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from typing import TYPE_CHECKING, Any

import numpy as np
from numpy.typing import NDArray

from ..circuit.netlist import WHOLE_WINDING, Capacitor, PowerTransformer
from ..records import record, replace
from .devices.averaged import AVERAGING_ERROR, Pulse, pulse_shape
from .devices.softplus import Floats
from .results import RectifierPoint
from .stacks import series_farads, stack_of
from .supply import LOWER, AveragedRectifier, no_load_volts
from .system import with_omega

if TYPE_CHECKING:
    from .operating import Solved

HARMONICS = 4
"""Of the charging pulses: the fourth is below 1 % of the first behind one RC section."""
STEPS = 48
"""Samples of a ripple cycle."""


@record(slots=False)
class Charging:
    """A rectifier's charging pulse at the solved volts, and what it does to the linearised circuit.

    row: of the rectifier among the ports. lines: (harmonics, n) complex volts and amps of all unknowns, cosine phase at the crest (of a
    doubler's first half for both); None when nothing flows or nothing was solved.
    """

    rectifier: AveragedRectifier
    row: int
    volts: float
    pulse: Pulse
    lines: NDArray[np.complexfloating[Any, Any]] | None


def charging(solved: Solved) -> Mapping[str, Charging]:
    """Rectifier id -> its charging."""
    found: dict[str, Charging] = {}
    halved = {r.rectifier for r in solved.system.elements.rectifiers if r.late}
    for r in solved.system.elements.rectifiers:
        row = next(k for k, p in enumerate(solved.system.bank.ports) if p.owner == r.name and p.kind == "rectifier")
        volts = solved.volts(r.plus) - solved.volts(r.minus)
        # twice the harmonics where the train has half the frequency
        pulse = pulse_shape(volts, r.peak, r.pulses, r.port(), 2 * HARMONICS if r.rectifier in halved else HARMONICS)
        found[r.name] = Charging(r, row, volts, pulse, None)
    trains: dict[str, list[Charging]] = {}
    for c in found.values():
        if c.pulse.mean_amps > 0.0 and solved.convergence.converged:
            trains.setdefault(c.rectifier.rectifier, []).append(c)
    for together in trains.values():
        lines = _lines(solved, together)
        found |= {c.rectifier.name: replace(c, lines=lines) for c in together}
    return found


def _turned(c: Charging) -> NDArray[np.floating[Any]]:
    """1 for every harmonic; of a train half a cycle late -1 for the odd ones."""
    order = np.arange(1, len(c.pulse.harmonics) + 1)
    return (-1.0) ** order if c.rectifier.late else np.ones(len(order))


def _lines(solved: Solved, together: list[Charging]) -> NDArray[np.complexfloating[Any, Any]]:
    """The linearised circuit with a rectifier (both halves of a doubler) replaced by the harmonics of its pulse train."""
    system = solved.system
    # the pulse is prescribed, so the averaged conductance of its port comes out again
    Y = solved.Y - sum(solved.slopes[c.row, c.row] * np.outer(system.B[c.row], system.A[c.row]) for c in together)
    order = np.arange(1, len(together[0].pulse.harmonics) + 1)
    omega = 2.0 * np.pi * system.netlist.mains_hertz * together[0].rectifier.pulses * order
    sides = sum(c.pulse.mean_amps * (_turned(c) * np.array(c.pulse.harmonics))[:, None] * system.A[c.row] for c in together)
    return np.linalg.solve(with_omega(Y, system.dynamic(), omega), np.asarray(sides)[..., None])[..., 0]


def rectifier_points(solved: Solved, found: Mapping[str, Charging]) -> Mapping[str, RectifierPoint]:
    """Every rectifier of the amp under load."""
    return {
        name: _doubler_point(solved, c, lower) if (lower := found.get(f"{name}{LOWER}")) else _point(solved, c)
        for name, c in found.items()
        if not c.rectifier.late
    }


def winding_rms_amps(c: Charging) -> float:
    """Of a half of a centre-tapped winding, which carries every other pulse; a whole winding carries all of them."""
    return c.pulse.rms_amps if c.rectifier.arrangement == "full-wave" else c.pulse.total_rms_amps


def _doubler_point(solved: Solved, c: Charging, lower: Charging) -> RectifierPoint:
    """Both halves of a doubler as one rectifier: volts of both capacitors, the winding with the pulses of both.

    A diode blocks the whole B+ while the other conducts. The ripple of B+ is that of a train of all pulses on both capacitors in series.
    """
    r = c.rectifier
    whole = solved.system.A[c.row] + solved.system.A[lower.row]
    first, second = _point(solved, c, whole), _point(solved, lower, whole)
    winding = math.hypot(first.winding_rms_amps, second.winding_rms_amps)
    farads = series_farads(_reservoirs(solved, r))
    both = pulse_shape(0.5 * (c.volts + lower.volts), r.peak, 2, r.port())
    flat = 0.5 * both.mean_amps / (2.0 * solved.system.netlist.mains_hertz * farads) if farads > 0.0 else 0.0
    volts, drop = first.dc_volts + second.dc_volts, first.device_drop_volts + second.device_drop_volts
    peak = max(first.peak_amps, second.peak_amps)
    return replace(
        first,
        dc_volts=volts,
        winding_rms_amps=winding,
        form_factor=winding / c.pulse.mean_amps if c.pulse.mean_amps > 0.0 else 0.0,
        peak_amps=peak,
        ripple_volts_pp=flat * both.ripple_share,
        inverse_peak_volts=volts + r.device_drop(peak),
        inverse_peak_unloaded_volts=2.0 * r.no_load_peak,
        device_drop_volts=drop,
        averaging_volts=first.averaging_volts + second.averaging_volts,
        winding_volts_rms=_winding_volts(solved, c, winding, _taken_watts(c) + _taken_watts(lower)),
        charging_rms_amps=winding,
    )


def _point(solved: Solved, c: Charging, across: Floats | None = None) -> RectifierPoint:
    """across: picks the volts whose error is asked for from all unknowns; those of the rectifier itself unless said otherwise."""
    r, pulse = c.rectifier, c.pulse
    winding = winding_rms_amps(c)
    farads = _own_farads(solved, r)
    flat = pulse.mean_amps / (r.pulses * solved.system.netlist.mains_hertz * farads) if farads > 0.0 else 0.0
    ripple = flat * pulse.ripple_share
    bridge = r.arrangement in WHOLE_WINDING
    return RectifierPoint(
        dc_volts=c.volts,
        dc_amps=-float(solved.i[c.row]),
        emf_peak_volts=r.peak + r.silicon_volts,
        source_ohms=r.ohms,
        winding_rms_amps=winding,
        form_factor=winding / pulse.mean_amps if pulse.mean_amps > 0.0 else 0.0,
        peak_amps=pulse.peak_amps,
        ripple_volts_pp=ripple,
        inverse_peak_volts=c.volts + (0.5 * r.device_drop(pulse.peak_amps) if bridge else r.peak),
        inverse_peak_unloaded_volts=r.no_load_peak if bridge else 2.0 * r.no_load_peak,
        device_drop_volts=r.device_drop(pulse.mean_amps),
        no_load_volts_rms=r.no_load_peak / math.sqrt(2.0),
        averaging_volts=_averaging_volts(solved, c, ripple, solved.system.A[c.row] if across is None else across),
        winding_volts_rms=_winding_volts(solved, c, winding, _taken_watts(c)),
        charging_rms_amps=pulse.total_rms_amps,
    )


def _taken_watts(c: Charging) -> float:
    """What the reservoir and the devices, at the mean current, take of a rectifier's pulses."""
    return c.pulse.mean_amps * (c.volts + c.rectifier.device_drop(c.pulse.mean_amps))


def _winding_volts(solved: Solved, c: Charging, rms: float, taken: float) -> float:
    """Rms volts at the ends of the loaded winding (one half when centre-tapped): EMF less the drop of the pulses.

    v = e - p s - h i, i the amps of this winding, s those of both halves as the primary sees them, p and h the resistance of the primary
    (referred) and of the winding. The power the EMF gives is what the reservoir and the devices take, `taken`, and the leg.
    """
    r = c.rectifier
    rectifier = next(x for x in solved.system.netlist.rectifiers if x.id == r.rectifier)
    transformer = solved.system.netlist.by_ref[rectifier.transformer]
    assert isinstance(transformer, PowerTransformer)
    winding = transformer.winding(rectifier.winding)
    own = sum(winding.resistance) / len(winding.resistance) if winding.resistance else 0.0
    primary = (no_load_volts(transformer, winding, r.arrangement) / transformer.primary_volts) ** 2 * transformer.primary_resistance
    sides = 2 if r.arrangement == "full-wave" else 1
    power = taken / sides + r.ohms * rms**2
    lost = 2.0 * power * (sides * primary + own)
    drop = (sides * primary**2 + 2.0 * primary * own + own**2) * rms**2
    return math.sqrt(max(0.5 * (r.peak + r.silicon_volts) ** 2 - lost + drop, 0.0))


def _averaging_volts(solved: Solved, c: Charging, ripple: float, across: Floats) -> float:
    """By how much the averaged volts read high; both parts of it as in the module's head."""
    if c.lines is None or c.volts <= 0.0 or c.pulse.theta <= 0.0:
        return 0.0
    even = _turned(c) * np.real(c.lines @ solved.system.A[c.row])
    filtered = float(even @ np.array(c.pulse.siemens))
    pure = AVERAGING_ERROR * (ripple / c.pulse.theta) ** 2 / c.volts * float(solved.slopes[c.row, c.row])
    ohms = float(across @ np.linalg.solve(solved.Y, solved.system.B[c.row]))
    return (filtered + pure) * ohms


def _reservoirs(solved: Solved, r: AveragedRectifier) -> tuple[Capacitor, ...]:
    """The capacitors in series that a rectifier, or both halves of a doubler, charge."""
    netlist = solved.system.netlist
    reservoir = next((x.reservoir for x in netlist.rectifiers if x.id == r.rectifier), "")
    return stack_of(netlist, reservoir)


def _own_farads(solved: Solved, r: AveragedRectifier) -> float:
    """What a rectifier charges; one capacitor of two by a half of a doubler."""
    found = _reservoirs(solved, r)
    if r.arrangement == "doubler":
        found = found[1:2] if r.late else found[:1]
    return series_farads(found)


def ripple_volts(solved: Solved, charged: Mapping[str, Charging]) -> Mapping[str, float]:
    """Peak to peak ripple on every B+ node, and on the DC terminals of every rectifier; of several rectifiers the root of the squares."""
    index = solved.system.index
    found: dict[str, float] = {}
    for c in charged.values():
        if c.lines is None or c.rectifier.late:  # the lines of a doubler's first half are those of both
            continue
        turns = np.exp(2j * np.pi * np.outer(np.arange(STEPS) / STEPS, np.arange(1, len(c.lines) + 1)))
        nets = [n for n in dict.fromkeys((*solved.system.netlist.b_plus, c.rectifier.plus, c.rectifier.minus)) if n in index]
        waves = np.real(turns @ c.lines[:, [index[n] for n in nets]])
        for net, volts in zip(nets, np.ptp(waves, axis=0).tolist(), strict=True):
            found[net] = (found.get(net, 0.0) ** 2 + volts**2) ** 0.5
    return found

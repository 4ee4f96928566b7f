"""Rectifiers under load, and the ripple they leave on the B+ nodes.

The charging pulse is that of the averaged law, with the reservoir held at its mean. Ripple on the reservoir: I/(pulses f C) times the
share of the charge that the pulse has to replace (I flows on during the pulse); the textbook I/(2fC) is that with share 1. It is the
first order in ripple over B+. Further nodes: the harmonics of the pulse train drive the linearised circuit at multiples of pulses * f,
and the waveform is put together again.

How far the averaged volts read high, `averaging_volts`, has two parts. Into a pure reservoir the ripple is odd about the crest, costs the
pulse nothing to first order, and AVERAGING_ERROR is what is left. The filter behind the reservoir takes ripple current in phase with the
ripple; that makes a part of the ripple even about the crest: the reservoir stands higher than its mean while it is charged. The amps
this costs are the second part. Both, as amps, times the resistance of the B+ node.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from typing import TYPE_CHECKING, Any

import numpy as np
from numpy.typing import NDArray

from ..circuit.netlist import PowerTransformer
from ..records import record
from .devices.averaged import AVERAGING_ERROR, Pulse, pulse_shape
from .results import RectifierPoint
from .stacks import series_farads, stack_of
from .supply import AveragedRectifier, no_load_volts
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

    row: of the rectifier among the ports. lines: (harmonics, n) complex volts and amps of all unknowns, cosine phase at the crest;
    None when nothing flows or nothing was solved.
    """

    rectifier: AveragedRectifier
    row: int
    volts: float
    pulse: Pulse
    lines: NDArray[np.complexfloating[Any, Any]] | None


def charging(solved: Solved) -> Mapping[str, Charging]:
    """Rectifier id -> its charging."""
    found: dict[str, Charging] = {}
    for r in solved.system.elements.rectifiers:
        row = next(k for k, p in enumerate(solved.system.bank.ports) if p.owner == r.name and p.kind == "rectifier")
        volts = solved.volts(r.plus) - solved.volts(r.minus)
        pulse = pulse_shape(volts, r.peak, r.pulses, r.port(), HARMONICS)
        flows = pulse.mean_amps > 0.0 and solved.convergence.converged
        found[r.name] = Charging(r, row, volts, pulse, _lines(solved, r, row, pulse) if flows else None)
    return found


def _lines(solved: Solved, r: AveragedRectifier, row: int, pulse: Pulse) -> NDArray[np.complexfloating[Any, Any]]:
    """The linearised circuit with the rectifier replaced by the harmonics of its pulse train."""
    system = solved.system
    drive = system.A[row]
    # the pulse is prescribed, so the averaged conductance of this port comes out again
    Y = solved.Y - solved.slopes[row, row] * np.outer(system.B[row], drive)
    omega = 2.0 * np.pi * system.netlist.mains_hertz * r.pulses * np.arange(1, HARMONICS + 1)
    sides = pulse.mean_amps * np.array(pulse.harmonics)[:, None] * drive
    return np.linalg.solve(with_omega(Y, system.dynamic(), omega), sides[..., None])[..., 0]


def rectifier_points(solved: Solved, found: Mapping[str, Charging]) -> Mapping[str, RectifierPoint]:
    """Every rectifier of the amp under load."""
    return {name: _point(solved, c) for name, c in found.items()}


def _point(solved: Solved, c: Charging) -> RectifierPoint:
    r, pulse = c.rectifier, c.pulse
    # a half of a centre-tapped winding carries every other pulse, a whole winding all of them
    winding = pulse.rms_amps if r.arrangement == "full-wave" else pulse.total_rms_amps
    farads = _reservoir_farads(solved, r)
    flat = pulse.mean_amps / (r.pulses * solved.system.netlist.mains_hertz * farads) if farads > 0.0 else 0.0
    ripple = flat * pulse.ripple_share
    bridge = r.arrangement == "bridge"
    return RectifierPoint(
        dc_volts=c.volts,
        dc_amps=-float(solved.i[c.row]),
        emf_peak_volts=r.peak,
        source_ohms=r.ohms,
        winding_rms_amps=winding,
        form_factor=winding / pulse.mean_amps if pulse.mean_amps > 0.0 else 0.0,
        peak_amps=pulse.peak_amps,
        ripple_volts_pp=ripple,
        inverse_peak_volts=c.volts + (0.5 * r.device_drop(pulse.peak_amps) if bridge else r.peak),
        inverse_peak_unloaded_volts=r.no_load_peak if bridge else 2.0 * r.no_load_peak,
        device_drop_volts=r.device_drop(pulse.mean_amps),
        no_load_volts_rms=r.no_load_peak / math.sqrt(2.0),
        averaging_volts=_averaging_volts(solved, c, ripple),
        winding_volts_rms=_winding_volts(solved, c, winding),
        charging_rms_amps=pulse.total_rms_amps,
    )


def _winding_volts(solved: Solved, c: Charging, rms: float) -> float:
    """Rms volts at the ends of the loaded winding (one half when centre-tapped): EMF less the drop of the pulses.

    v = e - p s - h i, i the amps of this winding, s those of both halves as the primary sees them, p and h the resistance of the primary
    (referred) and of the winding. The power the EMF gives is what the reservoir, the devices (at the mean current) and the leg take.
    """
    r = c.rectifier
    rectifier = next(x for x in solved.system.netlist.rectifiers if x.id == r.name)
    transformer = solved.system.netlist.by_ref[rectifier.transformer]
    assert isinstance(transformer, PowerTransformer)
    winding = transformer.winding(rectifier.winding)
    own = sum(winding.resistance) / len(winding.resistance) if winding.resistance else 0.0
    primary = (no_load_volts(transformer, winding, r.arrangement) / transformer.primary_volts) ** 2 * transformer.primary_resistance
    sides = 2 if r.arrangement == "full-wave" else 1
    amps = c.pulse.mean_amps / sides
    power = amps * (c.volts + r.device_drop(c.pulse.mean_amps)) + r.ohms * rms**2
    lost = 2.0 * power * (sides * primary + own)
    drop = (sides * primary**2 + 2.0 * primary * own + own**2) * rms**2
    return math.sqrt(max(0.5 * r.peak**2 - lost + drop, 0.0))


def _averaging_volts(solved: Solved, c: Charging, ripple: float) -> float:
    """By how much the averaged volts read high; both parts of it as in the module's head."""
    if c.lines is None or c.volts <= 0.0 or c.pulse.theta <= 0.0:
        return 0.0
    even = np.real(c.lines @ solved.system.A[c.row])
    filtered = float(even @ np.array(c.pulse.siemens))
    pure = AVERAGING_ERROR * (ripple / c.pulse.theta) ** 2 / c.volts * float(solved.slopes[c.row, c.row])
    ohms = float(solved.system.A[c.row] @ np.linalg.solve(solved.Y, solved.system.B[c.row]))
    return (filtered + pure) * ohms


def _reservoir_farads(solved: Solved, r: AveragedRectifier) -> float:
    netlist = solved.system.netlist
    reservoir = next((x.reservoir for x in netlist.rectifiers if x.id == r.name), "")
    return series_farads(stack_of(netlist, reservoir))


def ripple_volts(solved: Solved, charged: Mapping[str, Charging]) -> Mapping[str, float]:
    """Peak to peak ripple on every B+ node, and on the DC terminals of every rectifier; of several rectifiers the root of the squares."""
    index = solved.system.index
    turns = np.exp(2j * np.pi * np.outer(np.arange(STEPS) / STEPS, np.arange(1, HARMONICS + 1)))
    found: dict[str, float] = {}
    for c in charged.values():
        if c.lines is None:
            continue
        nets = [n for n in dict.fromkeys((*solved.system.netlist.b_plus, c.rectifier.plus, c.rectifier.minus)) if n in index]
        waves = np.real(turns @ c.lines[:, [index[n] for n in nets]])
        for net, volts in zip(nets, np.ptp(waves, axis=0).tolist(), strict=True):
            found[net] = (found.get(net, 0.0) ** 2 + volts**2) ** 0.5
    return found

"""Rectifiers under load, and the ripple they leave on the B+ nodes.

The charging pulse is that of the averaged law, with the reservoir held at its mean. Ripple on the reservoir: I/(pulses f C) times the
share of the charge that the pulse has to replace (I flows on during the pulse); the textbook I/(2fC) is that with share 1. It is the
first order in ripple over B+. Further nodes: the harmonics of the pulse train drive the linearised circuit at multiples of pulses * f,
and the waveform is put together again.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from typing import TYPE_CHECKING

import numpy as np

from ..circuit.netlist import Capacitor
from .devices.averaged import AVERAGING_ERROR, Pulse, pulse_shape
from .results import RectifierPoint
from .supply import AveragedRectifier

if TYPE_CHECKING:
    from .operating import Solved

HARMONICS = 4
"""Of the charging pulses: the fourth is below 1 % of the first behind one RC section."""
STEPS = 48
"""Samples of a ripple cycle."""


def charging_pulses(solved: Solved) -> Mapping[str, Pulse]:
    """Rectifier id -> its charging pulse at the solved volts."""
    return {
        r.name: pulse_shape(solved.volts(r.plus) - solved.volts(r.minus), r.peak, r.pulses, r.port(), HARMONICS)
        for r in solved.system.elements.rectifiers
    }


def rectifier_points(solved: Solved, pulses: Mapping[str, Pulse]) -> Mapping[str, RectifierPoint]:
    """Every rectifier of the amp under load."""
    return {r.name: _point(solved, r, pulses[r.name]) for r in solved.system.elements.rectifiers}


def _point(solved: Solved, r: AveragedRectifier, pulse: Pulse) -> RectifierPoint:
    volts = solved.volts(r.plus) - solved.volts(r.minus)
    amps = -float(solved.i[_row(solved, r)])
    # a half of a centre-tapped winding carries every other pulse, a whole winding all of them
    winding = pulse.rms_amps if r.arrangement == "full-wave" else pulse.total_rms_amps
    farads = _reservoir_farads(solved, r)
    flat = pulse.mean_amps / (r.pulses * solved.system.netlist.mains_hertz * farads) if farads > 0.0 else 0.0
    ripple = flat * pulse.ripple_share
    bridge = r.arrangement == "bridge"
    return RectifierPoint(
        dc_volts=volts,
        dc_amps=amps,
        emf_peak_volts=r.peak,
        source_ohms=r.ohms,
        winding_rms_amps=winding,
        form_factor=winding / pulse.mean_amps if pulse.mean_amps > 0.0 else 0.0,
        peak_amps=pulse.peak_amps,
        ripple_volts_pp=ripple,
        inverse_peak_volts=volts + (0.5 * r.device_drop(pulse.peak_amps) if bridge else r.peak),
        inverse_peak_unloaded_volts=r.no_load_peak if bridge else 2.0 * r.no_load_peak,
        device_drop_volts=r.device_drop(pulse.mean_amps),
        no_load_volts_rms=r.no_load_peak / math.sqrt(2.0),
        averaging_volts=AVERAGING_ERROR * (ripple / pulse.theta) ** 2 / volts if volts > 0.0 and pulse.theta > 0.0 else 0.0,
    )


def _row(solved: Solved, r: AveragedRectifier) -> int:
    """Row of a rectifier among the ports."""
    return next(k for k, p in enumerate(solved.system.bank.ports) if p.owner == r.name and p.kind == "rectifier")


def _reservoir_farads(solved: Solved, r: AveragedRectifier) -> float:
    netlist = solved.system.netlist
    reservoir = next((x.reservoir for x in netlist.rectifiers if x.id == r.name), "")
    part = netlist.by_ref.get(reservoir)
    return part.farads if isinstance(part, Capacitor) else 0.0


def ripple_volts(solved: Solved, pulses: Mapping[str, Pulse]) -> Mapping[str, float]:
    """Peak to peak ripple on every B+ node, and on the DC terminals of every rectifier."""
    system = solved.system
    if not solved.convergence.converged:
        return {}
    found: dict[str, float] = {}
    for r in system.elements.rectifiers:
        pulse = pulses[r.name]
        if pulse.mean_amps <= 0.0:
            continue
        nets = [n for n in system.netlist.b_plus if n in system.index]
        nets += [n for n in (r.plus, r.minus) if n in system.index and n not in nets]
        for net, volts in _through(solved, r, pulse, nets).items():
            found[net] = (found.get(net, 0.0) ** 2 + volts**2) ** 0.5
    return found


def _through(solved: Solved, r: AveragedRectifier, pulse: Pulse, nets: list[str]) -> Mapping[str, float]:
    """Peak to peak at the nets with the rectifier replaced by its pulse train."""
    system = solved.system
    port = _row(solved, r)
    drive = system.A[port]
    # the pulse is prescribed, so the averaged conductance of this port comes out again
    Y = solved.Y - solved.slopes[port, port] * np.outer(system.B[port], drive)
    order = np.arange(1, HARMONICS + 1)
    omega = 2.0 * np.pi * system.netlist.mains_hertz * r.pulses * order
    matrices = Y + 1j * omega[:, None, None] * system.dynamic()
    sides = pulse.mean_amps * np.array(pulse.harmonics)[:, None] * drive
    lines = np.linalg.solve(matrices, sides[..., None])[..., 0]
    turns = np.exp(2j * np.pi * np.outer(np.arange(STEPS) / STEPS, order))
    waves = np.real(turns @ lines[:, [system.index[n] for n in nets]])
    return {net: float(np.ptp(waves[:, k])) for k, net in enumerate(nets)}

"""How far the plate of a phase-shift oscillator swings, without running it.

First harmonic only: the grid moves by A cos, the tube's law gives a plate current with first harmonic I1 and mean I0, and the network gives
back |Zg| I1 at the grid; the amplitude is where that equals A. Two things hold it down, and both are in: the tube cuts off at the bottom,
and the grid draws current at the top, which through the ladder's megohms pulls the mean grid voltage down until the crest just touches
GRID_TOP. The plate's mean follows I0 along the load.

Own estimate: the ladder passes harmonics, so the true wave is no sine. It read 4 and 8 % high on two circuits stepped through time with
ngspice (one of them is in tests/analysis/test_tremolo.py).
"""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np

from .devices.softplus import Floats
from .devices.triode import TriodeParameters, triode_currents

GRID_TOP = 0.2
"""Volts of the grid's crest against the cathode, held by grid current in a source of megohms (knee of the grid law at 0.3 V)."""
AMPLITUDES = np.geomspace(0.1, 60.0, 28)
PHASES = np.cos((np.arange(16) + 0.5) * np.pi / 16.0)
ROUNDS = 8


def plate_swing(
    parameters: Mapping[str, float],
    grid_volts: float,
    plate_volts: float,
    load_ohms: float,
    plate_impedance: float,
    grid_impedance: float,
) -> float | None:
    """Peak volts at the plate; None when no amplitude holds itself up (the stage does not oscillate).

    grid_volts, plate_volts: idle, to the cathode. load_ohms: for the mean current. plate_impedance, grid_impedance: magnitude of the
    volts at plate and grid per amp of plate current at the rate, the tube's own plate resistance not in the network.
    """
    law = TriodeParameters.stack([parameters])
    idle = float(triode_currents(np.array([[grid_volts]]), np.array([[plate_volts]]), law).plate[0, 0])
    a = AMPLITUDES[:, None]
    grid = np.minimum(grid_volts, GRID_TOP - a) + a * PHASES
    first, mean = np.zeros_like(a), np.full_like(a, idle)
    for _ in range(ROUNDS):
        plate = plate_volts - load_ohms * (mean - idle) - plate_impedance * first * PHASES
        found = triode_currents(grid[..., None], plate[..., None], law)
        amps, siemens = found.plate[..., 0], found.plate_by_plate[..., 0]
        # Newton on both at once: a plate that loads itself makes plain repetition swing
        off_first = first - 2.0 * _mean(amps * PHASES)
        off_mean = mean - _mean(amps)
        slope, slant, bend = _mean(siemens), _mean(siemens * PHASES), _mean(siemens * PHASES * PHASES)
        j11, j12 = 1.0 + 2.0 * bend * plate_impedance, 2.0 * slant * load_ohms
        j21, j22 = slant * plate_impedance, 1.0 + slope * load_ohms
        determinant = j11 * j22 - j12 * j21
        first = first - (j22 * off_first - j12 * off_mean) / determinant
        mean = mean - (j11 * off_mean - j21 * off_first) / determinant
    excess = grid_impedance * first[:, 0] - AMPLITUDES
    falls = np.flatnonzero((excess[:-1] > 0.0) & (excess[1:] <= 0.0))
    if not falls.size:
        return None
    k = int(falls[-1])
    share = excess[k] / (excess[k] - excess[k + 1])
    return float(plate_impedance * (first[k, 0] + share * (first[k + 1, 0] - first[k, 0])))


def _mean(values: Floats) -> Floats:
    """Over the phases, kept as a column."""
    return np.mean(values, axis=1, keepdims=True)

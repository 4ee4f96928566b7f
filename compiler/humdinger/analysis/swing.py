"""How far the plate of a phase-shift oscillator swings, without running it.

First harmonic only: the grid moves by A cos, the tube's law gives a plate current with first harmonic I1 and mean I0, and the network gives
back |Zg| I1 at the grid; the amplitude is where that equals A. Two things hold it down, and both are in: the tube cuts off at the bottom,
and the grid draws current at the top, which through the ladder's megohms pulls the mean grid voltage down until the crest just touches
GRID_TOP. The plate's mean follows I0 along the load.

Own estimate: the ladder passes harmonics, so the true wave is no sine. Against time-stepped circuits see tests/analysis/test_tremolo.py.
"""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np

from .devices.triode import TriodeParameters, triode_currents

GRID_TOP = 0.2
"""Volts of the grid's crest against the cathode, held by grid current in a source of megohms (knee of the grid law at 0.3 V)."""
AMPLITUDES = np.geomspace(0.05, 60.0, 48)
PHASES = np.cos((np.arange(24) + 0.5) * np.pi / 24.0)
ROUNDS = 40


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
        amps = triode_currents(grid[..., None], plate[..., None], law).plate[..., 0]
        # halfway steps: the plate current falls where the plate voltage does, and whole ones would swing
        first = 0.5 * first + np.mean(amps * PHASES, axis=1, keepdims=True)
        mean = 0.5 * mean + 0.5 * np.mean(amps, axis=1, keepdims=True)
    excess = grid_impedance * first[:, 0] - AMPLITUDES
    falls = np.flatnonzero((excess[:-1] > 0.0) & (excess[1:] <= 0.0))
    if not falls.size:
        return None
    k = int(falls[-1])
    share = excess[k] / (excess[k] - excess[k + 1])
    return float(plate_impedance * (first[k, 0] + share * (first[k + 1, 0] - first[k, 0])))

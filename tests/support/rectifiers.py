"""A capacitor-input rectifier stepped through time until it repeats: the slow, plain way, as a check of the averaged law."""

from __future__ import annotations

import math
from collections.abc import Callable
from typing import NamedTuple

import numpy as np

Leg = Callable[[float], float]
"""Volts across device and source resistance -> amps; 0 for negative volts."""


class Cycle(NamedTuple):
    """A settled half-cycle (full-wave). mean: volts; ripple_pp, ripple_rms: volts; peak_amps; mean_amps into the reservoir."""

    mean: float
    ripple_pp: float
    ripple_rms: float
    peak_amps: float
    mean_amps: float


def settled(peak: float, hertz: float, farads: float, load: Callable[[float], float], leg: Leg, start: float, steps: int = 1500) -> Cycle:
    """Full-wave rectifier, reservoir and load (volts -> amps), settled by secant steps on the volts at the start of a half-cycle.

    Heun's method, `steps` a half-cycle, from crest to crest of zero crossings.
    """
    dt = 0.5 / hertz / steps
    wave = [abs(peak * math.sin(math.pi * k / steps)) for k in range(steps + 1)]

    def run(v: float) -> tuple[list[float], list[float]]:
        volts, amps = [v], [leg(wave[0] - v)]
        for k in range(steps):
            first = (amps[-1] - load(v)) / farads
            guess = v + dt * first
            v += 0.5 * dt * (first + (leg(wave[k + 1] - guess) - load(guess)) / farads)
            volts.append(v)
            amps.append(leg(wave[k + 1] - v))
        return volts, amps

    before, low = start, start * 0.99
    gap_before = run(before)[0][-1] - before
    for _ in range(12):
        gap = run(low)[0][-1] - low
        if abs(gap) < 1e-6 or gap == gap_before:
            break
        before, low, gap_before = low, low - gap * (low - before) / (gap - gap_before), gap
    volts, amps = (np.array(x[1:]) for x in run(low))
    return Cycle(float(volts.mean()), float(np.ptp(volts)), float(volts.std()), float(amps.max()), float(amps.mean()))

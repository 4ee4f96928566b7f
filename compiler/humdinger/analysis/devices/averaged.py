"""A rectifier with a reservoir capacitor, averaged over a mains cycle into one port.

The reservoir stands at V; a leg conducts while its EMF, peak * cos(phi), is above V. The direct current of one leg is
(1/2pi) times the integral of i(peak cos(phi) - V) over the conduction angle -theta..theta, theta = arccos(V/peak); i is device and
source resistance as one port. A full-wave circuit and a bridge conduct twice a cycle, a half-wave circuit (or one with a diode open) once.
The integral is a 24-point Gauss-Legendre sum; it lies within some 10 mV of the closed form for a constant drop.

Own law (the idea of an average over the conduction angle is common practice). It takes V as constant over the cycle, so it reads high, by
AVERAGING_ERROR (ripple peak to peak / (V theta))² of V within a fifth, silicon and tubes alike (measured against circuits stepped through
time, source resistance 0.5 to 10 % of the load). A filter behind the reservoir adds to that, see `ripple`.
"""

from __future__ import annotations

from collections.abc import Callable
from functools import cache
from typing import NamedTuple

import numpy as np

from .softplus import Floats

OnePort = Callable[[Floats], tuple[Floats, Floats]]
"""Volts with a trailing axis of sample points -> amps and siemens of the same shape."""

POINTS = 24
PULSE_POINTS = 96
"""For the shape of one pulse, where the crest and the harmonics count."""
AVERAGING_ERROR = 0.17
FULLY_OPEN = 1.0 - 1e-12
"""|V/peak| is held below this: the slope of arccos is infinite at 1."""


@cache
def _rule(points: int = POINTS) -> tuple[Floats, Floats]:
    """Gauss-Legendre on 0..1: Newton on the Legendre polynomial from the usual cosines (numpy's own rule costs an import of 3 ms)."""
    x = np.cos(np.pi * (np.arange(points, 0, -1) - 0.25) / (points + 0.5))
    slope = x
    for _ in range(6):
        before, here = np.ones(points), x
        for k in range(2, points + 1):
            before, here = here, ((2 * k - 1) * x * here - (k - 1) * before) / k
        slope = points * (x * here - before) / (x * x - 1.0)
        x = x - here / slope
    return 0.5 * (x + 1.0), 1.0 / ((1.0 - x * x) * slope**2)


def quadrature() -> tuple[tuple[float, ...], tuple[float, ...]]:
    """Nodes and weights on 0..1, for decks that have to write the sum out."""
    nodes, weights = _rule()
    return tuple(map(float, nodes)), tuple(map(float, weights))


def averaged_current(volts: Floats, peak: Floats, pulses: Floats, port: OnePort) -> tuple[Floats, Floats]:
    """Direct amps delivered at `volts` on the reservoir, and d(amps)/d(volts) (negative), of one shape.

    peak: peak EMF of a leg, volts. pulses: conductions per cycle, 1 or 2. port: one conducting leg.
    """
    nodes, weights = _rule()
    v = np.asarray(volts, dtype=float)
    share = v / peak
    ratio = np.minimum(np.maximum(share, -FULLY_OPEN), FULLY_OPEN)
    theta = np.arccos(ratio)
    theta_slope = (ratio == share) / (-peak * np.sqrt(1.0 - ratio * ratio))
    angle = theta[..., None] * nodes
    crest = peak[..., None]
    amps, siemens = port(crest * np.cos(angle) - v[..., None])
    total = amps @ weights
    # the sample points move with theta, so their drive changes by more than -1
    moved = theta_slope * peak * ((siemens * np.sin(angle)) @ (nodes * weights))
    total_slope = -moved - siemens @ weights
    return pulses * theta / np.pi * total, pulses / np.pi * (theta_slope * total + theta * total_slope)


class Pulse(NamedTuple):
    """The charging pulse of one leg with the reservoir held at `volts`. theta: half its conduction angle.

    rms_amps: of one leg over the whole cycle; peak_amps: at the crest; ripple_share: ripple peak to peak over I/(pulses f C);
    harmonics: amplitude of the 1st, 2nd ... harmonic of the pulse train over its mean (all legs together), peak.
    siemens: mean over a cycle of the legs' conductance times the cosine of the 1st, 2nd ... harmonic.
    total_rms_amps: of all legs together.
    """

    mean_amps: float
    rms_amps: float
    total_rms_amps: float
    peak_amps: float
    ripple_share: float
    harmonics: tuple[float, ...]
    theta: float
    siemens: tuple[float, ...]


def pulse_shape(volts: float, peak: float, pulses: int, port: OnePort, harmonics: int = 6) -> Pulse:
    """Shape of the charging current, from the same law. Everything is 0 when nothing flows (volts at or above the peak EMF)."""
    theta = float(np.arccos(np.clip(volts / peak, -1.0, 1.0)))
    nodes, weights = _rule(PULSE_POINTS)
    angle, weights = theta * nodes, theta * weights
    amps, slopes = port(peak * np.cos(angle) - volts)
    mean = pulses / np.pi * float(amps @ weights)
    crest = float(port(np.array([peak - volts]))[0][0])
    if mean <= 0.0:
        return Pulse(0.0, 0.0, 0.0, 0.0, 0.0, (0.0,) * harmonics, theta, (0.0,) * harmonics)
    square = float((amps * amps) @ weights) / np.pi
    share = pulses / np.pi * float(np.maximum(amps / mean - 1.0, 0.0) @ weights)
    order = np.arange(1, harmonics + 1)
    turns = np.cos(pulses * np.outer(order, angle))
    lines = 2.0 * pulses / np.pi * (turns @ (amps * weights)) / mean
    siemens = pulses / np.pi * (turns @ (slopes * weights))
    return Pulse(mean, square**0.5, (pulses * square) ** 0.5, crest, share, tuple(lines.tolist()), theta, tuple(siemens.tolist()))

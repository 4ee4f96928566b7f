"""A silicon diode with the resistance in series with it, as one port.

Diode: i = Is (exp(vd/Vn) - 1), Vn = n k T/q times the number of diodes in series (Shockley). With R in series the port obeys
R Is (exp w - 1) + Vn w = v, w = vd/Vn. Solved for w by Newton from an upper bound of the root: the left side is convex and rising,
so the steps come down on the root and never overshoot. The slope of the port never exceeds 1/R, which is what makes it safe inside
another Newton iteration; a bare exponential is not.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from .softplus import Floats

THERMAL_VOLTS = 1.380649e-23 * 300.15 / 1.602176634e-19
"""kT/q at 27 °C, the temperature at which SPICE programs take a diode model."""


class DiodeParameters(NamedTuple):
    """saturation: amps; emission_volts: n kT/q times diodes in series; ohms: in series, more than 0."""

    saturation: Floats
    emission_volts: Floats
    ohms: Floats


def diode_current(volts: Floats, p: DiodeParameters) -> tuple[Floats, Floats]:
    """Amps and siemens of diode and resistance at the volts across both, any shape that broadcasts with the parameters."""
    v = np.asarray(volts, dtype=float)
    leak = p.ohms * p.saturation
    w = np.minimum((v + leak) / p.emission_volts, np.log1p(np.maximum(v, 0.0) / leak))
    for _ in range(40):
        grown = leak * np.exp(w)
        step = (grown - leak + p.emission_volts * w - v) / (grown + p.emission_volts)
        w = w - step
        if np.all(np.abs(step) <= 1e-13 * (1.0 + np.abs(w))):
            break
    grown = p.saturation * np.exp(w)
    return p.saturation * np.expm1(w), grown / (p.ohms * grown + p.emission_volts)

"""A rectifier tube plate with the resistance in series with it, as one port.

i = k vd^1.5 for vd > 0 (Child-Langmuir; k is the perveance, A/V^1.5), with R in series: with x = sqrt(vd), R k x³ + x² = v.
Solved by Newton from an upper bound of the root; convex, so it never overshoots. Slope at most 1/R.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from .softplus import Floats


class RectifierTubeParameters(NamedTuple):
    """perveance: A/V^1.5 of one plate; ohms: in series, more than 0."""

    perveance: Floats
    ohms: Floats


def rectifier_tube_current(volts: Floats, p: RectifierTubeParameters) -> tuple[Floats, Floats]:
    """Amps and siemens of plate and resistance at the volts across both, any shape that broadcasts with the parameters."""
    v = np.maximum(np.asarray(volts, dtype=float), 0.0)
    cubic = p.ohms * p.perveance
    x = np.minimum(np.sqrt(v), np.cbrt(v / cubic))
    for _ in range(40):
        slope = x * (3.0 * cubic * x + 2.0)
        excess = x * x * (cubic * x + 1.0) - v
        step = np.where(slope > 0.0, excess / np.where(slope > 0.0, slope, 1.0), 0.0)
        x = np.maximum(x - step, 0.0)
        if np.all(np.abs(step) <= 1e-14 * (1.0 + x)):
            break
    return p.perveance * x**3, 3.0 * p.perveance * x / (3.0 * cubic * x + 2.0)

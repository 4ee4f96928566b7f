"""A rectifier tube plate with the resistance in series with it, as one port.

i = k vd^1.5 for vd > 0 (Child-Langmuir; k is the perveance, A/V^1.5), with R in series: with x = sqrt(vd), R k x³ + x² = v.
Solved by Newton from an upper bound of the root; convex, so it never overshoots. Slope at most 1/R.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from .softplus import Floats

STEPS = 6
"""Newton steps: the start is at most a third above the root, five steps reach rounding."""
LEAST = 1e-300
"""Volts below this are cut-off."""


class RectifierTubeParameters(NamedTuple):
    """perveance: A/V^1.5 of one plate; ohms: in series, more than 0."""

    perveance: Floats
    ohms: Floats


def rectifier_tube_current(volts: Floats, p: RectifierTubeParameters) -> tuple[Floats, Floats]:
    """Amps and siemens of plate and resistance at the volts across both, any shape that broadcasts with the parameters."""
    v = np.maximum(np.asarray(volts, dtype=float), LEAST)
    cubic = p.ohms * p.perveance
    x = np.minimum(np.sqrt(v), np.cbrt(v / cubic))
    for _ in range(STEPS):
        x = x - (x * x * (cubic * x + 1.0) - v) / (x * (3.0 * cubic * x + 2.0))
    return p.perveance * x**3, 3.0 * p.perveance * x / (3.0 * cubic * x + 2.0)

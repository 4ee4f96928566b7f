"""Grid current of a control grid driven positive.

Ig = (vs/Rgi) ln(1 + exp((Vgk - v0)/vs)), volts, ohms, amps. Own assumption, no handbook law: an ohmic grid above about
0.3 V, a soft knee 0.1 V wide below it, and a few picoamps at ordinary bias, so that a grid leak moves nothing.
"""

from __future__ import annotations

import numpy as np

from .softplus import Floats, softplus

GRID_OHMS = 2000.0
GRID_KNEE_VOLTS = 0.3
GRID_SOFT_VOLTS = 0.1


def grid_current(grid_volts: Floats) -> tuple[Floats, Floats]:
    """Grid amps and d(amps)/d(volts) for grid-to-cathode volts of any shape."""
    value, slope = softplus((np.asarray(grid_volts, dtype=float) - GRID_KNEE_VOLTS) / GRID_SOFT_VOLTS)
    return value * (GRID_SOFT_VOLTS / GRID_OHMS), slope / GRID_OHMS

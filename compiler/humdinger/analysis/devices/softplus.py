"""ln(1 + exp z) and its slope, without overflow at either end. Every soft knee of the device laws is made of it."""

from __future__ import annotations

from typing import Any

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.floating[Any]]


def softplus(z: Floats) -> tuple[Floats, Floats]:
    """ln(1 + exp z) and its derivative 1/(1 + exp -z), any shape.

    Written max(z, 0) + ln(1 + exp(-|z|)), in the SPICE decks as well: the textbook form overflows, and a clipped
    exponent silently saturates the current.
    """
    small = np.exp(-np.abs(z))
    slope = np.where(z >= 0.0, 1.0, small) / (1.0 + small)
    return np.maximum(z, 0.0) + np.log1p(small), slope

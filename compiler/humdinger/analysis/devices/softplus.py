"""ln(1 + exp z) and its slope, without overflow at either end. Every soft knee of the device laws is made of it."""

from __future__ import annotations

from typing import Any

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.floating[Any]]


def softplus(z: Floats) -> tuple[Floats, Floats]:
    """ln(1 + exp z) and its derivative 1/(1 + exp -z), any shape.

    The derivative is exp(z - ln(1 + exp z)), which overflows nowhere. The SPICE decks write max(z, 0) + ln(1 + exp(-|z|)): the textbook
    form overflows, and a clipped exponent silently saturates the current.
    """
    value = np.logaddexp(0.0, z)
    return value, np.exp(z - value)

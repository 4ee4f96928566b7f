"""A photoresistor (LDR) lit by a diode in one case with it: its conductance follows the diode's current.

Law: g = 1/dark + (1/bright) * (i/at)^gamma, i the diode's current (none of it below 0), at the current at which the maker or a meter says
`bright`. That the resistance of a cadmium cell falls with a power of the light, R ~ E^-gamma, gamma 0.7 to 0.9, is textbook for such
cells; that the light of a diode goes with its current holds within its rated range (both from memory). The cell takes milliseconds to
brighten and tens to hundreds of them to darken; this law follows at once, so what is solved with it is the depth of a slow wave.

The power is softened below FLOOR of `at`, where its slope would be infinite: the dark conductance is all there is by then.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from .softplus import Floats

FLOOR = 1e-4


class PhotocellParameters(NamedTuple):
    """dark_siemens, bright_siemens at at_amps of the diode; gamma without a unit."""

    dark_siemens: Floats
    bright_siemens: Floats
    at_amps: Floats
    gamma: Floats


def photocell_siemens(light_amps: Floats, p: PhotocellParameters) -> tuple[Floats, Floats]:
    """Siemens of the cell, and their slope over the diode's amps, any shape that broadcasts with the parameters."""
    share = np.maximum(np.asarray(light_amps, dtype=float) / p.at_amps, 0.0)
    lit = share + FLOOR
    grown = lit**p.gamma - FLOOR**p.gamma
    whole = (1.0 + FLOOR) ** p.gamma - FLOOR**p.gamma
    slope = np.where(np.asarray(light_amps) > 0.0, p.gamma * lit ** (p.gamma - 1.0) / (whole * p.at_amps), 0.0)
    return p.dark_siemens + p.bright_siemens * grown / whole, p.bright_siemens * slope

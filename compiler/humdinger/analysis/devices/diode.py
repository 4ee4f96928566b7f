"""A silicon diode with the resistance in series with it, as one port.

Diode: i = Is (exp(vd/Vn) - 1), Vn = n k T/q times the number of diodes in series (Shockley). With R in series and a = R Is/Vn the
port obeys y + ln y = x with y = a exp(vd/Vn), x = v/Vn + a + ln a, and R i = Vn (y - a). Four Newton steps from a start within 11 % of y
reach rounding. The slope of the port never exceeds 1/R, which is what makes it safe inside another Newton iteration; a bare exponential
is not.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from .softplus import Floats

THERMAL_VOLTS = 1.380649e-23 * 300.15 / 1.602176634e-19
"""kT/q at 27 °C, the temperature at which SPICE programs take a diode model."""


CUT_OFF = -600.0
"""x is held above this: y is then 1e-261 and the current the saturation current."""


class DiodeParameters(NamedTuple):
    """saturation: amps; emission_volts: n kT/q times diodes in series; ohms: in series, more than 0."""

    saturation: Floats
    emission_volts: Floats
    ohms: Floats


def diode_current(volts: Floats, p: DiodeParameters) -> tuple[Floats, Floats]:
    """Amps and siemens of diode and resistance at the volts across both, any shape that broadcasts with the parameters."""
    a = p.ohms * p.saturation / p.emission_volts
    x = np.maximum(np.asarray(volts, dtype=float) / p.emission_volts + (a + np.log(a)), CUT_OFF)
    y = omega(x)
    return p.emission_volts / p.ohms * (y - a), y / (p.ohms * (1.0 + y))


def omega(x: Floats) -> Floats:
    """The y with y + ln y = x, to rounding, for x above CUT_OFF (the Wright omega function)."""
    over = np.maximum(x, 1.0)
    log = np.log(over)
    small = np.exp(np.minimum(x, 1.0))
    y = np.where(x > 1.0, over - log + log / over, small / (1.0 + 0.75 * small))
    after = x + 1.0
    for _ in range(4):
        y = y * (after - np.log(y)) / (1.0 + y)
    return y

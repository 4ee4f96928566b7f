"""The pentode and beam-tetrode law.

E1 = (Vg2/kp) ln(1 + exp(kp (1/mu + Vg1/Vg2)))
Ip  = (2 E1^ex / kg1) atan(Vp/kvb) (1 + slope Vp)/(1 + slope slope_volts)
Ig2 = E1^ex / kg2 + beta (2 E1^ex / kg1) (pi/2 - atan(Vp/kvb))

E1 and the first factors of Ip: N. Koren, Glass Audio 8(5), 1996, with errata. Three own variants, published nowhere:
* the screen current uses the same E1 as the plate (the published form is exactly 0 from Vg1 = -Vg2/mu on, where the plate still conducts);
* the knee term `beta` gives the screen what the plate does not take below its knee, because screen dissipation at clipping is a safety
  figure and the published screen current does not depend on the plate at all;
* `slope` tilts the plate curves to the handbook plate resistance at `slope_volts` (without it rp comes out 2 to 4 times too high).
Volts to the cathode, amps. Vp is taken as 0 below 0; Vg2 is smoothed to (Vg2 + sqrt(Vg2² + 0.01))/2.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import NamedTuple

import numpy as np

from .softplus import Floats, softplus

SCREEN_SMOOTHING = 0.01
"""Volts squared under the root that keeps the screen voltage positive."""

_OPTIONAL = ("beta", "slope", "slope_volts", "vct")


class PentodeParameters(NamedTuple):
    """Parameters of several pentodes, each an array of one shape (devices last; leading batch axes allowed)."""

    mu: Floats
    ex: Floats
    kg1: Floats
    kg2: Floats
    kp: Floats
    kvb: Floats
    beta: Floats
    slope: Floats
    slope_volts: Floats
    vct: Floats

    @classmethod
    def stack(cls, models: Sequence[Mapping[str, float]]) -> PentodeParameters:
        """The parameter mappings of the parts library side by side. Raises KeyError when a needed one is missing."""

        def column(key: str) -> Floats:
            rows = [m.get(key, 0.0) if key in _OPTIONAL else m[key] for m in models]
            return np.array(rows, dtype=float)

        return cls(*(column(key) for key in cls._fields))


class PentodeCurrents(NamedTuple):
    """Plate and screen amps, and their slopes in siemens."""

    plate: Floats
    screen: Floats
    plate_by_grid: Floats
    plate_by_plate: Floats
    plate_by_screen: Floats
    screen_by_grid: Floats
    screen_by_plate: Floats
    screen_by_screen: Floats


def pentode_currents(grid_volts: Floats, plate_volts: Floats, screen_volts: Floats, p: PentodeParameters) -> PentodeCurrents:
    """Plate and screen current at grid, plate and screen volts (to cathode), any leading axes."""
    raw_plate = np.asarray(plate_volts, dtype=float)
    plate = np.maximum(raw_plate, 0.0)
    raw = np.asarray(screen_volts, dtype=float)
    root = np.sqrt(raw * raw + SCREEN_SMOOTHING)
    screen = 0.5 * (raw + root)

    ratio = (np.asarray(grid_volts, dtype=float) + p.vct) / screen
    value, sigma = softplus(p.kp * (1.0 / p.mu + ratio))
    share = value / p.kp
    e1 = screen * share
    rise = np.power(e1, p.ex - 1.0)
    power, steep = rise * e1, p.ex * rise
    power_by_grid = steep * sigma
    # the slope of the smoothed screen volts is screen/root
    power_by_screen = steep * (share - sigma * ratio) * (screen / root)

    angle = np.arctan(plate / p.kvb)
    conducting = raw_plate > 0.0
    angle_slope = conducting * p.kvb / (p.kvb * p.kvb + plate * plate)
    double, level = 2.0 / p.kg1, 1.0 + p.slope * p.slope_volts
    tilt = (1.0 + p.slope * plate) / level
    knee = p.beta * double
    to_plate = double * angle * tilt
    to_screen = 1.0 / p.kg2 + knee * (0.5 * np.pi - angle)
    return PentodeCurrents(
        plate=power * to_plate,
        screen=power * to_screen,
        plate_by_grid=power_by_grid * to_plate,
        plate_by_plate=power * double * (angle_slope * tilt + angle * conducting * (p.slope / level)),
        plate_by_screen=power_by_screen * to_plate,
        screen_by_grid=power_by_grid * to_screen,
        screen_by_plate=-power * knee * angle_slope,
        screen_by_screen=power_by_screen * to_screen,
    )

"""The triode law.

E1 = (Vp/kp) ln(1 + exp(kp (1/mu + (Vg + vct)/sqrt(kvb + Vp²)))), Ip = 2 E1^ex / kg1: N. Koren, Glass Audio 8(5), 1996, with the
author's errata, and a contact potential vct as later libraries add it. Volts to the cathode, amps. Vp is taken as 0 below 0.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import NamedTuple

import numpy as np

from .softplus import Floats, softplus


class TriodeParameters(NamedTuple):
    """Parameters of several triodes, each an array of one shape (devices last; leading batch axes allowed)."""

    mu: Floats
    ex: Floats
    kg1: Floats
    kp: Floats
    kvb: Floats
    vct: Floats

    @classmethod
    def stack(cls, models: Sequence[Mapping[str, float]]) -> TriodeParameters:
        """The parameter mappings of the parts library side by side. Raises KeyError when one is missing."""
        return cls(*(np.array([m.get(key, 0.0) if key == "vct" else m[key] for m in models], dtype=float) for key in cls._fields))


class TriodeCurrents(NamedTuple):
    """Plate amps and its slopes in siemens."""

    plate: Floats
    plate_by_grid: Floats
    plate_by_plate: Floats


def triode_currents(grid_volts: Floats, plate_volts: Floats, p: TriodeParameters) -> TriodeCurrents:
    """Plate current at grid and plate volts (to cathode), any leading axes."""
    plate = np.maximum(np.asarray(plate_volts, dtype=float), 0.0)
    root = np.sqrt(p.kvb + plate * plate)
    ratio = (np.asarray(grid_volts, dtype=float) + p.vct) / root
    value, slope = softplus(p.kp * (1.0 / p.mu + ratio))
    share, turn = value / p.kp, plate / root
    e1 = plate * share
    # E1^(ex-1) first: its product with E1 needs no special case at cut-off
    rise = np.power(e1, p.ex - 1.0) * (2.0 / p.kg1)
    by_grid = turn * slope
    by_plate = np.where(plate > 0.0, share - by_grid * turn * ratio, 0.0)
    steep = p.ex * rise
    return TriodeCurrents(rise * e1, steep * by_grid, steep * by_plate)

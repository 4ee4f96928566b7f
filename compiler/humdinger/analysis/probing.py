"""What a meter does to the node it is clipped on."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

import numpy as np

from .operating import Solved
from .variants import Change, Variant, short

METER_OHMS = 10e6
"""A usual digital meter on direct volts (common practice)."""
SHIFTED = 0.01
"""A node that moves by more than this share under the meter does not show its own volts."""
READABLE_VOLTS = 0.005
"""Half a hundredth of a volt: below it a hand-held meter shows nothing that means anything."""


def source_ohms(solved: Solved) -> Mapping[str, float]:
    """Net -> the resistance a meter from it to circuit ground looks into, ohms: the diagonal of the inverse of Y, tubes included.

    For small currents: tubes are their tangents. Empty where Y has no inverse.
    """
    try:
        inverse = np.linalg.inv(solved.Y)
    except np.linalg.LinAlgError:
        return {}
    return {net: float(inverse[row, row]) for net, row in solved.system.index.items()}


def shifted_nets(solved: Solved, ohms: Mapping[str, float]) -> tuple[str, ...]:
    """The nets with readable volts that the meter moves by more than SHIFTED."""
    return tuple(n for n, r in ohms.items() if r > SHIFTED * METER_OHMS and abs(solved.volts(n)) > READABLE_VOLTS)


def meter_changes(nets: Sequence[str]) -> list[tuple[Change, ...]]:
    """One variant per net: the meter from it to circuit ground."""
    return [(short(net, "0", METER_OHMS),) for net in nets]


def metered_volts(nets: Sequence[str], variants: Sequence[Variant]) -> Mapping[str, float]:
    """Net -> what the meter shows, the amp solved with it; a net without a solution is left out."""
    return {net: variant.volts(net) for net, variant in zip(nets, variants, strict=True) if variant.good}

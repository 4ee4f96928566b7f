"""Preferred numbers: the E series of IEC 60063 and the rated currents of IEC 60127 fuses."""

from __future__ import annotations

import math
from collections.abc import Iterator

# Rounding 10^(n/24) would give 26, 29, 32, 35, 38, 42, 46 and 83; the series is older than the rule (checks.md 8.6).
E24_EXCEPTIONS = {10: 27, 11: 30, 12: 33, 13: 36, 14: 39, 15: 43, 16: 47, 22: 82}

SERIES = ("E3", "E6", "E12", "E24", "E48", "E96")

# Milliamps; checks.md 8.13, from memory: rounded steps of R10.
_FUSE_MILLIAMPS = (
    32, 40, 50, 63, 80, 100, 125, 160, 200, 250, 315, 400, 500, 630, 800,
    1000, 1250, 1600, 2000, 2500, 3150, 4000, 5000, 6300, 8000, 10000,
)  # fmt: skip

FUSE_AMPS = tuple(milliamps / 1000 for milliamps in _FUSE_MILLIAMPS)
"""Rated currents of IEC 60127 fuses in amps."""


def preferred_values(series: str) -> tuple[int, ...]:
    """One decade of a series as whole numbers: two digits up to E24, three in E48 and E96. ValueError for another name."""
    if series not in SERIES:
        raise ValueError(f"{series} is not one of {', '.join(SERIES)}")
    count = int(series[1:])
    if count > 24:
        return tuple(round(10 ** (2 + n / 96)) for n in range(0, 96, 96 // count))
    return tuple(E24_EXCEPTIONS.get(n, round(10 ** (1 + n / 24))) for n in range(0, 24, 24 // count))


def nearest_preferred(value: float, series: str = "E24") -> float:
    """The preferred value with the smallest ratio to a positive value; the lower one of two as near."""
    return min(_around(value, series), key=lambda near: (round(abs(math.log(near / value)), 12), near))


def preferred_at_least(value: float, series: str = "E24") -> float:
    """The smallest preferred value not below a positive value."""
    return next(near for near in _around(value, series) if near >= value * (1 - 1e-9))


def preferred_at_most(value: float, series: str = "E24") -> float:
    """The largest preferred value not above a positive value."""
    return next(near for near in reversed(tuple(_around(value, series))) if near <= value * (1 + 1e-9))


def next_preferred(value: float, series: str = "E24") -> float:
    """The next preferred value above."""
    return next(near for near in _around(value, series) if near > value * (1 + 1e-9))


def previous_preferred(value: float, series: str = "E24") -> float:
    """The next preferred value below."""
    return next(near for near in reversed(tuple(_around(value, series))) if near < value * (1 - 1e-9))


def is_preferred(value: float, series: str = "E24") -> bool:
    """Whether a value stands in a series."""
    return value > 0 and math.isfinite(value) and math.isclose(nearest_preferred(value, series), value, rel_tol=1e-9)


def is_fuse_current(amps: float) -> bool:
    """Whether a current is one that IEC 60127 fuses are made for."""
    return any(math.isclose(amps, rated, rel_tol=1e-9) for rated in FUSE_AMPS)


def fuse_at_least(amps: float) -> float | None:
    """The smallest rated current not below; None above 10 A."""
    return next((rated for rated in FUSE_AMPS if rated >= amps * (1 - 1e-9)), None)


def nearest_fuse(amps: float) -> float:
    """The rated current with the smallest ratio to a positive current."""
    return min(FUSE_AMPS, key=lambda rated: (round(abs(math.log(rated / amps)), 12), rated))


def _around(value: float, series: str) -> Iterator[float]:
    """The preferred values of the decade of a value and its neighbours, rising."""
    if not (math.isfinite(value) and value > 0):
        raise ValueError(f"{value} has no preferred value")
    base = preferred_values(series)
    decade = math.floor(math.log10(value)) - (2 if base[0] == 100 else 1)
    for exponent in (decade - 1, decade, decade + 1):
        for number in base:
            # Through the text: 47e-10 is the float a parser gives for 4n7.
            yield float(f"{number}e{exponent}")

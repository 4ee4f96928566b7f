"""The one number formatter. No locale: a point for decimals, a blank before the unit, `-` for minus.

How many digits: three significant ones, trailing zeros dropped. A value whose first five digits are all it has (a
4.99 kΩ resistor, 1.015 A) is shown in full, because then it was written by a person and not computed. Every function
raises ValueError for nan, which no caller may pass on; an infinite value is shown as ∞.
"""

from __future__ import annotations

import math

from .values import Quantity

DIGITS = 3
FULL_DIGITS = 5

NOTHING = 3
"""A value this many powers of ten below its smallest prefix is what a solver leaves of zero, and is shown as 0."""

_NAMES = {-12: "p", -9: "n", -6: "µ", -3: "m", 0: "", 3: "k", 6: "M", 9: "G"}

# The prefixes the trade uses, largest first: exponent -> the size from which it is used, where that is not one of it.
# Nobody writes 250 mW, 470 mΩ or 2.2 mF.
_STEPS: dict[str, tuple[tuple[int, float], ...]] = {
    "Ω": ((9, 1e9), (6, 1e6), (3, 1e3), (0, 0.01), (-3, 1e-3), (-6, 0.0)),
    "F": ((-6, 1e-6), (-9, 1e-9), (-12, 0.0)),
    "H": ((0, 1.0), (-3, 1e-3), (-6, 1e-6), (-9, 0.0)),
    "V": ((3, 1e3), (0, 1.0), (-3, 1e-3), (-6, 1e-6), (-9, 0.0)),
    "A": ((0, 1.0), (-3, 1e-3), (-6, 1e-6), (-9, 1e-9), (-12, 0.0)),
    "W": ((3, 1e3), (0, 0.1), (-3, 1e-3), (-6, 0.0)),
    "VA": ((3, 1e3), (0, 0.0)),
    "J": ((3, 1e3), (0, 0.1), (-3, 1e-3), (-6, 0.0)),
    "Hz": ((9, 1e9), (6, 1e6), (3, 1e3), (0, 0.0)),
    "s": ((0, 1.0), (-3, 1e-3), (-6, 1e-6), (-9, 0.0)),
    "S": ((0, 1.0), (-3, 1e-3), (-6, 0.0)),
    "m": ((0, 1.0), (-3, 0.0)),
    "kg": ((0, 0.0),),
}
_PLAIN = ((0, 0.0),)


def significant(value: float, digits: int = 9) -> float:
    """A float rounded to so many significant digits, for JSON. ValueError when it is not finite."""
    if not math.isfinite(value):
        raise ValueError(f"{value} has no digits")
    return float(f"{value:.{digits - 1}e}") + 0.0


def show_number(value: float, digits: int = DIGITS) -> str:
    """A number without unit by the digits rule."""
    return _with_unit(value, "", digits)


def show(quantity: Quantity, digits: int = DIGITS) -> str:
    """A quantity with its unit and the trade's prefix: 4.7 kΩ, 22 nF, 250 mA, 5 %."""
    return _area(quantity.value, digits) if quantity.unit == "m²" else _with_unit(quantity.value, quantity.unit, digits)


def show_ohms(value: float, digits: int = DIGITS) -> str:
    """4700 -> 4.7 kΩ; 0.3 -> 0.3 Ω."""
    return _with_unit(value, "Ω", digits)


def show_farads(value: float, digits: int = DIGITS) -> str:
    """22e-9 -> 22 nF; 2.2e-3 -> 2200 µF."""
    return _with_unit(value, "F", digits)


def show_henries(value: float, digits: int = DIGITS) -> str:
    """25e-3 -> 25 mH."""
    return _with_unit(value, "H", digits)


def show_volts(value: float, digits: int = DIGITS) -> str:
    """253.4 -> 253 V."""
    return _with_unit(value, "V", digits)


def show_amps(value: float, digits: int = DIGITS) -> str:
    """0.0312 -> 31.2 mA."""
    return _with_unit(value, "A", digits)


def show_watts(value: float, digits: int = DIGITS) -> str:
    """0.25 -> 0.25 W; 0.03 -> 30 mW."""
    return _with_unit(value, "W", digits)


def show_joules(value: float, digits: int = DIGITS) -> str:
    """3.81 -> 3.81 J."""
    return _with_unit(value, "J", digits)


def show_hertz(value: float, digits: int = DIGITS) -> str:
    """5.2 -> 5.2 Hz."""
    return _with_unit(value, "Hz", digits)


def show_seconds(value: float, digits: int = DIGITS) -> str:
    """0.0022 -> 2.2 ms."""
    return _with_unit(value, "s", digits)


def show_siemens(value: float, digits: int = DIGITS) -> str:
    """0.0016 -> 1.6 mS."""
    return _with_unit(value, "S", digits)


def show_decibels(value: float) -> str:
    """Decibels to a tenth: -0.04 -> 0 dB, 62.04 -> 62 dB."""
    tenth = f"{_checked(value):.1f}".removesuffix(".0")
    return f"{'0' if tenth == '-0' else tenth} dB"


def show_percent(fraction: float, digits: int = DIGITS) -> str:
    """A fraction as percent: 0.05 -> 5 %."""
    return _with_unit(significant(fraction * 100, 12) if math.isfinite(fraction) else fraction, "%", digits)


def code_ohms(value: float) -> str:
    """A resistance as IEC 60062 writes it: 4k7, 470R, R47, 1M. Read back by parse_resistor."""
    return _code(value, ((9, "G"), (6, "M"), (3, "k"), (0, "R")))


def code_farads(value: float) -> str:
    """A capacitance as IEC 60062 writes it: 4n7, 22u, 2200u, p68. Read back by parse_capacitor."""
    return _code(value, ((-6, "u"), (-9, "n"), (-12, "p")))


def _checked(value: float) -> float:
    if math.isnan(value):
        raise ValueError("nan cannot be shown")
    return value


def _with_unit(value: float, unit: str, digits: int) -> str:
    blank = " " if unit else ""
    if math.isinf(_checked(value)):
        return f"{'-' if value < 0 else ''}∞{blank}{unit}"
    figures, exponent = _figures(value, digits)
    # The prefix follows from the rounded value, so that 999.97 V is 1 kV where three digits are shown.
    rounded = float(f"{figures or 0}e{exponent}")
    steps = _STEPS.get(unit, _PLAIN)
    if not figures or (unit in _STEPS and rounded < float(f"1e{steps[-1][0] - NOTHING}")):
        return f"0{blank}{unit}"
    step = next(power for power, size in steps if rounded >= size)
    sign = "-" if value < 0 else ""
    return f"{sign}{_point(figures, exponent - step)}{blank}{_NAMES[step]}{unit}"


def _figures(value: float, digits: int) -> tuple[str, int]:
    """The significant digits without trailing zeros, and the power of ten of the last one: 4700 -> ("47", 2)."""
    full = max(digits, FULL_DIGITS)
    for count in (full, digits):
        mantissa, _, power = f"{abs(value):.{count - 1}e}".partition("e")
        if count == digits or math.isclose(float(f"{mantissa}e{power}"), abs(value), rel_tol=1e-9):
            break
    figures = mantissa.replace(".", "").rstrip("0")
    return figures, int(power) - len(figures) + 1


def _point(figures: str, exponent: int) -> str:
    """Digits and the power of ten of the last one as a decimal: ("47", -1) -> 4.7."""
    if exponent >= 0:
        return figures + "0" * exponent
    figures = figures.rjust(1 - exponent, "0")
    return f"{figures[:exponent]}.{figures[exponent:]}"


def _code(value: float, letters: tuple[tuple[int, str], ...]) -> str:
    if not (math.isfinite(value) and value > 0):
        raise ValueError(f"{value} has no letter code")
    mantissa, _, power = f"{value:.8e}".partition("e")
    figures = mantissa.replace(".", "").rstrip("0")
    exponent = int(power) - len(figures) + 1
    rounded = float(f"{figures}e{exponent}")
    step, letter = next((item for item in letters if rounded >= float(f"1e{item[0]}")), letters[-1])
    whole, _, part = _point(figures, exponent - step).partition(".")
    return f"{'' if whole == '0' and part else whole}{letter}{part}"


def _area(value: float, digits: int) -> str:
    return _with_unit(significant(value * 1e6, 12), "mm²", digits)

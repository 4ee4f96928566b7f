"""Colour bands of resistors (IEC 60062) and the three-digit code of capacitors.

Digits, gold 5 % and silver 10 %, brown 1 % and red 2 %: checks.md 8.9. Multipliers and the finer tolerances: from memory.
"""

from __future__ import annotations

import re
from collections.abc import Sequence

from .fault import UnitFault, quote

DIGIT_COLOURS = ("black", "brown", "red", "orange", "yellow", "green", "blue", "violet", "grey", "white")

MULTIPLIER_COLOURS = {-2: "silver", -1: "gold"} | dict(enumerate(DIGIT_COLOURS))
"""Power of ten -> colour."""

TOLERANCE_COLOURS = {
    0.01: "brown", 0.02: "red", 0.05: "gold", 0.1: "silver",
    0.005: "green", 0.0025: "blue", 0.001: "violet", 0.0005: "grey",
}  # fmt: skip
"""Tolerance as a fraction -> colour."""


def colour_bands(ohms: float, tolerance: float, bands: int = 4) -> tuple[str, ...] | UnitFault:
    """The colours from the end band inwards: 4 bands have two digits, 5 bands three. A fault when no such bands exist."""
    figures = bands - 2
    colour = next((name for size, name in TOLERANCE_COLOURS.items() if abs(size - tolerance) < 1e-9), None)
    if bands not in (4, 5):
        return UnitFault(f"a resistor has no {bands} bands", "ask for 4 or 5")
    if colour is None:
        return UnitFault(f"no colour stands for a tolerance of {tolerance * 100:g} %", "colours have 0.05, 0.1, 0.25, 0.5, 1, 2, 5, 10 %")
    if not 0 < ohms < 1e12:
        return UnitFault(f"no bands stand for {ohms:g} ohm", "bands go from 0.1 ohm to some gigohms")
    mantissa, _, power = f"{ohms:.11e}".partition("e")
    digits = mantissa.replace(".", "")
    if digits[figures:].strip("0"):
        return UnitFault(f"{ohms:g} ohm has more digits than {bands} bands can show", "five bands show three digits")
    exponent = int(power) - figures + 1
    if exponent not in MULTIPLIER_COLOURS:
        return UnitFault(f"no bands stand for {ohms:g} ohm", "the multiplier goes from 0.01 to a thousand million")
    return (*(DIGIT_COLOURS[int(digit)] for digit in digits[:figures]), MULTIPLIER_COLOURS[exponent], colour)


def read_bands(colours: Sequence[str]) -> tuple[float, float] | UnitFault:
    """Ohms and tolerance (a fraction) of 4 or 5 colours."""
    if len(colours) not in (4, 5):
        return UnitFault(f"{len(colours)} colours are not a resistor", "give 4 or 5 colours")
    *figures, multiplier, tolerance = (colour.casefold().replace("gray", "grey") for colour in colours)
    exponent = next((power for power, name in MULTIPLIER_COLOURS.items() if name == multiplier), None)
    part = next((size for size, name in TOLERANCE_COLOURS.items() if name == tolerance), None)
    for colour, known in ((multiplier, exponent), (tolerance, part)):
        if known is None:
            return UnitFault(f"{quote(colour)} cannot stand there", "read the bands from the other end")
    strange = next((colour for colour in figures if colour not in DIGIT_COLOURS), None)
    if strange:
        return UnitFault(f"{quote(strange)} is no digit", "read the bands from the other end")
    digits = "".join(str(DIGIT_COLOURS.index(colour)) for colour in figures)
    return float(f"{digits}e{exponent}"), part or 0.0


def capacitor_code(farads: float) -> str | None:
    """The three digits printed on small capacitors: 100 nF -> 104. None when two digits do not say it.

    The third digit is the number of zeros in picofarads; 8 and 9 stand for two and one places less (from memory).
    """
    if not 0 < farads < 1:
        return None
    mantissa, _, power = f"{farads * 1e12:.9e}".partition("e")
    digits = mantissa.replace(".", "")
    zeros = {-2: "8", -1: "9"}.get(int(power) - 1, str(int(power) - 1))
    if digits[2:].strip("0") or not re.fullmatch("[0-9]", zeros) or int(power) - 1 > 7:
        return None
    return digits[:2] + zeros


def read_capacitor_code(code: str) -> float | UnitFault:
    """The farads of a three-digit code: 473 -> 47 nF."""
    match = re.fullmatch(r"([0-9]{2})([0-9])", code.strip())
    if not match or match[1] == "00":
        return UnitFault(f"{quote(code)} is not a three-digit capacitor code", "two digits and the number of zeros in pF, like 104")
    zeros = {"8": -2, "9": -1}.get(match[2], int(match[2]))
    return float(f"{match[1]}e{zeros - 12}")

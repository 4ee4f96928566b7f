"""The dimensions of the language: their units, the way they are written, and what is absurd.

The bounds are this project's own: far outside anything in a guitar amp, so that a slip of a prefix is caught
while no honest value is.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import field

from ..records import record

PREFIXES: Mapping[str, int] = {"p": -12, "n": -9, "u": -6, "µ": -6, "m": -3, "": 0, "k": 3, "K": 3, "M": 6, "G": 9}
"""SI prefixes as powers of ten. Capital K is read as kilo because IEC 60062 writes it so."""


@record
class Dimension:
    """One kind of quantity.

    symbol: the SI unit of the value. words: every way of writing the unit without prefix (compared without case).
    prefixes: the prefixes that may stand before it. fixed: units without prefix -> (SI symbol, decimal exponent, factor).
    low, high: bounds of the size in SI. bare: a bare number is this unit. letter: the IEC 60062 letter for "times one".
    """

    name: str
    article: str
    symbol: str
    example: str
    low: float
    high: float
    words: tuple[str, ...] = ()
    prefixes: str = ""
    fixed: Mapping[str, tuple[str, int, float]] = field(default_factory=dict)
    bare: bool = False
    letter: str = ""
    code_needs_no_unit: bool = False
    may_be_zero: bool = False
    may_be_negative: bool = False


_ALL = (
    Dimension("voltage", "a voltage", "V", "6.3 V", 1e-9, 1e5, ("V",), "numk", letter="V"),
    Dimension("current", "a current", "A", "180 mA", 1e-12, 1e3, ("A",), "pnumk", letter="A", may_be_zero=True),
    Dimension(
        "power", "a power", "W", "20 W", 1e-9, 1e5, ("W",), "numk", {"va": ("VA", 0, 1.0), "kva": ("VA", 3, 1.0)}
    ),
    Dimension("frequency", "a frequency", "Hz", "50 Hz", 1e-3, 1e10, ("Hz",), "mkMG"),
    Dimension("inductance", "an inductance", "H", "25 mH", 1e-10, 1e5, ("H",), "pnumk", letter="H", code_needs_no_unit=True),
    Dimension("capacitance", "a capacitance", "F", "22n", 1e-14, 0.1, ("F",), "pnum", letter="F", code_needs_no_unit=True),
    Dimension(
        "resistance", "a resistance", "Ω", "4k7", 1e-6, 1e10, ("Ω", "ohm", "ohms", "R"), "umkMG",
        bare=True, letter="R", code_needs_no_unit=True,
    ),
    Dimension(
        "length", "a length", "m", "12 mm", 1e-7, 1e3,
        fixed={
            "um": ("m", -6, 1.0), "mm": ("m", -3, 1.0), "cm": ("m", -2, 1.0), "m": ("m", 0, 1.0),
            "in": ("m", 0, 0.0254), "inch": ("m", 0, 0.0254), "inches": ("m", 0, 0.0254), '"': ("m", 0, 0.0254),
            "ft": ("m", 0, 0.3048),
        },
    ),
    Dimension(
        "area", "an area", "m²", "1 mm2", 1e-10, 100.0,
        fixed={
            "mm2": ("m²", -6, 1.0), "cm2": ("m²", -4, 1.0), "m2": ("m²", 0, 1.0),
            "in2": ("m²", 0, 0.0254**2),
        },
    ),
    Dimension(
        "time", "a time", "s", "120 s", 1e-10, 1e8, may_be_zero=True,
        fixed={
            "ns": ("s", -9, 1.0), "us": ("s", -6, 1.0), "ms": ("s", -3, 1.0), "s": ("s", 0, 1.0),
            "min": ("s", 0, 60.0), "h": ("s", 0, 3600.0), "d": ("s", 0, 86400.0),
        },
    ),
    Dimension(
        "mass", "a mass", "kg", "350 g", 1e-7, 1e4,
        fixed={
            "mg": ("kg", -6, 1.0), "g": ("kg", -3, 1.0), "kg": ("kg", 0, 1.0),
            "lb": ("kg", 0, 0.45359237), "oz": ("kg", 0, 0.028349523125),
        },
    ),
    Dimension(
        "ratio", "a ratio", "", "10 %", 0.0, 1e4, may_be_zero=True, may_be_negative=True,
        fixed={"db": ("dB", 0, 1.0), "%": ("%", 0, 1.0)},
    ),
    Dimension(
        "temperature", "a temperature", "°C", "40 °C", 0.0, 2000.0, may_be_zero=True, may_be_negative=True,
        fixed={"°c": ("°C", 0, 1.0), "degc": ("°C", 0, 1.0), "c": ("°C", 0, 1.0)},
    ),
)  # fmt: skip

DIMENSIONS: Mapping[str, Dimension] = {dimension.name: dimension for dimension in _ALL}

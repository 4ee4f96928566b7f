"""The number formatter: digits, prefixes of the trade, the ends of ranges."""

from __future__ import annotations

import math
from collections.abc import Callable

import pytest

from humdinger.units import (
    Quantity,
    code_ohms,
    show,
    show_amps,
    show_decibels,
    show_farads,
    show_henries,
    show_hertz,
    show_joules,
    show_number,
    show_ohms,
    show_percent,
    show_seconds,
    show_siemens,
    show_volts,
    show_watts,
    significant,
)


@pytest.mark.parametrize(
    ("function", "value", "text"),
    [
        (show_ohms, 4700, "4.7 kΩ"),
        (show_ohms, 1e6, "1 MΩ"),
        (show_ohms, 0.3, "0.3 Ω"),
        (show_ohms, 0.05, "0.05 Ω"),
        (show_ohms, 0.005, "5 mΩ"),
        (show_ohms, 4990, "4.99 kΩ"),
        (show_ohms, 10150, "10.15 kΩ"),
        (show_ohms, 62431.2, "62.4 kΩ"),
        (show_volts, 253.456, "253 V"),
        (show_volts, 6.3, "6.3 V"),
        (show_volts, -38.2437, "-38.2 V"),
        (show_volts, 2500, "2.5 kV"),
        (show_volts, 999.9712, "1 kV"),
        (show_volts, 0.0049, "4.9 mV"),
        (show_volts, 0.0, "0 V"),
        (show_volts, -0.0, "0 V"),
        (show_volts, 1e-14, "0 V"),
        (show_amps, 2.42, "2.42 A"),
        (show_amps, 0.0312, "31.2 mA"),
        (show_amps, 4.1e-7, "410 nA"),
        (show_watts, 0.25, "0.25 W"),
        (show_watts, 0.03, "30 mW"),
        (show_watts, 11.9444, "11.9 W"),
        (show_farads, 2.2e-3, "2200 µF"),
        (show_farads, 22e-9, "22 nF"),
        (show_farads, 250e-12, "250 pF"),
        (show_farads, 0.1e-6, "100 nF"),
        (show_henries, 0.025, "25 mH"),
        (show_henries, 5.0, "5 H"),
        (show_hertz, 5.2, "5.2 Hz"),
        (show_hertz, 0.5, "0.5 Hz"),
        (show_hertz, 1234.567, "1.23 kHz"),
        (show_seconds, 0.0022, "2.2 ms"),
        (show_seconds, 120, "120 s"),
        (show_joules, 3.8111111, "3.81 J"),
        (show_siemens, 0.0016, "1.6 mS"),
        (show_percent, 0.05, "5 %"),
        (show_percent, 1.2123456, "121 %"),
        (show_percent, 0.07, "7 %"),
        (show_number, 41.28333, "41.3"),
        (show_number, 1234567.8, "1230000"),
        (show_volts, math.inf, "∞ V"),
        (show_volts, -math.inf, "-∞ V"),
    ],
)
def test_shown(function: Callable[[float], str], value: float, text: str) -> None:
    assert function(value) == text


def test_decibels_to_a_tenth() -> None:
    assert [show_decibels(x) for x in (62.04, -0.04, 0.04, -6.0206, 41.25)] == ["62 dB", "0 dB", "0 dB", "-6 dB", "41.2 dB"]


def test_quantities_carry_their_unit() -> None:
    assert show(Quantity(4700.0, "Ω")) == "4.7 kΩ"
    assert show(Quantity(5.0, "%")) == "5 %"
    assert show(Quantity(-3.0, "dB")) == "-3 dB"
    assert show(Quantity(40.0, "°C")) == "40 °C"
    assert show(Quantity(1e-6, "m²")) == "1 mm²"
    assert show(Quantity(0.006, "m")) == "6 mm"
    assert show(Quantity(200.0, "VA")) == "200 VA"


def test_more_digits_when_asked() -> None:
    assert show_volts(253.456789, digits=5) == "253.46 V"


def test_nan_is_a_bug_and_says_so() -> None:
    for function in (show_volts, significant, show_decibels, show_percent, code_ohms):
        with pytest.raises(ValueError, match="nan"):
            function(math.nan)
    with pytest.raises(ValueError, match="inf"):
        significant(math.inf)
    for value in (0.0, -1.0):
        with pytest.raises(ValueError, match="letter code"):
            code_ohms(value)


def test_nine_significant_digits() -> None:
    assert significant(1 / 3) == 0.333333333
    assert significant(123456789.4) == 123456789.0
    assert str(significant(-0.0)) == "0.0"
    assert significant(2 / 3, 3) == 0.667

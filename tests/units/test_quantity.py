"""Reading one quantity: what is accepted in each dimension, what is refused, and what the refusal advises."""

from __future__ import annotations

import pytest

from humdinger.units import DIMENSIONS, Quantity, UnitFault, parse_quantity

GOOD = [
    ("6.3 V", "voltage", 6.3, "V"),
    ("6.3V", "voltage", 6.3, "V"),
    ("2.5 kV", "voltage", 2500.0, "V"),
    ("320v", "voltage", 320.0, "V"),
    ("180 mA", "current", 0.18, "A"),
    ("30 µA", "current", 30e-6, "A"),
    ("30 \u03bcA", "current", 30e-6, "A"),
    ("0 mA", "current", 0.0, "A"),
    ("20 W", "power", 20.0, "W"),
    ("200 VA", "power", 200.0, "VA"),
    ("60hz", "frequency", 60.0, "Hz"),
    ("1.2 kHz", "frequency", 1200.0, "Hz"),
    ("25 mH", "inductance", 0.025, "H"),
    ("5 H", "inductance", 5.0, "H"),
    ("22n", "capacitance", 22e-9, "F"),
    ("22 nF", "capacitance", 22e-9, "F"),
    ("250 pF", "capacitance", 250e-12, "F"),
    ("820", "resistance", 820.0, "Ω"),
    ("8 ohm", "resistance", 8.0, "Ω"),
    ("8 Ohms", "resistance", 8.0, "Ω"),
    ("8 \u2126", "resistance", 8.0, "Ω"),
    ("1e3", "resistance", 1000.0, "Ω"),
    (".47", "resistance", 0.47, "Ω"),
    ("5k", "resistance", 5000.0, "Ω"),
    ("5 kohm", "resistance", 5000.0, "Ω"),
    ("50 mohm", "resistance", 0.05, "Ω"),
    ("12 mm", "length", 0.012, "m"),
    ("12 in", "length", 12 * 0.0254, "m"),
    ('12"', "length", 12 * 0.0254, "m"),
    ("1 mm2", "area", 1e-6, "m²"),
    ("0.75 mm²", "area", 0.75e-6, "m²"),
    ("120 s", "time", 120.0, "s"),
    ("2 min", "time", 120.0, "s"),
    ("35 ms", "time", 0.035, "s"),
    ("97 dB", "ratio", 97.0, "dB"),
    ("-3 dB", "ratio", -3.0, "dB"),
    ("5%", "ratio", 5.0, "%"),
    ("350 g", "mass", 0.35, "kg"),
    ("-10 °C", "temperature", -10.0, "°C"),
]


@pytest.mark.parametrize(("text", "dimension", "value", "unit"), GOOD)
def test_read(text: str, dimension: str, value: float, unit: str) -> None:
    assert parse_quantity(text, dimension) == Quantity(value, unit)


@pytest.mark.parametrize("dimension", DIMENSIONS)
def test_the_example_in_every_cure_is_itself_right(dimension: str) -> None:
    assert isinstance(parse_quantity(DIMENSIONS[dimension].example, dimension), Quantity)


BAD = [
    ("22", "capacitance", "has no unit", "22p, 22n or 22u"),
    ("12", "length", "has no unit", "12 mm or 12 in"),
    ("6.3", "voltage", "has no unit", "6.3 V"),
    ("5", "ratio", "has no unit", "5 dB or 5 %"),
    ("6k3", "voltage", "has no unit", "6k3V"),
    ("1m", "resistance", "thousandths", "1M"),
    ("1m5", "resistance", "thousandths", "1M5"),
    ("180 MA", "current", "prefix M", "180mA"),
    ("22N", "capacitance", "prefix N", "22n"),
    ("20 mfd", "capacitance", "'mfd'", "20u"),
    ("20 mF", "capacitance", "20000 µF", "20u"),
    ("1meg", "resistance", "'meg'", "1M"),
    ("4,7k", "resistance", "comma", "point"),
    ("1,000", "resistance", "comma", "point"),
    ("012", "resistance", "octal", "write 12"),
    ("1:30", "time", "not a time", "120 s"),
    ("5 W", "voltage", "a power, not a voltage", "6.3 V"),
    ("100n", "resistance", "'n' is not a unit", "4k7"),
    ("nan", "resistance", "not a number", "4k7"),
    ("NaN V", "voltage", "not a number", "6.3 V"),
    (".nan", "resistance", "not a number", "4k7"),
    ("-inf", "resistance", "not a number", "4k7"),
    ("Infinity", "resistance", "not a number", "4k7"),
    ("1e999", "resistance", "far outside", "prefix"),
    ("1e-300", "resistance", "far outside", "prefix"),
    ("99G", "resistance", "far outside", "prefix"),
    ("5 MHz", "capacitance", "a frequency, not a capacitance", "22n"),
    ("-5", "resistance", "negative", "minus"),
    ("-38 V", "voltage", "negative", "minus"),
    ("0", "resistance", "zero", "leave the key out"),
    ("0 Hz", "frequency", "zero", "leave the key out"),
    ("-300 °C", "temperature", "far outside", ""),
    ("true", "resistance", "not a resistance", "4k7"),
    ("yes", "voltage", "not a voltage", "6.3 V"),
    ("~", "voltage", "not a voltage", "6.3 V"),
    ("", "voltage", "missing", "6.3 V"),
    ("  ", "voltage", "missing", "6.3 V"),
    ("4k7k", "resistance", "'k'", ""),
    ("4.7.7", "resistance", "not a resistance", ""),
    ("1_000", "resistance", "'_000'", "4k7"),
    ("0x10", "resistance", "letter x", "4k7"),
    ("٣ V", "voltage", "not a voltage", ""),
    ("4x7", "resistance", "letter x", ""),
    ("9" * 200, "resistance", "too long", ""),
]


@pytest.mark.parametrize(("text", "dimension", "reason", "cure"), BAD)
def test_refused(text: str, dimension: str, reason: str, cure: str) -> None:
    fault = parse_quantity(text, dimension)
    assert isinstance(fault, UnitFault)
    assert reason in fault.reason
    assert cure in fault.cure
    assert "\n" not in fault.reason + fault.cure
    assert len(fault.reason) < 160


def test_signed_takes_what_a_grid_has() -> None:
    assert parse_quantity("-38 V", "voltage", signed=True) == Quantity(-38.0, "V")
    assert parse_quantity("\u221238 V", "voltage", signed=True) == Quantity(-38.0, "V")
    assert parse_quantity("0 V", "voltage", signed=True) == Quantity(0.0, "V")


def test_prefixes_give_the_nearest_float() -> None:
    # 22 * 1e-9 is one step away from the float nearest to 22e-9; a lock file or a cache key would show it.
    read = parse_quantity("4.7u", "capacitance")
    assert isinstance(read, Quantity)
    assert read.value == 4.7e-6

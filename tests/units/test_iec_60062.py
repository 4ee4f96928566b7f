"""IEC 60062: letter codes and colour bands, against the examples in checks.md 8.7 to 8.10 (shared reference)."""

from __future__ import annotations

import pytest

from humdinger.units import (
    UnitFault,
    capacitor_code,
    code_farads,
    code_ohms,
    colour_bands,
    parse_capacitor,
    parse_quantity,
    parse_resistor,
    read_bands,
    read_capacitor_code,
)

# checks.md 8.7: read on Wikipedia's page on the RKM code (IEC 60062). 8.8: read on probsee.com's RKM page (R10, 1K0, 2M2).
RESISTOR_CODES = {
    "R47": 0.47,
    "4R7": 4.7,
    "470R": 470.0,
    "4K7": 4700.0,
    "47K": 47e3,
    "47K3": 47300.0,
    "470K": 470e3,
    "4M7": 4.7e6,
    "R10": 0.1,
    "1K0": 1000.0,
    "2M2": 2.2e6,
    "4k7": 4700.0,
    "1G0": 1e9,
}

# checks.md 8.8, same source: 10p, 4n7, 1u0.
CAPACITOR_CODES = {"10p": 10e-12, "4n7": 4.7e-9, "1u0": 1e-6, "n47": 0.47e-9, "2m2": 2.2e-3, "1µ5": 1.5e-6}

# checks.md 8.8: F and K read, G, J and M from memory.
TOLERANCES = {"F": 0.01, "G": 0.02, "J": 0.05, "K": 0.1, "M": 0.2}


@pytest.mark.parametrize(("text", "ohms"), RESISTOR_CODES.items())
def test_resistor_letter_codes_are_read(text: str, ohms: float) -> None:
    read = parse_resistor(text)
    assert not isinstance(read, UnitFault)
    # Exactly: the code says a decimal number, and the nearest float to it is the only right answer.
    assert read.ohms == ohms


def test_the_letter_l_stands_for_thousandths_in_the_reference_and_is_refused_here() -> None:
    # checks.md 8.8 has L = x1e-3 for resistors. No part of an amp is marked so, and l is read as 1 on many prints;
    # milliohms are written with R (R005) or in words, so the letter is a fault and not a silent thousandth.
    assert isinstance(parse_resistor("5L0"), UnitFault)


@pytest.mark.parametrize(("text", "farads"), CAPACITOR_CODES.items())
def test_capacitor_letter_codes_are_read(text: str, farads: float) -> None:
    read = parse_capacitor(text)
    assert not isinstance(read, UnitFault)
    assert read.farads == farads


@pytest.mark.parametrize(("letter", "fraction"), TOLERANCES.items())
def test_tolerance_letters_follow_the_code(letter: str, fraction: float) -> None:
    resistor = parse_resistor(f"4K7{letter}")
    assert not isinstance(resistor, UnitFault)
    assert (resistor.ohms, resistor.tolerance) == (4700.0, fraction)


def test_f_after_a_capacitance_is_the_farad() -> None:
    farad, ten_percent = parse_capacitor("4n7F"), parse_capacitor("4n7K")
    assert not isinstance(farad, UnitFault)
    assert not isinstance(ten_percent, UnitFault)
    assert (farad.farads, farad.tolerance) == (4.7e-9, None)
    assert (ten_percent.farads, ten_percent.tolerance) == (4.7e-9, 0.1)


@pytest.mark.parametrize(
    ("ohms", "code"),
    [(0.47, "R47"), (4.7, "4R7"), (470, "470R"), (4700, "4k7"), (47e3, "47k"), (47300, "47k3"), (4.7e6, "4M7"), (0.047, "R047"), (1, "1R")],
)
def test_resistors_are_written_in_letter_code(ohms: float, code: str) -> None:
    assert code_ohms(ohms) == code


@pytest.mark.parametrize(
    ("farads", "code"), [(250e-12, "250p"), (4.7e-9, "4n7"), (100e-9, "100n"), (1e-6, "1u"), (2200e-6, "2200u"), (0.68e-12, "p68")]
)
def test_capacitors_are_written_in_letter_code(farads: float, code: str) -> None:
    assert code_farads(farads) == code


def test_other_quantities_take_the_unit_as_decimal_point() -> None:
    # Common practice: 6V3 on drawings; the standard itself speaks of resistors and capacitors.
    volts = parse_quantity("6V3", "voltage")
    assert not isinstance(volts, UnitFault)
    assert volts.value == 6.3


# checks.md 8.10, derived there from the digits of 8.9 (read on tnlab.org; multipliers from memory).
BANDS = [
    (4700.0, 0.05, ("yellow", "violet", "red", "gold")),
    (1e6, 0.10, ("brown", "black", "green", "silver")),
    (100e3, 0.01, ("brown", "black", "black", "orange", "brown")),
    (33.0, 0.01, ("orange", "orange", "black", "gold", "brown")),
]


@pytest.mark.parametrize(("ohms", "tolerance", "bands"), BANDS)
def test_colour_bands(ohms: float, tolerance: float, bands: tuple[str, ...]) -> None:
    assert colour_bands(ohms, tolerance, len(bands)) == bands
    assert read_bands(bands) == (ohms, tolerance)


def test_small_values_need_gold_and_silver_multipliers() -> None:
    # From memory: gold 0.1, silver 0.01.
    assert colour_bands(4.7, 0.05) == ("yellow", "violet", "gold", "gold")
    assert colour_bands(0.47, 0.05) == ("yellow", "violet", "silver", "gold")


@pytest.mark.parametrize(
    ("ohms", "tolerance", "bands"), [(4990.0, 0.01, 4), (4700.0, 0.03, 4), (0.001, 0.05, 4), (4700.0, 0.05, 6), (0.0, 0.05, 4)]
)
def test_what_no_bands_can_say_is_a_fault(ohms: float, tolerance: float, bands: int) -> None:
    assert isinstance(colour_bands(ohms, tolerance, bands), UnitFault)


@pytest.mark.parametrize(
    "colours",
    [("gold", "violet", "red", "gold"), ("yellow", "violet", "pink", "gold"), ("yellow", "violet", "red", "black"), ("red", "red")],
)
def test_colours_that_are_no_resistor_are_a_fault(colours: tuple[str, ...]) -> None:
    assert isinstance(read_bands(colours), UnitFault)


# Common practice (EIA three-digit code, from memory): two digits and the number of zeros in picofarads.
@pytest.mark.parametrize(
    ("code", "farads"), [("104", 100e-9), ("473", 47e-9), ("222", 2.2e-9), ("101", 100e-12), ("100", 10e-12), ("479", 4.7e-12)]
)
def test_three_digit_capacitor_codes(code: str, farads: float) -> None:
    assert read_capacitor_code(code) == pytest.approx(farads, rel=1e-12)  # 479e-2 pF through powers of ten
    assert capacitor_code(farads) == code


@pytest.mark.parametrize("farads", [123e-12, 0.0, 22.0])
def test_no_three_digit_code(farads: float) -> None:
    assert capacitor_code(farads) is None


@pytest.mark.parametrize("code", ["000", "10", "1O4", "1045", ""])
def test_what_is_no_three_digit_code(code: str) -> None:
    assert isinstance(read_capacitor_code(code), UnitFault)

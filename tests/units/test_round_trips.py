"""What is written can be read, whatever the value; and no text at all makes a parser raise."""

from __future__ import annotations

import math

import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from humdinger.units import (
    DIMENSIONS,
    READERS,
    Quantity,
    UnitFault,
    capacitor_code,
    code_farads,
    code_ohms,
    colour_bands,
    nearest_preferred,
    parse_capacitor,
    parse_quantity,
    parse_resistor,
    preferred_at_least,
    preferred_at_most,
    preferred_values,
    read_bands,
    read_capacitor_code,
    show,
    show_ohms,
    significant,
    track_fraction,
)

SERIES = st.sampled_from(("E6", "E12", "E24", "E48", "E96"))


def _decimal(low: int, high: int) -> st.SearchStrategy[float]:
    """Floats that are up to six decimal digits times a power of ten: what people write."""
    return st.builds(lambda digits, power: float(f"{digits}e{power}"), st.integers(1, 999_999), st.integers(low, high))


@given(_decimal(-3, 3))
def test_ohms_survive_their_code(ohms: float) -> None:
    read = parse_resistor(code_ohms(ohms))
    assert not isinstance(read, UnitFault)
    assert read.ohms == ohms


@given(_decimal(-13, -8))
def test_farads_survive_their_code(farads: float) -> None:
    read = parse_capacitor(code_farads(farads))
    assert not isinstance(read, UnitFault)
    assert read.farads == farads


@given(SERIES, st.data(), st.integers(-1, 5), st.sampled_from((0.01, 0.02, 0.05, 0.1)))
def test_colour_bands_survive(series: str, data: st.DataObject, decade: int, tolerance: float) -> None:
    digits = data.draw(st.sampled_from(preferred_values(series)))
    ohms = float(f"{digits}e{decade}")
    bands = colour_bands(ohms, tolerance, 5 if digits >= 100 else 4)
    assert not isinstance(bands, UnitFault)
    assert read_bands(bands) == (ohms, tolerance)


@given(st.integers(10, 99), st.integers(-2, 7))
def test_capacitor_codes_survive(digits: int, zeros: int) -> None:
    farads = float(f"{digits}e{zeros - 12}")
    code = capacitor_code(farads)
    assert code is not None
    assert read_capacitor_code(code) == farads


@given(st.floats(1e-9, 1e9), SERIES)
def test_preferred_values_bracket(value: float, series: str) -> None:
    low, near, high = preferred_at_most(value, series), nearest_preferred(value, series), preferred_at_least(value, series)
    assert low <= value * (1 + 1e-9)
    assert high >= value * (1 - 1e-9)
    assert near in (low, high)


@given(st.sampled_from(("Ω", "V", "A", "W", "F", "H", "Hz", "s")), st.floats(1e-7, 1e5))
def test_what_is_shown_is_within_half_a_digit(unit: str, value: float) -> None:
    dimension = next(d for d in DIMENSIONS.values() if d.symbol == unit)
    text = show(Quantity(value, unit))
    read = parse_quantity(text, dimension.name)
    if not isinstance(read, UnitFault):  # bounds of a dimension may be narrower than what can be shown
        assert math.isclose(read.value, value, rel_tol=0.005 + 1e-9)


@given(_decimal(-2, 3))
@example(4990.0)
@example(10150.0)
def test_up_to_five_digits_are_shown_in_full(ohms: float) -> None:
    digits = len(f"{ohms:.15e}".partition("e")[0].replace(".", "").rstrip("0"))
    read = parse_quantity(show_ohms(ohms), "resistance")
    assert isinstance(read, Quantity)
    assert math.isclose(read.value, ohms, rel_tol=1e-9 if digits <= 5 else 0.005)


@given(st.floats(allow_nan=False, allow_infinity=False))
def test_nine_digits_are_stable(value: float) -> None:
    once = significant(value)
    assert significant(once) == once
    assert math.isclose(once, value, rel_tol=1e-8, abs_tol=5e-324)


@given(st.sampled_from(("linear", "audio", "reverse-audio")), st.floats(0, 1), st.floats(0, 1))
def test_tapers_only_rise(taper: str, a: float, b: float) -> None:
    low, high = sorted((a, b))
    assert track_fraction(taper, low) <= track_fraction(taper, high)


# Letters a spec is made of, and some that are not, so that texts come near to being right.
NEAR = st.text(st.sampled_from(list("0123456789.,-+/ %kKMmunpµRΩVAWFHhzTLEabV±½e:_\n\t\x00é")), max_size=30)


@pytest.mark.parametrize("kind", READERS)
@given(text=NEAR | st.text(max_size=40))
def test_no_text_makes_a_parser_raise(kind: str, text: str) -> None:
    read = READERS[kind](text)
    if isinstance(read, UnitFault):
        assert read.reason
        assert read.cure
        return
    for name in ("value", "ohms", "farads", "volts", "amps", "watts", "tolerance"):
        number = getattr(read, name, None)
        assert number is None or math.isfinite(number)

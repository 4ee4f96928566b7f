"""Component texts in trade notation: value first, words after it in any order, and help with what is not a word."""

from __future__ import annotations

import itertools

import pytest

from humdinger.units import (
    READERS,
    Capacitance,
    ContactRating,
    Potentiometer,
    Resistance,
    SectionName,
    UnitFault,
    WindingVolts,
    default_capacitor_type,
    default_resistor_type,
    parse_capacitor,
    parse_contact,
    parse_pot,
    parse_resistor,
    parse_section,
    parse_winding_volts,
)


@pytest.mark.parametrize("words", [*itertools.permutations(("1W", "5%", "500V", "film"))])
def test_the_words_of_a_resistor_stand_in_any_order(words: tuple[str, ...]) -> None:
    assert parse_resistor(" ".join(("100k", *words))) == Resistance(100e3, 1.0, 0.05, 500.0, "film")


@pytest.mark.parametrize(
    ("text", "resistor"),
    [
        ("820", Resistance(820.0)),
        ("1 1W", Resistance(1.0, 1.0)),
        ("100 k 1 W ±5 %", Resistance(100e3, 1.0, 0.05)),
        ("470 5W wirewound", Resistance(470.0, 5.0, technology="wirewound")),
        ("100k 1/2W", Resistance(100e3, 0.5)),
        ("100k ½W", Resistance(100e3, 0.5)),
        ("100k 250mW", Resistance(100e3, 0.25)),
        ("4k7J 1/4 W", Resistance(4700.0, 0.25, 0.05)),
        ("8 ohm 10W", Resistance(8.0, 10.0)),
    ],
)
def test_resistors(text: str, resistor: Resistance) -> None:
    assert parse_resistor(text) == resistor


@pytest.mark.parametrize(
    ("text", "capacitor"),
    [
        ("22n 630V", Capacitance(22e-9, 630.0)),
        ("22u 63 V", Capacitance(22e-6, 63.0)),
        ("100n X2 275V", Capacitance(100e-9, 275.0, technology="class-X2")),
        ("4n7 630V film 5%", Capacitance(4.7e-9, 630.0, 0.05, "film")),
        ("250p 500V mica", Capacitance(250e-12, 500.0, technology="mica")),
        ("47u 450V electrolytic", Capacitance(47e-6, 450.0, technology="electrolytic")),
        ("22n 2kV", Capacitance(22e-9, 2000.0)),
    ],
)
def test_capacitors(text: str, capacitor: Capacitance) -> None:
    assert parse_capacitor(text) == capacitor


@pytest.mark.parametrize(
    ("text", "pot"),
    [
        ("1M audio", Potentiometer(1e6, "audio")),
        ("25k linear 0.5W", Potentiometer(25e3, "linear", 0.5)),
        ("250 wirewound 1W", Potentiometer(250.0, "linear", 1.0, "wirewound")),
        ("50k reverse-audio", Potentiometer(50e3, "reverse-audio")),
    ],
)
def test_pots(text: str, pot: Potentiometer) -> None:
    assert parse_pot(text) == pot


@pytest.mark.parametrize(
    ("kind", "text", "reason", "cure"),
    [
        ("resistor", "1W 100k", "stands before the value 100k", "value first"),
        ("resistor", "100k 1W 2W", "power twice", "one power"),
        ("resistor", "4k7J 5%", "tolerance twice", "one tolerance"),
        ("resistor", "100k wirewond", "'wirewond'", "wirewound?"),
        ("resistor", "100k metal-film", "'metal-film'", "film?"),
        ("resistor", "100k mica", "'mica'", "wirewound"),
        ("resistor", "100k 5", "'5'", "words of a resistor"),
        ("resistor", "100k 0%", "tolerance", "5%"),
        ("resistor", "100k 200%", "tolerance", "5%"),
        ("resistor", "100k -1W", "negative", "minus"),
        ("resistor", "22n 630V", "'n'", "4k7"),
        ("resistor", "", "missing", "100k 1W 5%"),
        ("resistor", "1 " * 30, "too many words", "few words"),
        ("resistor", "1" * 100, "too long", "few words"),
        ("capacitor", "630V 22n", "stands before the value 22n", "value first"),
        ("capacitor", "22 630V", "has no unit", "22n"),
        ("capacitor", "22n polyester", "'polyester'", "film?"),
        ("capacitor", "22n 1W", "'1W'", "words of a capacitor"),
        ("pot", "A1M", "taper letter", "audio"),
        ("pot", "1M A", "taper letter", "audio"),
        ("pot", "1MA", "taper letter", "audio"),
        ("pot", "1M log", "'log'", "audio?"),
        ("pot", "1M audo", "'audo'", "audio?"),
        ("contact", "250 V", "no current", "250 V 4 A"),
        ("contact", "4 A", "no voltage", "250 V 4 A"),
        ("contact", "250 V 4 A 2 A", "twice", "250 V 4 A"),
        ("contact", "big", "neither volts nor amps", "250 V 4 A"),
        ("winding-volts", "220-0-210 V", "unequal halves, 220 and 210 V", "equal halves"),
        ("winding-volts", "280-0-280", "no unit", "280 V"),
        ("winding-volts", "0-210 V", "not how", "write 210 V"),
        ("winding-volts", "6.3 V CT", "a half", "220-0-220 V"),
        ("winding-volts", "0-0-0 V", "zero", ""),
        ("section", "V1A", "not a tube", "V1a"),
        ("section", "v-1", "not a tube", "V1"),
        ("section", "12AX7", "not a tube", "V4"),
        ("section", "V1c", "not a tube", "V4"),
    ],
)
def test_faults_give_reason_and_cure(kind: str, text: str, reason: str, cure: str) -> None:
    fault = READERS[kind](text)
    assert isinstance(fault, UnitFault)
    assert reason in fault.reason
    assert cure in fault.cure


def test_contacts_in_either_order() -> None:
    for text in ("250 V 4 A", "4A 250V", "250V/4A", "250 V, 4 A"):
        assert parse_contact(text) == ContactRating(250.0, 4.0)


def test_windings() -> None:
    assert parse_winding_volts("220-0-220 V") == WindingVolts(220.0, centre_tapped=True)
    assert parse_winding_volts("220 – 0 – 220V") == WindingVolts(220.0, centre_tapped=True)
    assert parse_winding_volts("210 V") == WindingVolts(210.0, centre_tapped=False)


def test_sections() -> None:
    assert parse_section("V1a") == SectionName("V1", "a")
    assert parse_section("V12p") == SectionName("V12", "p")
    assert parse_section("V3") == SectionName("V3", "")


def test_a_resistor_without_a_type() -> None:
    """Nobody stocks a film resistor of 5 W."""
    assert default_resistor_type(Resistance(220.0, 5.0)) == "wirewound"
    assert default_resistor_type(Resistance(220.0, 4.0)) == "wirewound"
    assert default_resistor_type(Resistance(220.0, 3.0)) == "film"
    assert default_resistor_type(Resistance(220.0)) == "film"
    assert default_resistor_type(Resistance(220.0, 5.0, technology="flameproof")) == "flameproof"


def test_the_type_of_a_capacitor_that_says_none() -> None:
    # LANGUAGE version 1: from 1 µF with a rating electrolytic, else film.
    assert default_capacitor_type(Capacitance(1e-6, 63.0)) == "electrolytic"
    assert default_capacitor_type(Capacitance(1e-6)) == "electrolytic"  # it has a plus end all the same
    assert default_capacitor_type(Capacitance(470e-9, 630.0)) == "film"
    assert default_capacitor_type(Capacitance(2200e-6, 63.0, technology="film")) == "film"

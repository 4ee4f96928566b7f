"""Colour collisions: transformer leads that mean earth or mains elsewhere get a sleeve, house colours that do are clashes.

Lead colours: RETMA/EIA tables as quoted by a public reference page; earth and mains colours: IEC 60445 and North American practice, from
the region table.
"""

from __future__ import annotations

import pytest

from humdinger.compile import elaborated
from humdinger.layout import coloured
from humdinger.layout.colours import HOUSE, is_green
from support.amps import changed, demo_text
from support.front import PATH, world


def sleeves(name: str, **changes: str) -> dict[str, tuple[str, str, str]]:
    """Terminal -> colour, taken for, sleeve, of a demo with changes."""
    text = changed(demo_text(name), {key.replace("__", "/"): value for key, value in changes.items()})
    netlist = elaborated(world(text), PATH).netlist
    assert netlist is not None
    return {s.lead.pin: (s.colour, s.taken_for, s.sleeve) for s in coloured(netlist).sleeves}


def clashes(name: str, house: dict[str, str]) -> list[tuple[str, str]]:
    netlist = elaborated(world(demo_text(name)), PATH).netlist
    assert netlist is not None
    return [(c.carries, c.taken_for) for c in coloured(netlist, house).clashes]


def test_the_green_speaker_lead_is_sleeved() -> None:
    assert sleeves("dunlin", output__transformer__lead_colours="retma")["8"] == ("green", "protective earth", HOUSE["speaker"])


def test_of_several_taps_none_is_said_to_be_green() -> None:
    found = sleeves("curlew")
    assert found["4"][0] == found["8"][0] == "green, if it is"


def test_a_black_return_is_sleeved_where_black_is_line() -> None:
    assert "0" in sleeves("dunlin", output__transformer__lead_colours="retma")
    assert "0" not in sleeves("curlew")


def test_heater_leads_and_the_neutral_end_of_the_primary_are_sleeved() -> None:
    found = sleeves("dunlin", supply__transformer__lead_colours="retma")
    assert found["H1-A"] == ("green", "protective earth", HOUSE["heater"])
    assert found["N"] == ("black", "mains line", "white")
    assert "L" not in found
    assert "N" not in sleeves("curlew", supply__transformer__lead_colours="retma")


def test_without_a_code_nothing_is_known() -> None:
    assert sleeves("dunlin") == {}


@pytest.mark.parametrize(
    ("name", "what", "colour", "taken"),
    [
        ("curlew", "heater", "green-yellow", "protective earth"),
        ("curlew", "signal", "green-white", "protective earth"),
        ("curlew", "signal", "yellow-green", "protective earth"),
        ("curlew", "signal", "black", "mains line or neutral"),
        ("curlew", "cathode", "blue", "mains line or neutral"),
        ("dunlin", "supply", "white", "mains line or neutral"),
    ],
)
def test_house_colours_that_clash(name: str, what: str, colour: str, taken: str) -> None:
    assert clashes(name, {what: colour}) == [(what, taken)]


@pytest.mark.parametrize(
    ("name", "what", "colour"), [("dunlin", "plate", "blue"), ("dunlin", "grid", "white"), ("curlew", "grid", "white")]
)
def test_house_colours_that_do_not(name: str, what: str, colour: str) -> None:
    assert clashes(name, {what: colour}) == []


def test_white_with_a_green_stripe_is_not_green() -> None:
    assert not is_green("white-green")

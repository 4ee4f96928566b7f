"""Parts as text: all of it, each number with its source."""

from __future__ import annotations

import re

import pytest

from humdinger.parts.describe import describe_diode, describe_library, describe_tube
from humdinger.parts.library import Library

LIBRARY = Library()


@pytest.mark.parametrize("name", LIBRARY.tube_names())
def test_every_tube_can_be_described(name: str) -> None:
    tube = LIBRARY.tube(name)
    assert tube is not None
    text = describe_tube(tube, LIBRARY.sources())
    body, _, sources = text.partition("\nSources\n")
    tags = set(re.findall(r"\[([a-z0-9-]+)\]", body))
    assert tags
    assert set(re.findall(r"^  \[([a-z0-9-]+)\] ", sources, re.MULTILINE)) == tags
    pins = re.findall(r"^  (\d)  (.+)$", body.partition("\nHeater\n")[0], re.MULTILINE)
    assert [int(pin) for pin, _ in pins] == list(range(1, tube.base.pins + 1))
    assert "None" not in text
    assert "verdict: " in text


def test_figures_and_sources_stand_together() -> None:
    tube = LIBRARY.tube("EL84")
    assert tube is not None
    text = describe_tube(tube)
    assert re.search(r"plate +12 W +\[article-el84\]", text)
    assert re.search(r"grid resistance, fixed bias +300 kΩ +\[memory\]", text)
    assert "  9  screen" in text
    assert "  6  internal connection, leave free" in text
    flat = " ".join(text.split())
    assert "screen at full drive 10.8 mA [memory]" in flat
    assert "6.3 V at 760 mA, pin 4 against 5" in flat


def test_the_list_has_every_part() -> None:
    text = describe_library(LIBRARY)
    for name in (*LIBRARY.tube_names(aliases=True), *LIBRARY.diode_names(), *LIBRARY.region_codes()):
        assert re.search(rf"\b{re.escape(name)}\b", text), name


def test_a_diode() -> None:
    diode = LIBRARY.diode("UF4007")
    assert diode is not None
    text = describe_diode(diode, LIBRARY.sources())
    assert re.search(r"reverse, repetitive +1 kV +\[memory\]", text)
    assert "[engine-trial] an assumption" in text

"""Every number of the manual that names where it is from: it is there in data/results.json, and what is printed is its rounding."""

from __future__ import annotations

import json
import math
import re
from collections.abc import Iterator
from typing import Any

import pytest

from humdinger.analysis.probing import READABLE_VOLTS
from humdinger.manual import keys
from humdinger.manual.model import Cell, Table
from humdinger.manual.words import DIGITS, READABLE_RIPPLE
from support.manuals import DEMO_NAMES, composed

PREFIXES = {"": 1.0, "p": 1e-12, "n": 1e-9, "µ": 1e-6, "m": 1e-3, "k": 1e3, "M": 1e6}
UNITS = ("VA", "Hz", "V", "A", "W", "J", "s", "Ω", "F", "H", "S")
NOTHING = ("–", "never", "never by itself")


def looked_up(data: Any, pointer: str) -> Any:
    """What stands at a JSON pointer. Raises KeyError."""
    assert pointer.startswith("/")
    for name in pointer[1:].split("/"):
        name = name.replace("~1", "/").replace("~0", "~")
        data = data[int(name)] if isinstance(data, list) else data[name]
    return data


def keyed(name: str) -> Iterator[tuple[str, str, Cell]]:
    for page in composed(name).pages:
        for block in page.blocks:
            for row in block.rows if isinstance(block, Table) else ():
                for cell in row.cells:
                    if cell.key:
                        text = "".join(run if isinstance(run, str) else getattr(run, "text", "") for run in cell.text)
                        yield page.name, text, cell


def printed(text: str) -> tuple[float, float]:
    """A printed number as SI and half of the last place it was rounded to: three significant digits, decibels to a tenth."""
    found = re.match(r"(-?[\d.]+) ?(.*)", text)
    assert found, text
    value, unit = float(found[1]), found[2].split(" ")[0]
    place = 10.0 ** (math.floor(math.log10(abs(value))) - DIGITS + 1) if value else 0.0
    if unit in ("dB", "°"):
        return value, 0.051 if unit == "dB" else 0.51
    for known in UNITS:
        if unit.endswith(known) and unit.removesuffix(known) in PREFIXES:
            scale = PREFIXES[unit.removesuffix(known)]
            return value * scale, 0.51 * place * scale
    assert unit in ("", "%"), text
    return value, 0.51 * place


def agrees(text: str, true: Any, key: str) -> bool:
    if true is None or text in NOTHING:
        return true is None and text in NOTHING
    if text.startswith("< "):
        return abs(true) < READABLE_RIPPLE
    value, half = printed(text)
    # a worked formula says its unit beside its number; elsewhere the name says it
    if "%" in text and not key.rsplit("/", 1)[1].endswith("percent") and not key.startswith("/worked/"):
        true = 100.0 * true
    return abs(value - true) <= half or (value == 0.0 and abs(true) < READABLE_VOLTS)


@pytest.mark.parametrize("name", DEMO_NAMES)
def test_every_key_leads_to_the_number_that_is_printed(name: str) -> None:
    data = json.loads(composed(name).files["data/results.json"])
    found = list(keyed(name))
    assert len(found) > 100  # the smallest demo prints 127; a page that loses its keys shows here
    wrong = [f"{page}: {text!r} at {cell.key}" for page, text, cell in found if not agrees(text, looked_up(data, cell.key), cell.key)]
    assert wrong == []


def test_a_pointer_takes_names_with_points_and_strokes() -> None:
    assert keys.at("gains", "first/first.out", "gain_ratio") == "/gains/first~1first.out/gain_ratio"
    assert looked_up({"a.b": {"c/d": [7]}}, keys.at("a.b", "c/d", 0)) == 7


def test_a_number_off_by_one_place_does_not_agree() -> None:
    assert agrees("12.3 V", 12.34, "/x/volts")
    assert not agrees("12.3 V", 12.36, "/x/volts")
    assert not agrees("12.3 mV", 12.34, "/x/volts")
    assert agrees("77.2 %", 0.7716, "/x/share_ratio")
    assert not agrees("–", 1.0, "/x/volts")

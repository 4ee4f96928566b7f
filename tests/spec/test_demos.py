"""The demos and the smallest amp pass the language passes without a word, and their names are bound."""

from __future__ import annotations

import pytest

from support.demos import NAMES
from support.front import DEMOS, SMALLEST, front


def demo(name: str):
    """The Design of a demo."""
    text = next(path for path in DEMOS if path.parent.name == name).read_text(encoding="utf-8")
    design, found = front(text)
    assert design is not None, found
    return design


@pytest.mark.parametrize("path", [*DEMOS, SMALLEST], ids=lambda path: path.name)
def test_no_finding(path):
    design, found = front(path.read_text(encoding="utf-8"))
    assert found == ()
    assert design is not None


def test_every_demo_is_listed():
    assert [path.parent.name for path in DEMOS] == sorted(NAMES)


def test_names_are_bound():
    design = demo("heron")
    assert design.tubes["V4"].type.name == "EL34"
    assert design.tubes["V6"].type.is_rectifier
    assert design.region.code == "uk"
    assert design.mains_hertz == 50.0
    assert set(design.diodes) == {"1N4007"}
    assert design.name == "Heron"
    assert design.shop.get("maker") == "Saltmarsh Amp Works"


def test_dunlin_runs_on_60_hertz():
    assert demo("dunlin").mains_hertz == 60.0

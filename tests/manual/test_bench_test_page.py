"""The bench test page: every level of the sweep that has a name, a picture for three of them, limits that are said to be practice."""

from __future__ import annotations

import pytest

from humdinger.drawing.oscillogram import ACROSS, UP, oscillogram, setting
from humdinger.manual.model import Gallery, Table
from support.amps import demo
from support.manuals import DEMO_NAMES, composed


@pytest.mark.parametrize("name", DEMO_NAMES)
def test_the_page(name: str) -> None:
    page = next(page for page in composed(name).pages if page.name == "bench-test")
    assert page.live
    tables = {block.anchor: block for block in page.blocks if isinstance(block, Table)}
    assert [row.cells[0].text[0] for row in tables["power-table"].rows] == [
        "a flat begins to show", "5 % distortion", "10 % distortion", "four times full drive",
    ]  # fmt: skip
    netlist = demo(name).netlist
    assert netlist is not None
    assert len(tables["dissipation"].rows) == 2 * len(netlist.power_sections)
    assert len(tables["response-table"].rows) == 10
    assert ("tremolo-rate" in tables) == bool(netlist.stages_of("phase-shift-oscillator"))
    (gallery,) = [block for block in page.blocks if isinstance(block, Gallery)]
    assert [figure.name for figure in gallery.figures] == ["wave-half", "wave-clipping", "wave-most"]


@pytest.mark.parametrize(("least", "expected"), [(0.9, 1.0), (1.0, 1.0), (1.01, 2.0), (2.4e-4, 5e-4), (5.1, 10.0)])
def test_settings_go_in_ones_twos_and_fives(least: float, expected: float) -> None:
    assert setting(least) == pytest.approx(expected)


def test_two_periods_fill_the_screen() -> None:
    wave = [10.0, 0.0, -10.0, 0.0]
    plot = oscillogram("wave-x", "X", wave, 1e-3)
    assert "5 V a division, 200 µs a division" in plot.svg
    assert pytest.approx(2e-3) == ACROSS * 200e-6
    assert UP * 5.0 > 2.0 * 10.0

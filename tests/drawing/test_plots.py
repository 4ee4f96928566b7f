"""Plots of load lines: they show the numbers of the results, are small, the same every time, and are told apart without colour."""

from __future__ import annotations

import xml.etree.ElementTree as ET

import pytest

from humdinger.analysis.loadlines import chart
from humdinger.drawing.loadline import load_line_plot
from humdinger.drawing.plots import BOTTOM, HEIGHT, LEFT, LINES, RIGHT, TOP, WIDTH, ticks
from humdinger.manual.load_lines import load_line_plots
from humdinger.manual.model import Gallery
from support.manuals import DEMO_NAMES, composed, manual

SVG = "{http://www.w3.org/2000/svg}"


def drawn(name: str):
    """(line, chart, svg root) of every load line of a demo."""
    made = manual(name)[0]
    assert made.netlist is not None
    assert made.results is not None
    for line in made.results.load_lines:
        found = chart(made.netlist.by_section[line.section], line)
        assert found is not None
        yield line, found, ET.fromstring(load_line_plot((line.section,), "type", line, found).svg)


def read(root: ET.Element, found, point: tuple[float, float]) -> tuple[float, float]:
    """Millimetres of the sheet back to volts and amps, by the frame and the ends of the axes."""
    x, y = point
    volts = (x - LEFT) / (WIDTH - LEFT - RIGHT) * found.volts_end
    return volts, (HEIGHT - BOTTOM - y) / (HEIGHT - TOP - BOTTOM) * found.amps_end


@pytest.mark.parametrize("name", DEMO_NAMES)
def test_the_dots_stand_at_idle_and_at_the_ends_of_the_swing(name: str) -> None:
    for line, found, root in drawn(name):
        dots = [read(root, found, (float(c.get("cx", "")), float(c.get("cy", "")))) for c in root.iter(f"{SVG}circle")][:3]
        wanted = [(line.zero_volts, line.zero_amps), (line.cutoff_volts, 0.0), (line.plate_volts, line.plate_amps)]
        for (volts, amps), (true_volts, true_amps) in zip(dots, wanted, strict=True):
            # the writer keeps hundredths of a millimetre
            assert volts == pytest.approx(true_volts, abs=1e-4 * found.volts_end), line.section
            assert amps == pytest.approx(true_amps, abs=2e-4 * found.amps_end), line.section


@pytest.mark.parametrize("name", DEMO_NAMES)
def test_nothing_leaves_the_frame(name: str) -> None:
    for _, _, root in drawn(name):
        for path in root.iter(f"{SVG}polyline"):
            if path.get("class") in ("curve", "signal", "direct", "limit"):
                points = [tuple(map(float, pair.split(","))) for pair in path.get("points", "").split()]
                if points[0][1] > HEIGHT - BOTTOM + 5.0:
                    continue  # a sample in the key
                for x, y in points:
                    assert LEFT - 0.01 <= x <= WIDTH - RIGHT + 0.01, path.get("class")
                    assert TOP - 0.01 <= y <= HEIGHT - BOTTOM + 0.01, path.get("class")


@pytest.mark.parametrize("name", DEMO_NAMES)
def test_plots_are_small_the_same_again_and_name_every_section(name: str) -> None:
    made = manual(name)[0]
    assert made.netlist is not None
    assert made.results is not None
    first = load_line_plots(made.netlist, made.results)
    assert first == load_line_plots(made.netlist, made.results)
    named = [section for plot in first for section in plot.name.removeprefix("load-line-").split("-")]
    assert sorted(named) == sorted(line.section for line in made.results.load_lines)
    for plot in first:
        assert len(plot.svg) < 20_000
        assert "<script" not in plot.svg
    page = next(page for page in composed(name).pages if page.name == "design-notes")
    shown = {figure.name: figure.svg for block in page.blocks if isinstance(block, Gallery) for figure in block.figures}
    assert shown == {plot.name: plot.svg for plot in first}


def test_no_two_kinds_of_line_differ_in_colour_alone() -> None:
    looks = [tuple(v for k, v in sorted(look.items()) if k != "stroke") for kind, look in LINES.items() if kind not in ("frame", "grid")]
    assert len(set(looks)) == len(looks)


def test_ticks_are_round_and_reach_the_end() -> None:
    for end in (0.0012, 0.0015, 0.002, 0.0025, 0.003, 0.15, 0.4, 250.0, 300.0, 600.0, 800.0):
        found = ticks(end)
        assert found[0] == 0.0
        assert found[-1] == pytest.approx(end)
        assert 4 <= len(found) <= 9

"""The manual against the results: every number in a table that names its key equals the number of results.json; counts agree."""

from __future__ import annotations

import re

import pytest

from humdinger.analysis.discharge import waiting_seconds
from humdinger.analysis.results import Results
from humdinger.circuit.netlist import Resistor
from humdinger.layout import Layout, coloured
from humdinger.manual.chart import chart_page
from humdinger.manual.invariants import assert_true
from humdinger.manual.kit import kit_page
from humdinger.manual.model import Cell, Table
from humdinger.manual.safety import live_block, safety_page, waiting
from support.manuals import DEMO_NAMES, composed, manual


def text(cell: Cell) -> str:
    return "".join(run if isinstance(run, str) else run.text for run in cell.text)


def table(page, anchor: str) -> Table:
    return next(b for b in page.blocks if isinstance(b, Table) and b.anchor == anchor)


@pytest.mark.parametrize("name", DEMO_NAMES)
def test_waiting_time_is_twice_the_slowest_node_with_fuses_open_or_closed(name: str) -> None:
    results = manual(name)[0].results
    assert results is not None
    slowest = max(max(d.seconds or 0.0, d.seconds_alone or 0.0) for d in results.discharges if d.kind != "signal")
    wait = waiting_seconds(results.discharges)
    assert wait is not None
    assert 2 * slowest <= wait < 2 * slowest + 30
    assert wait % 30 == 0
    assert waiting(results, None) == wait
    assert waiting(results, 500.0) == 500  # a longer label wins: one number in the whole amp


@pytest.mark.parametrize("name", DEMO_NAMES)
def test_safety_sheet_names_every_capacitor_of_supply_and_bias(name: str) -> None:
    made = manual(name)[0]
    assert made.netlist is not None
    assert made.results is not None
    assert made.design is not None
    text = repr(safety_page(made.design, made.netlist, made.results))
    for found in made.results.discharges:
        if found.kind != "signal":
            assert all(ref in text for ref in found.capacitors)
    assert made.netlist.region.emergency_number in text


def volts_of(shown: str) -> float:
    number, unit = shown.split()
    return float(number) * {"V": 1.0, "mV": 1e-3, "kV": 1e3}[unit]


def chart_of(name: str):
    made = manual(name)[0]
    assert made.netlist is not None
    assert made.results is not None
    return chart_page(made.netlist, made.results, live_block(made.results)), made.netlist, made.results


def test_bias_targets_are_cathode_current_times_test_resistor() -> None:
    page, netlist, results = chart_of("heron")
    rows = table(page, "bias-targets").rows
    assert [text(row.cells[0]) for row in rows] == ["V4", "V5"]
    for row in rows:
        part = netlist.by_ref[text(row.cells[1])]
        assert isinstance(part, Resistor)
        expected = results.nominal.sections[text(row.cells[0])].cathode_amps * part.ohms
        assert volts_of(text(row.cells[2])) == pytest.approx(expected, rel=6e-3)
    steps = next(page for page in composed("heron").pages if page.name == "first-power")
    words = repr(steps)
    assert results.bias_range is not None
    for end in (results.bias_range.coldest_volts, results.bias_range.hottest_volts, results.bias_range.wiper_open_volts):
        assert f"{end:.1f} V" in words


def test_cathode_bias_shows_what_to_expect_and_nothing_to_turn() -> None:
    page, _, results = chart_of("curlew")
    rows = table(page, "bias-targets").rows
    assert [volts_of(text(row.cells[2])) for row in rows] == pytest.approx([b.volts for b in results.cathode_biases], rel=6e-3)
    assert "coldest" not in repr(page)


def test_alternating_volts_name_halves_and_never_the_whole_of_a_tapped_winding() -> None:
    page, _, results = chart_of("heron")
    found = table(page, "alternating")
    rows = {text(row.cells[0]): row for row in found.rows}
    assert "never end to end" in found.note
    half = rows["HT, half a"]
    assert "HT-CT" in text(half.cells[1]) or "tap" in text(half.cells[1])
    point = results.nominal.rectifiers["high-tension"]
    assert volts_of(text(half.cells[2])) == pytest.approx(point.no_load_volts_rms, rel=6e-3)
    at = found.columns.index("Nominal")
    assert volts_of(text(half.cells[at])) == pytest.approx(point.winding_volts_rms, rel=6e-3)
    assert volts_of(text(half.cells[at])) < volts_of(text(half.cells[2]))
    heater = rows["heaters H1"]
    budget = next(h for h in results.heaters if h.winding == "H1")
    assert volts_of(text(heater.cells[at])) == pytest.approx(budget.volts["nominal"], rel=6e-3)
    bridge, _, _ = chart_of("dunlin")
    whole = table(bridge, "alternating")
    assert "never end to end" not in whole.note
    assert not any("HT" in text(row.cells[0]) for row in whole.rows)  # a winding without a tap is not read at all: B+ tells


def test_no_computed_number_has_more_than_three_digits() -> None:
    """On the pages whose numbers are all computed, apart from ratings: the results page's rated amps."""
    made, files = manual("curlew")
    page = files["design-notes.html"].decode()
    rated = {f"{w.rated_amps:g}" for w in made.results.windings} if made.results else set()
    for number in re.findall(r'<td class="number">-?([0-9.]+) [A-Za-zµ%]', page):
        assert len(number.replace(".", "").lstrip("0").rstrip("0")) <= 3 or number in rated, number


def test_a_missing_chart_row_is_a_fault_of_ours() -> None:
    made, _ = manual("dunlin")
    assert made.netlist is not None
    assert made.results is not None
    assert made.findings is not None
    assert isinstance(made.results, Results)
    empty = Layout((), coloured(made.netlist))
    from humdinger.manual.model import Manual

    pages = (chart_page(made.netlist, made.results, live_block(made.results)), kit_page(made.netlist))
    with pytest.raises(AssertionError, match="WIR-001"):
        assert_true(Manual("x", "A", "", "us", "letter", "", "", pages), made.netlist, made.results, empty, made.findings)


def test_no_number_is_typed_into_a_template() -> None:
    from humdinger.source.data import read_data

    text = re.sub(r"\{[{%].*?[%}]\}", "", read_data("templates", "page.html.j2"))
    text = re.sub(r'(?:charset|width|initial-scale|tabindex|content)="?[^"]*"?', "", text)
    assert not re.search(r">[^<]*\d+(?:\.\d+)?\s*(?:V|mA|W|s|Ω|Hz)\b", text)

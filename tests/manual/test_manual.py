"""The manual against the results: every number in a table that names its key equals the number of results.json; counts agree."""

from __future__ import annotations

import re

import pytest

from humdinger.analysis.discharge import waiting_seconds
from humdinger.analysis.results import Results
from humdinger.layout import Layout
from humdinger.manual.chart import chart_page, charted_nets
from humdinger.manual.invariants import assert_true, rows_of
from humdinger.manual.parts_list import parts_page
from humdinger.manual.safety import live_block, safety_page, waiting
from support.manuals import DEMO_NAMES, manual


@pytest.mark.parametrize("name", DEMO_NAMES)
def test_parts_list_counts_what_the_netlist_counts(name: str) -> None:
    netlist = manual(name)[0].netlist
    assert netlist is not None
    listed = [row.anchor.removeprefix("part-") for row in rows_of(parts_page(netlist))]
    assert sorted(listed) == sorted(part.ref for part in netlist.parts)


@pytest.mark.parametrize("name", DEMO_NAMES)
def test_chart_has_a_row_for_every_solved_node_and_its_volts(name: str) -> None:
    made = manual(name)[0]
    assert made.netlist is not None
    assert made.results is not None
    page = chart_page(made.netlist, made.results, live_block(made.results))
    rows = {row.anchor: row for row in rows_of(page)}
    for net in charted_nets(made.netlist, made.results):
        keyed = {cell.key: "".join(str(run) for run in cell.text) for cell in rows[f"net-{net}"].cells if cell.key}
        assert f"states.nominal.nodes.{net}.volts" in keyed
        for key, text in keyed.items():
            state = key.split(".")[1]
            shown = float(text.split()[0]) * {"V": 1.0, "mV": 1e-3, "kV": 1e3}[text.split()[1]]
            assert shown == pytest.approx(made.results.operating[state].volts[net], rel=6e-3, abs=5.1e-3), key


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
    text = repr(safety_page(made.netlist, made.results))
    for found in made.results.discharges:
        if found.kind != "signal":
            assert all(ref in text for ref in found.capacitors)
    assert made.netlist.region.emergency_number in text


def test_a_missing_chart_row_is_a_fault_of_ours() -> None:
    made, _ = manual("dunlin")
    assert made.netlist is not None
    assert made.results is not None
    assert made.findings is not None
    assert isinstance(made.results, Results)
    empty = Layout((), (), ())
    from humdinger.manual.model import Manual

    pages = (chart_page(made.netlist, made.results, live_block(made.results)), parts_page(made.netlist))
    with pytest.raises(AssertionError, match="WIR-001"):
        assert_true(Manual("x", "A", "", "us", "letter", "", "", pages), made.netlist, made.results, empty, made.findings)


def test_no_number_is_typed_into_a_template() -> None:
    from humdinger.source.data import read_data

    text = re.sub(r"\{[{%].*?[%}]\}", "", read_data("templates", "page.html.j2"))
    text = re.sub(r'(?:charset|width|initial-scale|tabindex|content)="?[^"]*"?', "", text)
    assert not re.search(r">[^<]*\d+(?:\.\d+)?\s*(?:V|mA|W|s|Ω|Hz)\b", text)

"""Before power, first power, charts, safety, stop: held against results.json, the netlist and the rules of the safety sheet."""

from __future__ import annotations

import html
import json
import re
from dataclasses import replace
from typing import Any

import pytest

from humdinger.circuit.netlist import Capacitor
from humdinger.compile import Compiled
from humdinger.manual.before_power import before_power_page
from humdinger.manual.chart import charted_nets
from humdinger.manual.first_power import first_power_page
from humdinger.manual.invariants import assert_true, rows_of
from humdinger.manual.model import BLANK, Cell, Heading, Items, Manual, Page, Row, Table, num, txt
from humdinger.manual.probes import refusals
from humdinger.manual.safety import live_block, safety_page, waiting
from humdinger.manual.stop import stop_page
from humdinger.parts.library import Library
from humdinger.parts.model import Cited
from support.manuals import DEMO_NAMES, composed, manual, pages

PAGES = ("before-power", "first-power", "chart", "safety")
SCALE = {"n": 1e-9, "µ": 1e-6, "m": 1e-3, "": 1.0, "k": 1e3, "M": 1e6, "G": 1e9}
NUMBER = re.compile(r"(-?[0-9.]+)\s(n|µ|m|k|M|G|)(V|A|W|Ω|J|s|Hz|dB)\b")


def page(name: str, stem: str) -> Page:
    return next(p for p in composed(name).pages if p.name == stem)


def parts(name: str) -> Compiled:
    return manual(name)[0]


def said(cell: Cell) -> str:
    return "".join(run if isinstance(run, str) else run.text for run in cell.text)


def words(found: Page) -> str:
    """All text of a page, as a reader sees it."""
    texts: list[str] = [found.title, found.lead]

    def walk(value: Any) -> None:
        if isinstance(value, str):
            texts.append(value)
        elif isinstance(value, tuple):
            for item in value:
                walk(item)
        elif hasattr(value, "__record_fields__"):
            for field in value.__record_fields__:
                if field not in ("anchor", "key", "kind", "page", "path", "state", "level", "name"):
                    walk(getattr(value, field))

    walk(found.blocks)
    return "\n".join(texts).replace("\u00a0", " ")


def pointed(data: Any, pointer: str) -> Any:
    """RFC 6901."""
    for step in pointer.split("/")[1:]:
        step = step.replace("~1", "/").replace("~0", "~")
        data = data[int(step)] if isinstance(data, list) else data[step]
    return data


@pytest.mark.parametrize("stem", PAGES)
@pytest.mark.parametrize("name", DEMO_NAMES)
def test_every_number_that_names_its_key_is_that_of_results_json(name: str, stem: str) -> None:
    data = json.loads(composed(name).files["data/results.json"])
    seen = 0
    for row in rows_of(page(name, stem)):
        for cell in row.cells:
            if not cell.key.startswith("/"):
                continue
            value, shown = pointed(data, cell.key), said(cell)
            if value is None:
                assert shown == "never by itself", cell.key
                continue
            number, prefix, unit = NUMBER.search(shown).groups()  # type: ignore[union-attr]
            least = 5.1e-3 if unit == "V" else 0.051 if unit == "dB" else 0.0
            assert float(number) * SCALE[prefix] == pytest.approx(value, rel=5.1e-3, abs=least), (cell.key, shown)
            seen += 1
    assert seen > 10


@pytest.mark.parametrize("name", DEMO_NAMES)
def test_every_dead_test_has_its_row_with_its_leads(name: str) -> None:
    made = parts(name)
    assert made.results is not None
    assert made.results.dead_tests is not None
    assert made.layout is not None
    tests = made.results.dead_tests.rows
    rows = {row.anchor: row for row in rows_of(page(name, "before-power")) if row.anchor.startswith("dead-")}
    assert set(rows) - {"dead-everything"} == {f"dead-{key.replace('/', '-')}" for key in tests}
    for key, test in tests.items():
        red, black = (said(cell).replace("\u00a0", " ") for cell in rows[f"dead-{key.replace('/', '-')}"].cells[2:4])
        for lead, shown in ((test.red, red), (test.black, black)):
            at = made.layout.joint(*lead)
            assert (at.ref if lead[0] == "W1" else lead[0]) in shown, key
    numbers = [said(row.cells[0]) for row in rows_of(page(name, "before-power")) if row.anchor.startswith("dead-")]
    assert len(numbers) == len(set(numbers))


@pytest.mark.parametrize("name", DEMO_NAMES)
def test_nothing_is_measured_in_ohms_before_every_capacitor_is_metered(name: str) -> None:
    made, found = parts(name), page(name, "before-power")
    tables = [block for block in found.blocks if isinstance(block, Table)]
    assert "before any ohms" in tables[0].caption
    listed = {row.anchor.removeprefix("charged-") for row in tables[0].rows}
    assert made.results is not None
    assert {d.net if d.net != "0" else d.minus for d in made.results.discharges if d.kind != "signal"} <= listed
    assert set(made.netlist.b_plus) <= listed  # type: ignore[union-attr]


@pytest.mark.parametrize("name", DEMO_NAMES)
def test_polarity_rows_are_the_parts_with_a_right_way_round(name: str) -> None:
    from humdinger.circuit.netlist import Capacitor, Diode

    netlist = parts(name).netlist
    assert netlist is not None
    rows = {row.anchor.removeprefix("polarity-") for row in rows_of(page(name, "before-power")) if row.anchor.startswith("polarity-")}
    assert rows == {p.ref for p in netlist.parts if isinstance(p, Diode) or (isinstance(p, Capacitor) and p.polarised)}


@pytest.mark.parametrize("name", DEMO_NAMES)
def test_four_charts_and_every_solved_node_in_them_once(name: str) -> None:
    made, found = parts(name), page(name, "chart")
    assert made.netlist is not None
    assert made.results is not None
    titles = [block.text for block in found.blocks if isinstance(block, Heading) and block.text.startswith("Chart ")]
    assert [title.split(":")[0] for title in titles] == ["Chart 1", "Chart 2", "Chart 3", "Chart 4"]
    anchors = [row.anchor for row in rows_of(found) if row.anchor]
    assert len(anchors) == len(set(anchors))
    assert {a.removeprefix("net-") for a in anchors if a.startswith("net-")} == set(charted_nets(made.netlist, made.results))


@pytest.mark.parametrize("name", DEMO_NAMES)
def test_low_and_high_enclose_what_is_expected_and_the_meter_is_where_it_moves_the_node(name: str) -> None:
    made, found = parts(name), page(name, "chart")
    assert made.results is not None
    rows = {row.anchor: row for row in rows_of(found)}
    for state, chart in made.results.charts.items():
        for net, volts in chart.volts.items():
            row = rows.get(f"net-{net}" if state == "nominal" else f"{state}-{net}")
            if row is None or len(row.cells) != 9:
                continue
            assert min(volts) <= volts[chart.nominal] <= max(volts), (state, net)
            assert (said(row.cells[5]) != "same") == (net in chart.metered_volts), (state, net)


def test_the_mains_chart_has_five_solved_columns() -> None:
    made, found = parts("curlew"), page("curlew", "chart")
    assert made.results is not None
    table = next(b for b in found.blocks if isinstance(b, Table) and b.anchor == "volts-mains")
    assert table.columns[2:7] == ("207 V mains", "218.5 V mains", "230 V mains", "241.5 V mains", "253 V mains")
    chart = made.results.charts["nominal"]
    row = next(r for r in table.rows if r.anchor == "mains-B1")
    shown = [float(said(cell).split()[0]) for cell in row.cells[2:7]]
    assert shown == pytest.approx(list(chart.volts["B1"]), rel=5.1e-3)
    assert shown == sorted(shown)


@pytest.mark.parametrize("name", DEMO_NAMES)
def test_no_live_row_asks_for_what_the_safety_sheet_forbids(name: str) -> None:
    """Independent of the invariant: by the tubes' own pins and the parts of the mains side."""
    made = parts(name)
    netlist, results = made.netlist, made.results
    assert netlist is not None
    assert results is not None
    plates = {netlist.by_section[ref].plate for ref in netlist.power_sections}
    asked = {
        row.anchor: row
        for stem in ("chart", "first-power")
        for row in rows_of(page(name, stem))
        if any(cell.kind == "blank" for cell in row.cells)
    }
    for plate in plates:
        assert f"net-{plate}" not in asked
        assert f"mains-{plate}" not in asked
        assert f"no-tubes-{plate}" in asked  # with its tube out it is a node like any other
    grids = {section.grid for section in netlist.sections}
    moved = grids & set(results.metered_volts)
    assert not {f"net-{net}" for net in moved} & set(asked)
    mains = {part.ref for net, rows in netlist.on_net.items() if netlist.nets[net].domain == "mains" for part, _ in rows}
    for anchor, row in asked.items():
        texts = [said(cell).replace("\u00a0", " ") for cell in row.cells]
        assert not any("HT-A" in text and "HT-B" in text for text in texts), anchor
        wall = {ref for ref in mains if ref.startswith(("F", "J", "S"))}
        assert not any(text.split(" ")[0] in wall and len(text.split(" ")) > 1 for text in texts[1:3]), anchor


def test_a_page_that_asks_for_an_output_plate_is_a_fault_of_ours() -> None:
    made, good = parts("curlew"), composed("curlew")
    assert made.netlist is not None
    assert made.results is not None
    assert made.layout is not None
    assert made.findings is not None

    def with_row(row: Row) -> Manual:
        table = Table("extra", ("a", "b", "c"), (row,))
        pages = tuple(replace(p, blocks=(*p.blocks, table)) if p.name == "first-power" else p for p in good.pages)
        return replace(good, pages=pages)

    for row in (
        Row((txt("plate"), txt("V4 pin 7"), BLANK), anchor="net-output.plate-a"),
        Row((txt("grid"), num("35 V"), BLANK), anchor="net-inverter.grid-b"),
        Row((txt("HT"), txt("T2 HT-A to T2 HT-B"), BLANK)),
        Row((txt("line"), txt("J4 L"), BLANK)),
    ):
        with pytest.raises(AssertionError, match="DOC-007"):
            assert_true(with_row(row), made.netlist, made.results, made.layout, made.findings)
    assert_true(good, made.netlist, made.results, made.layout, made.findings)


def test_output_grids_of_a_fixed_bias_are_read_while_their_tubes_are_out() -> None:
    made = parts("heron")
    assert made.netlist is not None
    assert made.results is not None
    grids = {made.netlist.by_section[ref].grid for ref in made.netlist.power_sections}
    assert not grids & set(refusals(made.netlist, made.results, "no-tubes"))
    assert grids <= set(refusals(made.netlist, made.results, "nominal"))
    rows = {row.anchor for row in rows_of(page("heron", "first-power"))}
    assert {"first-bias-V4", "first-bias-V5"} <= rows


@pytest.mark.parametrize("name", DEMO_NAMES)
def test_the_limiter_is_once_to_twice_the_load(name: str) -> None:
    made = parts(name)
    assert made.results is not None
    first = made.results.first_power
    assert first is not None
    assert first.limiter_watts is not None
    assert first.volt_amps <= first.limiter_watts <= 2.0 * first.volt_amps
    assert f"{first.limiter_watts:g} W" in words(page(name, "first-power"))


def test_an_amp_too_large_for_any_bulb_says_so() -> None:
    made = parts("heron")
    assert made.netlist is not None
    assert made.results is not None
    assert made.results.first_power is not None
    large = replace(made.results, first_power=replace(made.results.first_power, volt_amps=900.0, limiter_watts=None))
    found = first_power_page(made.netlist, large, live_block(large), 60)
    assert found is not None
    assert "no bulb is large enough" in words(found)


def test_what_an_amp_does_not_have_its_pages_do_not_mention() -> None:
    small, large = words(page("dunlin", "first-power")), words(page("heron", "first-power"))
    for word in ("feedback", "trimmer", "Rectifier tube", "end to end"):
        assert word.lower() not in small.lower(), word
        assert word.lower() in large.lower(), word
    before = words(page("dunlin", "before-power")).lower()
    assert "standby" not in before
    assert "hum balance" not in before
    assert "bias trimmer" not in before


@pytest.mark.parametrize("name", DEMO_NAMES)
def test_steps_stand_in_the_safe_order_and_the_lamp_stays_until_the_output_tubes_are_calm(name: str) -> None:
    found = page(name, "first-power")
    titles = [b.text for b in found.blocks if isinstance(b, Heading)]
    order = ["Ready", "every tube out", "Small tubes in", "Output tubes in", "Idle current"]
    at = [next(k for k, title in enumerate(titles) if word in title) for word in order]
    assert at == sorted(at)
    text = words(found)
    assert "never into a voltage chart" in text
    assert text.index("Lamp in.") < text.index("lamp out, full mains, and read the table")
    assert all(isinstance(b, Table | Items) or not hasattr(b, "rows") for b in found.blocks)


@pytest.mark.parametrize("name", DEMO_NAMES)
def test_one_waiting_time_on_every_page(name: str) -> None:
    made = parts(name)
    assert made.results is not None
    assert made.design is not None
    label = made.design.spec.block("safety").block("warning_label").get("wait").value
    wait = waiting(made.results, label)
    for stem in ("safety", "first-power", "chart"):
        found = set(re.findall(r"[Ww]ait (\d+) s\b", words(page(name, stem))))
        assert found == {str(wait)}, stem


@pytest.mark.parametrize("name", DEMO_NAMES)
def test_discharge_resistor_takes_the_square_of_the_volts(name: str) -> None:
    made = parts(name)
    assert made.results is not None
    for d in made.results.discharges:
        if d.kind == "signal":
            continue
        bleed = made.results.bleeds[d.net]
        assert bleed.peak_watts == pytest.approx(d.start_volts**2 / 10e3)
        assert bleed.seconds is not None
        assert d.seconds is None or bleed.seconds < d.seconds
    worst = max(b.peak_watts for b in made.results.bleeds.values())
    assert f"takes {float(f'{worst:.3g}'):g} W at the first touch" in words(page(name, "safety"))


@pytest.mark.parametrize("code", Library().region_codes())
def test_the_region_sets_the_facts_of_the_safety_and_stop_pages(code: str) -> None:
    made = parts("curlew")
    region = Library().region(code)
    assert region is not None
    assert made.netlist is not None
    assert made.results is not None
    assert made.design is not None
    netlist = replace(made.netlist, region=region)
    text = words(safety_page(made.design, netlist, made.results))
    for fact in (region.name, region.emergency_number, region.wiring_rules, region.line_colour, region.neutral_colour, region.work_rules):
        assert fact
        assert fact in text
    assert region.deferral.split(";")[0] in text
    assert f"{float(region.low_volts):g} V to {float(region.high_volts):g} V" in text
    assert ("A in the plug" in text) == (code == "uk")
    assert f"Call {region.emergency_number}" in words(stop_page(netlist))
    live = repr(live_block(made.results, None, netlist))
    assert region.deferral[:40] in live


def test_the_plug_fuse_follows_the_load() -> None:
    made, region = parts("heron"), Library().region("uk")
    assert region is not None
    assert made.netlist is not None
    assert made.results is not None
    assert made.design is not None
    assert "3 A in the plug" in words(safety_page(made.design, made.netlist, made.results))
    hungry = replace(made.results, mains=replace(made.results.mains, volt_amps=701.0))
    assert "13 A in the plug" in words(safety_page(made.design, made.netlist, hungry))
    assert isinstance(region.plug_fuse_watts, Cited)


@pytest.mark.parametrize("name", DEMO_NAMES)
def test_no_clause_is_cited_and_sources_are_named(name: str) -> None:
    for stem in (*PAGES, "stop"):
        text = words(page(name, stem))
        assert not re.search(r"\bclauses?\s+\d|\breg(ulation)?\.?\s*\d|§|\b\d+\.\d+\.\d+\b|\[V-", text), stem
    safety = words(page(name, "safety"))
    for source in ("IEC 61010-1", "as quoted", "from memory", "common practice", "published"):
        assert source in safety


def test_loudness_is_sensitivity_and_power() -> None:
    import math

    made = parts("curlew")
    assert made.results is not None
    assert made.results.load is not None
    loud = made.results.loudness
    assert loud is not None
    assert loud.level_db == pytest.approx(97.0 + 10.0 * math.log10(made.results.load.clean_watts))
    assert loud.seconds_a_day == pytest.approx(8 * 3600 / 2 ** ((loud.level_db - 85) / 3))
    assert f"{loud.level_db:.0f}"[:3] in words(page("curlew", "safety"))
    assert parts("heron").results.loudness is None  # type: ignore[union-attr]


def test_donor_hazards_come_from_the_spec() -> None:
    heron, dunlin, curlew = (words(page(name, "safety")) for name in ("heron", "dunlin", "curlew"))
    assert "beryllium" in heron
    assert "beryllium" not in curlew
    assert "was cut out" in dunlin
    assert "cord without earth is gone" in dunlin
    assert "40 W transistor keyboard combo" in curlew


def test_cold_bias_is_what_the_amp_solved_with_the_trimmer_there_and_a_meter_on_the_grid_says() -> None:
    """Half the meter's current, half the error: with meters of 10 and 20 megohms the volts extrapolate to those without one."""
    from humdinger.analysis.bias import adjustments
    from humdinger.analysis.study import study
    from humdinger.analysis.variants import moved_wiper, short, solve_variants

    made = parts("heron")
    assert made.netlist is not None
    assert made.results is not None
    assert made.results.first_power is not None
    base = study(made.netlist).solved["no-tubes"]
    pot = adjustments(made.netlist)[0]
    cold = moved_wiper(base.system, pot, 0.0)
    grid = made.netlist.by_section["V4"].grid
    none, twenty = solve_variants(base, [cold, (*cold, short(grid, "0", 20e6))])
    shown = made.results.first_power.cold_bias_volts["V4"]
    assert 2.0 / twenty.volts(grid) - 1.0 / none.volts(grid) == pytest.approx(1.0 / shown[1], rel=1e-4)
    assert shown[0] > shown[1] > shown[2]  # more mains, more negative
    assert made.results.bias_range is not None
    assert shown[1] == pytest.approx(made.results.bias_range.coldest_volts, rel=0.05)


def test_feedback_through_ten_times_its_resistor_does_less() -> None:
    made = parts("heron")
    assert made.results is not None
    assert made.results.feedback is not None
    assert made.results.first_power is not None
    tenfold = made.results.first_power.feedback_tenfold_db
    assert tenfold is not None
    share = 10 ** (made.results.feedback.loop_db / 20) - 1
    weak = 10 ** (tenfold / 20) - 1
    # the fed-back share is 100/(100 + R): 2300 over 22100 of it is left
    assert weak / share == pytest.approx(2300 / 22100, rel=0.05)


def test_pages_without_numbers_are_absent() -> None:
    made = parts("curlew")
    assert made.netlist is not None
    assert made.results is not None
    bare = replace(made.results, dead_tests=None, first_power=None)
    assert before_power_page(made.netlist, bare) is None
    assert first_power_page(made.netlist, bare, live_block(bare), 60) is None


@pytest.mark.parametrize("name", DEMO_NAMES)
def test_unloaded_windings_follow_the_mains(name: str) -> None:
    made = parts(name)
    assert made.results is not None
    assert made.results.first_power is not None
    region = made.netlist.region  # type: ignore[union-attr]
    for key, (low, nominal, high) in made.results.first_power.unloaded_volts_rms.items():
        assert low / nominal == pytest.approx(float(region.low_volts) / float(region.nominal_volts)), key
        assert high / nominal == pytest.approx(float(region.high_volts) / float(region.nominal_volts)), key
    heaters = [row for row in rows_of(page(name, "first-power")) if said(row.cells[1]).startswith("heater of") if len(row.cells) > 1]
    from humdinger.circuit.netlist import Tube

    assert len(heaters) == sum(1 for _ in made.netlist.of(Tube))  # type: ignore[union-attr]


@pytest.mark.parametrize("name", DEMO_NAMES)
def test_a_lead_on_a_board_goes_by_the_terminal_the_wire_table_gives_it(name: str) -> None:
    """What a probe or a dead test names as "A12 (R13)" is that terminal of that board, and R13 is soldered to it; no bare lead is left."""
    made, _ = manual(name)
    assert made.layout is not None
    soldered = {(t.terminal.ref + t.terminal.pin, lead.ref) for board in made.layout.boards for t in board.turrets for lead in t.leads}
    on_boards = {mount.ref for board in made.layout.boards for mount in board.mounts}
    seen = 0
    for page in ("chart.html", "first-power.html", "before-power.html"):
        text = html.unescape(re.sub(r"<[^>]+>", " ", pages(name)[page])).replace("\u00a0", " ")
        for terminal, ref in re.findall(r"\b([A-Z]{1,2}\d+) \(([A-Z]+\d+)(?: plus| minus)?\)", text):
            if ref in on_boards:
                assert (terminal, ref) in soldered, f"{page}: {terminal} ({ref})"
                seen += 1
        bare = [ref for ref in re.findall(r"\b([A-Z]+\d+) lead [12]", text) if ref in on_boards]
        assert bare == [], f"{page} names leads without their terminals: {bare}"
    assert seen > 10


def test_the_bias_trimmer_is_cold_but_for_two_charts_and_back_before_an_output_tube_goes_in() -> None:
    made = parts("heron")
    assert made.results is not None
    assert made.results.first_power is not None
    text = words(page("heron", "first-power"))
    ready = text[: text.index("B. Lamp in")]
    assert "BIAS at" not in ready
    assert "at its coldest end" in ready
    turns = [m.start() for m in re.finditer("turn BIAS to about", text)]
    backs = [m.start() for m in re.finditer("turn the bias trimmer back to its coldest end", text)]
    assert len(turns) == len(backs) == 2
    assert turns[0] < backs[0] < turns[1] < backs[1] < text.index("E. Output tubes in")
    rows = {row.anchor for row in rows_of(page("heron", "first-power"))}
    assert {"first-bias-back-V4", "first-bias-back-V5"} <= rows
    before, after = made.results.first_power.cold_bias_volts, made.results.first_power.cold_bias_small_volts
    assert after["V4"] == pytest.approx(before["V4"], rel=0.01)  # the small tubes hardly load the bias winding
    assert "BIAS at 5.5" in words(page("heron", "chart"))  # the charts' own setting is the one they were solved at
    assert "trimmer" not in words(page("curlew", "first-power")).lower()


@pytest.mark.parametrize("name", DEMO_NAMES)
def test_every_chart_has_its_moment_and_the_lamp_is_out_for_it(name: str) -> None:
    text = words(page(name, "first-power"))
    one, two = text.index("chart 1"), text.index("chart 2")
    assert text.index("lamp out of the line") < one < two < text.index("Output tubes in")
    assert "charts 3 and 4" in text


@pytest.mark.parametrize("name", DEMO_NAMES)
def test_the_dummy_load_is_one_number(name: str) -> None:
    kit, bench = (re.findall(pattern, words(page(name, stem))) for stem, pattern in (
        ("kit", r"dummy load [^,]+, ([0-9.]+) W or more"), ("first-power", r"resistor for ([0-9.]+) W or more"),
    ))  # fmt: skip
    assert kit == bench
    assert len(kit) == 1
    made = parts(name)
    assert made.results is not None
    assert made.results.load is not None
    assert 2.0 * made.results.load.clean_watts <= float(kit[0]) < 2.0 * made.results.load.clean_watts + 10.0


@pytest.mark.parametrize("name", DEMO_NAMES)
def test_behind_the_lamp_amp_and_filament_carry_one_current(name: str) -> None:
    """Both as amps at the volts they get: the amp a resistor, the filament's amps as its volts to the power 0.55."""
    made = parts(name)
    assert made.results is not None
    first = made.results.first_power
    assert first is not None
    assert first.limiter_watts is not None
    assert first.limited_volts is not None
    mains = made.results.nominal.condition.mains_volts
    amp = first.volt_amps / mains * first.limited_volts / mains
    lamp = first.limiter_watts / mains * ((mains - first.limited_volts) / mains) ** 0.55
    assert amp == pytest.approx(lamp, rel=1e-6)
    assert 0.4 * mains < first.limited_volts < 0.7 * mains


def test_windings_below_an_ohm_are_not_held_to_a_band_no_handheld_meter_has() -> None:
    rows = {row.anchor: [said(cell) for cell in row.cells] for row in rows_of(page("heron", "before-power"))}
    low = [cells for anchor, cells in rows.items() if anchor.startswith("dead-secondary")]
    assert low
    for cells in low:
        assert cells[5] == "–"
        assert "over 1" in cells[7]
        assert "0\u00a0Ω" not in cells[7]
    assert "below 10 Ω is measured before it is soldered" in words(page("heron", "before-power"))
    assert "measured before it is soldered" not in words(page("curlew", "before-power"))


def test_what_the_bench_needs_is_listed_and_hum_balance_is_set() -> None:
    heron, curlew = words(page("heron", "first-power")), words(page("curlew", "first-power"))
    assert heron.index("one resistor of 22 kΩ") < heron.index("B. Lamp in")
    assert "Hum balance" in heron
    assert "Hum balance" not in curlew
    for text in (heron, curlew):
        assert "pedal in J2 and pressed" in text


def test_a_standby_switch_shows_the_direct_volts_it_breaks() -> None:
    from humdinger.circuit.netlist import Switch
    from humdinger.drawing.labels import value_rows

    netlist = parts("heron").netlist
    assert netlist is not None
    standby = next(s for s in netlist.of(Switch) if s.where == "standby")
    assert standby.dc_volts is not None
    assert any(f"{standby.dc_volts:g} V DC" in text.replace("V DC", " V DC").replace("  ", " ") for text, _ in value_rows(standby))
    assert words(page("heron", "kit")).count(f"breaks {standby.dc_volts:g} V direct") >= 2
    assert "direct; breaks" not in words(page("heron", "kit"))


def test_only_a_negative_bias_supply_has_plus_ends_on_ground() -> None:
    """Curlew's cathode bypass capacitors have their plus end on the cathode: nothing on the page may say otherwise."""
    assert "plus end on ground" not in words(page("curlew", "before-power"))
    heron = words(page("heron", "before-power"))
    netlist = parts("heron").netlist
    assert netlist is not None
    negative = [p.ref for p in netlist.of(Capacitor) if p.polarised and p.net("+") == "0"]
    assert len(negative) == 2
    assert f"{' and '.join(negative)} filter the negative bias: plus end on ground" in heron

"""The wiring page and the page of socket views against layout and netlist: every wire a row, counts that add up, links that lead there."""

from __future__ import annotations

import re

import pytest

from humdinger.circuit.netlist import Netlist, Tube
from humdinger.layout import Layout, Wire
from humdinger.layout.colours import letters
from humdinger.manual.model import Cell, Gallery, Items, Link, Page, Table
from humdinger.manual.terminals import terminal_text
from humdinger.manual.wire_plans import CARRIES, held_back
from humdinger.parts.wires import wire_table
from support.manuals import DEMO_NAMES, composed, manual, pages


def text(cell: Cell) -> str:
    return "".join(run if isinstance(run, str) else run.text for run in cell.text).replace("\u00a0", " ").replace("\u2011", "-")


def page_of(name: str, page: str) -> Page:
    return next(p for p in composed(name).pages if p.name == page)


def tables(page: Page) -> list[Table]:
    return [block for block in page.blocks if isinstance(block, Table)]


def table(page: Page, anchor: str) -> Table:
    return next(t for t in tables(page) if t.anchor == anchor)


def layout_of(name: str) -> Layout:
    layout = manual(name)[0].layout
    assert layout is not None
    return layout


def rows(name: str) -> dict[str, dict[str, str]]:
    """Wire anchor -> column -> text."""
    made = {}
    for found in tables(page_of(name, "wiring")):
        for row in found.rows:
            if row.anchor.startswith("wire-"):
                assert row.anchor not in made
                made[row.anchor] = dict(zip(found.columns, map(text, row.cells), strict=True))
    return made


@pytest.mark.parametrize("name", DEMO_NAMES)
def test_every_wire_is_one_row_with_its_make_up(name: str) -> None:
    netlist = manual(name)[0].netlist
    assert netlist is not None
    found = rows(name)
    assert set(found) == {f"wire-{w.number}" for w in layout_of(name).wires}
    american = netlist.region.code in ("us", "ca")
    layout = layout_of(name)
    for wire in layout.wires:
        row, made = found[f"wire-{wire.number}"], wire.make_up
        assert made is not None
        for column, end in (("From", wire.start), ("To", wire.end)):
            place, _, host = row[column].replace("\u00a0", " ").partition(", at ")
            assert place == terminal_text(end.ref, end.pin, netlist).replace("\u00a0", " ")
            assert host == layout.host(end.ref)  # a lug of a strip says at which part
        if wire.outside:  # in a bought cable: nothing to cut, to colour or to tick
            assert set(row) == {"No.", "From", "To", "Net"}
            continue
        assert row["Colour"] == f"{letters(wire.colour)} {wire.colour}{', ringed' if wire.ring else ''}"
        size = f"{made.gauge} AWG" if american else f"{made.area_mm2:g} mm²"
        assert row["Size"] == (f"screen of {wire.braid}" if wire.braid and not wire.screened else size)
        assert row["Insu\u00adlation"] == f"{made.insulation_volts:g} V"
        assert (f"twist with {made.twist}" in row.get("Lay", "")) == bool(made.twist)
        assert row.get("Screen", "–") == screen_text(wire, netlist)
        if "Net" in row:
            assert row["Net"] == (netlist.nets[wire.net].label or wire.net)


def screen_text(wire: Wire, netlist: Netlist) -> str:
    """What the row of a wire says of its screen."""
    if wire.screened and wire.braid:
        return f"is wire {wire.braid}, both ends"
    if wire.drain is None:
        return "–"
    end = "From" if wire.drained == wire.start else "To"
    return f"{terminal_text(wire.drain.ref, wire.drain.pin, netlist)} at the {end} end".replace("\u00a0", " ")


@pytest.mark.parametrize("name", DEMO_NAMES)
def test_rows_stand_in_working_order(name: str) -> None:
    """As numbered, but the wire that closes the feedback waits, and what is outside the chassis comes last."""
    numbers = [int(anchor.removeprefix("wire-")) for anchor in rows(name)]
    outside = {w.number for w in layout_of(name).wires if w.outside}
    held = {w.number for w in held_back(*passes(name))}
    inside = [n for n in numbers if n not in outside | held]
    assert inside == sorted(inside)
    assert numbers == inside + sorted(held) + sorted(outside)


@pytest.mark.parametrize("name", DEMO_NAMES)
def test_cut_list_and_colours_count_the_wires(name: str) -> None:
    layout, page = layout_of(name), page_of(name, "wiring")
    cuts = table(page, "cuts")
    wires = [w for w in layout.wires if not w.outside]
    cut = [w for w in wires if w.screened or not w.braid]
    assert sum(int(text(row.cells[0])) for row in cuts.rows) == len(cut)
    screened = [row for row in cuts.rows if text(row.cells[1]).endswith(", screened")]
    assert sum(int(text(row.cells[0])) for row in screened) == sum(w.screened for w in wires)
    named: list[int] = []
    for row in cuts.rows:
        numbers = []
        for run in text(row.cells[4]).split(", "):
            ends = [int(n) for n in run.split(" to ")]
            numbers += range(ends[0], ends[-1] + 1)
        assert len(numbers) == int(text(row.cells[0]))
        named += numbers
    assert sorted(named) == [w.number for w in cut]
    colours = table(page, "colour-table")
    assert sum(int(text(row.cells[3])) for row in colours.rows) == len(wires)
    codes = [text(row.cells[0]) for row in colours.rows]
    assert len(set(codes)) == len(codes)
    assert "m of wire" not in repr(cuts)


@pytest.mark.parametrize("name", DEMO_NAMES)
def test_the_table_of_sizes_has_a_row_for_every_kind_of_wire(name: str) -> None:
    found = {row.anchor.removeprefix("size-"): row for row in table(page_of(name, "wiring"), "size-table").rows}
    kinds: dict[str, list[Wire]] = {}
    for wire in layout_of(name).wires:
        assert wire.make_up is not None
        if wire.outside:
            continue
        kinds.setdefault(wire.make_up.carries, []).append(wire)
    assert set(found) == set(kinds)
    assert set(kinds) <= set(CARRIES) == set(wire_table().runs)
    for kind, wires in kinds.items():
        gauges = {w.make_up.gauge for w in wires if w.make_up}
        assert all(f"{gauge} AWG" in text(found[kind].cells[5]) for gauge in gauges)


@pytest.mark.parametrize("name", DEMO_NAMES)
def test_leads_to_insulate_are_called_as_in_the_table_of_sleeves(name: str) -> None:
    for found in tables(page_of(name, "wiring")):
        if found.caption in ("Leads to sleeve", "Leads that end in the air"):
            for row in found.rows:
                assert not re.fullmatch(r"T\d+ \d+", text(row.cells[0]))


@pytest.mark.parametrize("name", DEMO_NAMES)
def test_plans_count_what_the_layout_counts(name: str) -> None:
    layout, page = layout_of(name), page_of(name, "wiring")
    items = ["".join(r if isinstance(r, str) else r.text for r in i) for b in page.blocks if isinstance(b, Items) for i in b.items]
    ground = next(text for text in items if "ground wires in the chassis" in text)
    assert ground == f"Count: {sum(1 for w in layout.wires if w.group == 'ground' and not w.outside)} ground wires in the chassis."
    heater = next(text for text in items if text.startswith("Count:") and "in pairs" in text)
    assert sum(map(int, re.findall(r"\d+", heater))) == sum(1 for w in layout.wires if w.group == "heater" or w.pair)
    for run in layout.heater_runs:
        told = next(text for text in items if text.startswith(f"{run.winding}:"))
        refs = re.findall(r"V\d+", told.split(". ")[0])
        assert refs == [ref for ref, _ in run.sockets]


@pytest.mark.parametrize("name", DEMO_NAMES)
def test_nets_lead_to_the_chart(name: str) -> None:
    chart = {row.anchor for t in tables(page_of(name, "chart")) for row in t.rows}
    links = [run for t in tables(page_of(name, "wiring")) for row in t.rows for c in row.cells for run in c.text if isinstance(run, Link)]
    nets = {run.anchor for run in links if run.page == "chart"}
    assert nets
    assert nets <= chart


@pytest.mark.parametrize("name", DEMO_NAMES)
def test_socket_views_have_a_row_for_every_pin_and_link_to_the_wires(name: str) -> None:
    netlist = manual(name)[0].netlist
    assert netlist is not None
    page = page_of(name, "sockets")
    found = {row.anchor for row in table(page, "pins").rows}
    assert found == {f"socket-{t.ref}-{k}" for t in netlist.of(Tube) for k in range(1, t.type.base.pins + 1)}
    figures = [f.name for b in page.blocks if isinstance(b, Gallery) for f in b.figures]
    assert len(set(figures)) == len(figures)
    assert {f"view-{t.ref}" for t in netlist.of(Tube)} <= set(figures)
    wires = {f"wire-{w.number}" for w in layout_of(name).wires}
    links = {
        run.anchor
        for t in tables(page)
        for row in t.rows
        for c in row.cells
        for run in c.text
        if isinstance(run, Link) and run.page == "wiring"
    }
    assert links
    assert links <= wires
    assert "leave free" in repr(page) or not any(t.type.internal_pins or t.type.unconnected_pins for t in netlist.of(Tube))


def test_the_wire_that_closes_the_feedback_is_the_last_and_has_a_step_of_its_own() -> None:
    """Heron: one wire joins the speaker to the feedback's part of a board. Every other row comes before it, and the board says so too."""
    netlist, layout = passes("heron")
    feedback = {ref for stage in netlist.stages_of("feedback") for ref in stage.parts.values()}
    (held,) = held_back(netlist, layout)
    assert {layout.joint(part.ref, pin) for part, pin in netlist.on_net[held.net] if part.ref in feedback} & {held.start, held.end}
    page = pages("heron")["wiring.html"]
    rows = re.findall(r'id="wire-(\d+)"', page[: page.index('id="group-outside"')])
    assert rows[-1] == str(held.number)
    assert page.index('id="group-feedback"') > page.index('id="group-signal"')
    assert "not before first power tries the feedback" in pages("heron")["boards.html"]
    assert held_back(*passes("curlew")) == ()


def passes(name: str) -> tuple[Netlist, Layout]:
    made, _ = manual(name)
    assert made.netlist is not None
    assert made.layout is not None
    return made.netlist, made.layout

"""The boards page against the layout and the netlist: every terminal, lead and wire once, every part in one table."""

from __future__ import annotations

import pytest

from humdinger.circuit.netlist import Netlist
from humdinger.layout import Layout
from humdinger.manual.boards import boards_page
from humdinger.manual.model import Figure, Link, Page, Row, Table
from humdinger.manual.wiring import wiring_page
from support.manuals import DEMO_NAMES, manual, pages


def made(name: str) -> tuple[Netlist, Layout, Page]:
    found = manual(name)[0]
    assert found.netlist is not None
    assert found.layout is not None
    page = boards_page(found.netlist, found.layout)
    assert page is not None
    return found.netlist, found.layout, page


def rows(page: Page, start: str) -> list[Row]:
    return [row for block in page.blocks if isinstance(block, Table) for row in block.rows if row.anchor.startswith(start)]


def links(row: Row, page: str) -> list[str]:
    return [run.anchor for cell in row.cells for run in cell.text if isinstance(run, Link) and run.page == page]


@pytest.mark.parametrize("name", DEMO_NAMES)
def test_every_part_is_on_a_board_or_in_one_of_the_other_tables(name: str) -> None:
    netlist, layout, page = made(name)
    listed = [row.anchor.removeprefix("seat-") for row in rows(page, "seat-")]
    chassis = [anchor.removeprefix("part-") for row in rows(page, "") if not row.anchor for anchor in links(row, "kit")]
    assert sorted(listed + chassis) == sorted(part.ref for part in netlist.parts)
    assert sum(seat.kind == "board" for seat in layout.seats) == sum(len(board.mounts) for board in layout.boards)


@pytest.mark.parametrize("name", DEMO_NAMES)
def test_terminals_say_what_the_layout_says(name: str) -> None:
    netlist, layout, page = made(name)
    found = {row.anchor.removeprefix("terminal-"): row for row in rows(page, "terminal-")}
    turrets = {f"{t.terminal.ref}{t.terminal.pin}": t for board in layout.boards for t in board.turrets}
    lugs = {f"{lug.ref}{lug.pin}" for strip in layout.strips for lug in strip.lugs}
    assert set(found) == {*turrets, *lugs}
    for terminal, turret in turrets.items():
        assert found[terminal].nets == (turret.net,)
        ends = [w for w in layout.wires for end in (w.start, w.end) if end == turret.terminal]
        screens = [w for w in layout.wires if w.drain == turret.terminal]
        assert links(found[terminal], "wiring") == [f"wire-{w.number}" for w in (*ends, *screens)]
        below = [link for board in layout.boards for link in board.links if turret.terminal in (link.start, link.end)]
        text = "".join(str(run) for run in found[terminal].cells[3].text)
        assert (text.count(",") + 1 if below else 0) == len(below)
    assert netlist is not None


@pytest.mark.parametrize("name", DEMO_NAMES)
def test_wires_of_boards_lead_to_their_terminals_and_back(name: str) -> None:
    netlist, layout, page = made(name)
    anchors = {row.anchor for row in rows(page, "terminal-")}
    wiring = wiring_page(netlist, layout)
    for wire in layout.wires:
        row = next(row for row in rows(wiring, "wire-") if row.anchor == f"wire-{wire.number}")
        ends = [end for end in (wire.start, wire.end, wire.drain) if end is not None]
        wanted = [f"terminal-{t.ref}{t.pin}" for t in ends if t.ref not in netlist.by_ref]
        assert links(row, "boards") == wanted
        assert set(wanted) <= anchors


@pytest.mark.parametrize("name", DEMO_NAMES)
def test_boards_print_at_full_size(name: str) -> None:
    _, layout, page = made(name)
    figures = [block for block in page.blocks if isinstance(block, Figure)]
    assert [f.name for f in figures] == [f"board-{board.name}" for board in layout.boards]
    assert all(f.true_size for f in figures)
    assert pages(name)["boards.html"].count("true-size") == len(figures)

"""Kit, netlist, wiring, boards and socket views of random amps against each other: counts equal, trees whole, ends on terminals."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Callable, Iterator

from humdinger.circuit.netlist import Jack, Netlist, Pot, Tube
from humdinger.compile import judged, placed
from humdinger.layout import Layout
from humdinger.layout.tags import tags_of
from humdinger.manual.boards import boards_page
from humdinger.manual.kit import kit_page
from humdinger.manual.model import Cell, Link, Page, Row, Table
from humdinger.manual.terminals import terminal_text
from humdinger.manual.wiring import wiring_page
from support.boarding import faults, places, stars_apart
from support.chains import chain
from support.extremes import extremes
from support.front import PATH, world


def texts(cases: int) -> Iterator[str]:
    """Specs: chains of any stages and demos with extreme values in turn."""
    far = extremes(cases, "crossed")
    for seed in range(cases):
        yield chain(seed) if seed % 2 else next(far)[1]


def test_the_pages_of_random_amps_agree(deep_count: Callable[[int], int]) -> None:
    cases = deep_count(300)
    seen = 0
    for number, text in enumerate(texts(cases)):
        made = placed(judged(world(text), PATH))
        if made.netlist is None or made.layout is None or made.results is None:
            continue
        seen += 1
        netlist, layout = made.netlist, made.layout
        assert faults(netlist, layout) == [], number
        assert stars_apart(netlist, layout) == [], number
        kit, wiring, boards = kit_page(netlist), wiring_page(netlist, layout), boards_page(netlist, layout)
        listed = Counter(row.anchor.removeprefix("part-") for row in rows(kit) if row.anchor.startswith("part-"))
        assert listed == Counter(part.ref for part in netlist.parts), number
        wires = Counter(row.anchor for row in rows(wiring) if row.anchor.startswith("wire-"))
        assert wires == Counter(f"wire-{w.number}" for w in layout.wires), number
        _ends(netlist, layout, wiring, number)
        anchors = [row.anchor for row in rows(boards)] if boards else []
        real = {at for at in places(netlist, layout) if at.ref not in netlist.by_ref}
        assert Counter(a for a in anchors if a.startswith("terminal-")) == Counter(f"terminal-{at.ref}{at.pin}" for at in real), number
        seats = Counter(a.removeprefix("seat-") for a in anchors if a.startswith("seat-"))
        assert set(seats.values()) <= {1}, number
        assert {s.ref for s in layout.seats if s.kind in ("board", "tag")} <= set(seats), number
        views = tags_of(netlist, layout, made.results)
        drawn = Counter((ref, tag.pin, n) for ref, tags in views.items() for tag in tags for n in (*tag.wires, *tag.plug))
        assert drawn == Counter(
            (end.ref, end.pin, w.number)
            for w in layout.wires
            for end in (w.start, w.end)
            if isinstance(netlist.by_ref.get(end.ref), Tube | Pot | Jack)
        ), number
        for ref, tags in views.items():
            assert all(len(tag.wires) + len(tag.leads) + len(tag.screens) <= 3 for tag in tags), (number, ref)
    assert seen > cases / 2


def rows(page: Page) -> list[Row]:
    return [row for block in page.blocks if isinstance(block, Table) for row in block.rows]


def said(cell: Cell) -> str:
    return "".join(run if isinstance(run, str) else run.text if isinstance(run, Link) else "" for run in cell.text)


def _ends(netlist: Netlist, layout: Layout, wiring: Page, number: int) -> None:
    """Every From, To and Screen of the table is the name of a terminal that is there; pairs that are called twisted run together."""
    names = {terminal_text(at.ref, at.pin, netlist).replace("\u00a0", " ") for at in places(netlist, layout)}
    wires = {w.number: w for w in layout.wires}
    for block in wiring.blocks:
        if not isinstance(block, Table) or "From" not in block.columns:
            continue
        for row in block.rows:
            cells = {c: said(x).replace("\u00a0", " ").replace("\u2011", "-") for c, x in zip(block.columns, row.cells, strict=True)}
            ends = [cells["From"], cells["To"]]
            if re.search(r" at the (From|To) end$", cells.get("Screen", "")):
                ends.append(re.sub(r" at the (From|To) end$", "", cells["Screen"]))
            for end in ends:
                assert end.partition(", at ")[0] in names, (number, end)
            wire = wires[int(row.anchor.removeprefix("wire-"))]
            if wire.make_up and wire.make_up.twist:
                other = wires[wire.make_up.twist]
                places_ = [{layout.host(e.ref) or e.ref for e in (w.start, w.end)} for w in (wire, other)]
                assert places_[0] == places_[1], (number, wire.number)
                assert (wire.colour, wire.ring) != (other.colour, other.ring), (number, wire.number)

"""Boards: every part has one seat, every net is joined once by terminals, links and wires, and terminals stand apart by their volts."""

from __future__ import annotations

from collections.abc import Callable
from itertools import pairwise

import pytest

from humdinger.circuit.netlist import GROUND, Resistor
from humdinger.compile import Compiled, elaborated, placed
from humdinger.layout import Layout, Terminal
from humdinger.layout.place import place
from humdinger.manual.model import FULL_SIZE_MM, Table
from support.amps import changed, demo_text, run
from support.boarding import edges, faults, stars_apart
from support.extremes import extremes
from support.front import PATH, world
from support.manuals import DEMO_NAMES, composed, manual, pages
from support.stress import stressed

CASES = 20


def laid(name: str) -> tuple[Compiled, Layout]:
    made = manual(name)[0]
    assert made.layout is not None
    return made, made.layout


@pytest.mark.parametrize("name", DEMO_NAMES)
def test_a_demo_is_laid_without_fault(name: str) -> None:
    made, layout = laid(name)
    assert made.netlist is not None
    assert faults(made.netlist, layout) == []
    assert stars_apart(made.netlist, layout) == []


@pytest.mark.parametrize("name", DEMO_NAMES)
def test_long_designators_and_odd_values_are_laid_without_fault(name: str) -> None:
    netlist = manual(name)[0].netlist
    assert netlist is not None
    for seed in range(CASES):
        other, volts = stressed(netlist, seed)
        layout = place(other, states=[volts])
        assert faults(other, layout) == [], seed
        assert stars_apart(other, layout) == [], seed
        fits(layout)


def test_random_amps_are_laid_without_fault(deep_count: Callable[[int], int]) -> None:
    seen = 0
    cases = deep_count(600)
    for number, text in extremes(cases, "boards"):
        netlist = elaborated(world(text), PATH).netlist
        if netlist is None:
            continue
        seen += 1
        layout = place(netlist)
        assert faults(netlist, layout) == [], number
        assert stars_apart(netlist, layout) == [], number
        fits(layout)
    assert seen > cases / 2


def fits(layout: Layout) -> None:
    """The board is drawn with its title, legend and scale bar, and the ends of its wires on both sides."""
    for board in layout.boards:
        assert board.height_mm <= FULL_SIZE_MM[1] - 40
        assert board.width_mm <= FULL_SIZE_MM[0] - 80


@pytest.mark.parametrize("name", DEMO_NAMES)
def test_terminals_stand_apart_by_their_volts(name: str) -> None:
    """1 mm and 1 mm for each 100 V from edge to edge (common practice); turrets of 4 mm."""
    made, layout = laid(name)
    assert made.results is not None
    fits(layout)
    states = [point.volts for point in made.results.operating.values()]
    for board in layout.boards:
        for side in ("left", "right"):
            column = sorted((t for t in board.turrets if t.side == side), key=lambda t: t.y_mm)
            for a, b in pairwise(column):
                volts = max(abs(v.get(a.net, 0.0) - v.get(b.net, 0.0)) for v in states)
                assert b.y_mm - a.y_mm - 4.0 >= 1.0 + volts / 100.0 - 1e-9, (board.name, a.terminal, b.terminal, volts)


@pytest.mark.parametrize("name", DEMO_NAMES)
def test_hot_resistors_stand_clear_of_electrolytics(name: str) -> None:
    """10 mm between the bodies (common practice), for whatever turns a watt into heat."""
    made, layout = laid(name)
    assert made.netlist is not None
    assert made.results is not None
    points = made.results.operating.values()
    hot = {r.ref for r in made.netlist.of(Resistor) if any(r.ref in p.parts and p.parts[r.ref].watts >= 1.0 for p in points)}
    assert hot & {m.ref for b in layout.boards for m in b.mounts} or name in ("curlew", "teal")  # no part of theirs gets that hot
    for board in layout.boards:
        for a in board.mounts:
            for b in board.mounts:
                if a.ref in hot and b.body.kind == "electrolytic":
                    assert abs(a.y_mm - b.y_mm) - (a.body.diameter_mm + b.body.diameter_mm) / 2 >= 10.0 - 1e-9, (a.ref, b.ref)


def test_parts_that_belong_at_a_tag_are_not_on_a_board() -> None:
    made, layout = laid("heron")
    netlist = made.netlist
    assert netlist is not None
    at = {seat.ref: seat.at for seat in layout.seats if seat.kind == "tag"}
    for stage, role, where in (
        ("guitar", "grid-leak", "J1"),
        ("guitar", "grid-stopper", "V1"),
        ("inverter", "grid-stopper", "V2"),
        ("output", "screen-stopper-b", "V5"),
        ("bias", "test-resistor-a", "V4"),
        ("speaker", "load-resistor", "J3"),
    ):
        assert at[netlist.stage(stage).parts[role]] == where
    stopper = netlist.stage("guitar").parts["grid-stopper"]
    assert layout.joint(stopper, "2").ref == "V1"
    strip = next(s for s in layout.strips if s.host == "V1")
    assert layout.joint(stopper, "1") in strip.lugs  # not in the air; the wire from the jack goes to that lug
    assert any({w.start, w.end} == {Terminal("J1", "tip"), layout.joint(stopper, "1")} for w in layout.wires)


@pytest.mark.parametrize("name", DEMO_NAMES)
def test_the_strips_of_the_kit_are_those_of_the_boards_page(name: str) -> None:
    """Every strip is bought, with as many lugs as the table has rows."""
    _, layout = laid(name)
    kit = next(page for page in composed(name).pages if page.name == "kit")
    also = next(block for block in kit.blocks if isinstance(block, Table) and block.anchor == "also")
    cells = [["".join(str(run) for run in cell.text) for cell in row.cells] for row in also.rows]
    rows = [(count, what.split()[2]) for count, what, *_ in cells if what.startswith("tag strip")]
    assert sum(int(count) for count, _ in rows) == len(layout.strips)
    assert sum(int(count) * int(lugs) for count, lugs in rows) == sum(len(s.lugs) for s in layout.strips)
    for strip in layout.strips:
        for lug in strip.lugs:
            assert f'id="terminal-{lug.ref}{lug.pin}"' in pages(name)["boards.html"]


def test_screen_resistors_hang_on_a_strip_and_nothing_else_is_fed_through_them() -> None:
    """Curlew: B2 goes on to B3 from its capacitor; the screens' lugs take their resistor, what comes and what goes to the other socket."""
    made, layout = laid("curlew")
    assert made.netlist is not None
    parts = made.netlist.stage("output").parts
    lugs = [layout.joint(parts[f"screen-stopper-{half}"], pin) for half in "ab" for pin in "12"]
    fed = [lug for lug in lugs if lug.ref.startswith("TB")]
    assert len(fed) == 2
    plus = layout.joint(made.netlist.stage("filter").parts["B2-capacitor"], "+")
    wires = [w for w in layout.wires_of("B2") if {w.start, w.end} & set(fed)]
    assert {frozenset((w.start, w.end)) for w in wires} == {frozenset(fed), frozenset((plus, fed[0]))}


def test_a_capacitor_too_large_for_a_board_is_clamped_to_the_chassis() -> None:
    made = placed(run(changed(demo_text("curlew"), {"supply/filter/1/capacitor": "220u 450V electrolytic"})))
    assert made.layout is not None
    assert made.netlist is not None
    ref = made.netlist.stage("filter").parts["B2-capacitor"]
    assert [s.kind for s in made.layout.seats if s.ref == ref] == ["chassis"]
    assert faults(made.netlist, made.layout) == []


def test_neighbours_of_one_net_share_a_terminal_and_the_rest_are_linked() -> None:
    made, layout = laid("curlew")
    assert made.netlist is not None
    parts = made.netlist.stage("first").parts
    assert layout.joint(parts["plate-load"], "2") == layout.joint(parts["coupling"], "1")
    assert layout.joint(parts["cathode-resistor"], "1") == layout.joint(parts["cathode-bypass"], "+")
    assert len(layout.wires_of("first.plate")) == 1  # the tube's pin to that terminal, and nothing else
    loads = {layout.joint(made.netlist.stage(s).parts["plate-load"], "1") for s in ("first", "second")}
    assert any({link.start, link.end} == loads for link in layout.links_of("B4"))


def test_leads_of_two_stars_never_share_a_terminal() -> None:
    """Bleeder and reservoir may; the tail of the inverter and the cathodes of the output tubes, on other nodes, may not."""
    made, layout = laid("curlew")
    assert made.netlist is not None
    tail, bias = made.netlist.stage("inverter").parts["tail"], made.netlist.stage("bias").parts["resistor-a"]
    a, b = layout.joint(tail, "2"), layout.joint(bias, "2")
    assert a != b
    assert not any({a, b} == set(hop) for hop in edges(layout, GROUND))


def test_the_same_amp_is_laid_the_same() -> None:
    netlist = manual("curlew")[0].netlist
    assert netlist is not None
    assert place(netlist) == place(netlist)

"""Boards as drawn: at full size, every part, terminal and wire of the layout, nothing on top of anything."""

from __future__ import annotations

import math
import re
import xml.etree.ElementTree as ET
from collections.abc import Callable
from itertools import pairwise

import pytest

from humdinger.circuit.netlist import Netlist, Resistor
from humdinger.compile import elaborated
from humdinger.drawing.board import BoardDrawing, draw_board, link_dashes
from humdinger.drawing.marking import BAND_CODES, bands
from humdinger.drawing.millimetres import Sketch, faults
from humdinger.drawing.swatch import PAINT
from humdinger.layout import Layout
from humdinger.layout.place import place
from humdinger.manual.model import FULL_SIZE_MM
from humdinger.manual.terminals import terminal_text
from humdinger.units import read_bands
from support.extremes import extremes
from support.front import PATH, world
from support.manuals import DEMO_NAMES, manual
from support.stress import stressed

SVG = "{http://www.w3.org/2000/svg}"


def drawn(netlist: Netlist, layout: Layout) -> list[BoardDrawing]:
    return [draw_board(board, netlist, layout, lambda t: terminal_text(t.ref, t.pin, netlist)) for board in layout.boards]


def of_demo(name: str) -> tuple[Netlist, Layout, list[BoardDrawing]]:
    made = manual(name)[0]
    assert made.netlist is not None
    assert made.layout is not None
    return made.netlist, made.layout, drawn(made.netlist, made.layout)


def all_faults(drawings: list[BoardDrawing]) -> list[str]:
    return [f"{d.name}: {fault}" for d in drawings for fault in faults(d.sketch)]


@pytest.mark.parametrize("name", DEMO_NAMES)
def test_a_demo_is_drawn_without_fault_and_fits_both_papers(name: str) -> None:
    _, _, drawings = of_demo(name)
    assert all_faults(drawings) == []
    for drawing in drawings:
        assert drawing.width_mm <= FULL_SIZE_MM[0]
        assert drawing.height_mm <= FULL_SIZE_MM[1]


def test_random_amps_are_drawn_without_fault(deep_count: Callable[[int], int]) -> None:
    cases = deep_count(500)
    for seed in range(cases // 2):
        netlist = manual(DEMO_NAMES[seed % 3])[0].netlist
        assert netlist is not None
        other, volts = stressed(netlist, seed)
        assert all_faults(drawn(other, place(other, states=[volts]))) == [], seed
    for number, text in extremes(cases // 2, "drawn boards"):
        netlist = elaborated(world(text), PATH).netlist
        if netlist is not None:
            assert all_faults(drawn(netlist, place(netlist))) == [], number


def test_the_lint_sees_what_it_should() -> None:
    sketch = Sketch("x", 50.0, 20.0, "t", "d", "")
    group = sketch.group()
    sketch.text(group, "one", 10.0, 10.0, 3.0, "a")
    sketch.text(group, "two", 12.0, 10.5, 3.0, "b")
    sketch.line(group, [(0.0, 9.5), (50.0, 9.5)], "lead", "c", width=0.5)
    sketch.circle(group, (11.0, 8.0), 1.0, "#fff", owner="d", kind="turret")
    sketch.text(group, "over the edge", 45.0, 18.0, 3.0, "e")
    found = " ".join(faults(sketch))
    for words in ("'two' on 'one'", "'one' on the turret of d", "'one' on a lead of c", "'over the edge' hangs off the sheet"):
        assert words in found


@pytest.mark.parametrize("name", DEMO_NAMES)
def test_every_part_terminal_and_wire_is_drawn(name: str) -> None:
    netlist, layout, drawings = of_demo(name)
    for board, drawing in zip(layout.boards, drawings, strict=True):
        root = ET.fromstring(drawing.svg)
        groups = {g.get("id", "").removeprefix(f"board-{board.name}-") for g in root.iter(f"{SVG}g") if g.get("class") == "part"}
        assert groups == {m.ref for m in board.mounts}
        texts = [e.text or "" for e in root.iter(f"{SVG}text")]
        assert all(sum(t == f"{x.terminal.ref}{x.terminal.pin}" for t in texts) == 1 for x in board.turrets)
        ends = [w for w in layout.wires for end in (w.start, w.end) if end.ref == board.name]
        assert sorted(int(m[1]) for t in texts if (m := re.match(r"(\d+) → ", t))) == sorted(w.number for w in ends)
        assert len([s for s in drawing.sketch.strokes if s.kind == "link"]) == sum(len(link.path) - 1 for link in board.links)
        for mount in board.mounts:
            assert any(t.startswith(f"{mount.ref} ") for t in texts), mount.ref
    assert netlist is not None


@pytest.mark.parametrize("name", DEMO_NAMES)
def test_links_that_cross_or_run_side_by_side_differ_in_their_dash(name: str) -> None:
    """Sampled every 0.5 mm, without the code's own distance: nearer than 2 mm away from their common ends, they must not look alike."""
    _, layout, _ = of_demo(name)
    for board in layout.boards:
        dashes = link_dashes(board)
        ways = [sampled(link.path) for link in board.links]
        for i, one in enumerate(ways):
            for k in range(i):
                near = min(math.dist(p, q) for p in one for q in ways[k])
                assert near >= 2.0 or dashes[i] != dashes[k], (board.name, board.links[i], board.links[k])


def sampled(path: tuple[tuple[float, float], ...]) -> list[tuple[float, float]]:
    made = []
    for (ax, ay), (bx, by) in pairwise(path):
        steps = max(1, int(math.hypot(bx - ax, by - ay) / 0.5))
        made += [(ax + (bx - ax) * s / steps, ay + (by - ay) * s / steps) for s in range(steps + 1)]
    return made


def test_bodies_and_the_scale_bar_are_at_true_size() -> None:
    _, layout, drawings = of_demo("curlew")
    for board, drawing in zip(layout.boards, drawings, strict=True):
        root = ET.fromstring(drawing.svg)
        assert root.get("width") == f"{drawing.width_mm:g}mm"
        assert root.get("viewBox") == f"0 0 {drawing.width_mm:g} {drawing.height_mm:g}"
        for mount in board.mounts:
            group = next(g for g in root.iter(f"{SVG}g") if g.get("id") == f"board-{board.name}-{mount.ref}")
            body = next(group.iter(f"{SVG}rect"))
            assert (float(body.get("width", 0)), float(body.get("height", 0))) == (mount.body.length_mm, mount.body.diameter_mm)
        bars = [line.get("points", "") for line in root.iter(f"{SVG}polyline") if line.get("class") != "hit"]
        wide = [float(p.split()[2].split(",")[0]) - float(p.split()[1].split(",")[0]) for p in bars if len(p.split()) == 4]
        assert any(abs(mm - 100.0) < 1e-9 for mm in wide)


@pytest.mark.parametrize("name", DEMO_NAMES)
def test_bands_are_drawn_in_paint_and_in_letters(name: str) -> None:
    netlist, layout, drawings = of_demo(name)
    letters = {code: colour for colour, code in BAND_CODES.items()}
    seen = 0
    for board, drawing in zip(layout.boards, drawings, strict=True):
        root = ET.fromstring(drawing.svg)
        for mount in board.mounts:
            part = netlist.by_ref[mount.ref]
            if not isinstance(part, Resistor) or not bands(part):
                continue
            seen += 1
            group = next(g for g in root.iter(f"{SVG}g") if g.get("id") == f"board-{board.name}-{mount.ref}")
            paint = [r.get("fill") for r in group.iter(f"{SVG}rect")][1:]
            codes = [e.text or "" for e in group.iter(f"{SVG}text")][1].split()
            assert [PAINT[letters[c]] for c in codes] == paint
            read = read_bands([letters[c] for c in codes])
            assert isinstance(read, tuple)
            assert read[0] == pytest.approx(part.ohms)
    assert seen > 5


def test_the_same_board_is_drawn_with_the_same_bytes() -> None:
    netlist, layout, drawings = of_demo("heron")
    assert [d.svg for d in drawn(netlist, layout)] == [d.svg for d in drawings]

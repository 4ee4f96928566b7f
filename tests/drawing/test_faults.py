"""lint and the reading back find what they are there to find: each fault is put in on purpose."""

from __future__ import annotations

from dataclasses import replace

import pytest

from humdinger.drawing.block import Block, Mark, Terminal, Text, Wire
from humdinger.drawing.connect import dots, hops
from humdinger.drawing.geometry import Box
from humdinger.drawing.lint import LABEL_GAP, lint
from humdinger.drawing.pen import two_terminal_room
from humdinger.drawing.readback import read_back
from humdinger.drawing.sheet import STRIP, Sheet, Strip
from support.drawn import drawn, variant

R1, R2 = ("part", "R1"), ("part", "R2")


def sheet(*wires: Wire, texts: tuple[Text, ...] = (), block: Block | None = None) -> Sheet:
    """A sheet of 20 by 10 units with a few things on it."""
    content = block or Block()
    content.wires += wires
    content.texts += texts
    return Sheet("test", Strip("Test"), content, 20.0, 10.0)


def kinds(found: Sheet) -> set[str]:
    return {fault.kind for fault in lint(found)}


def text(owner: tuple[str, str], x: float, y: float, string: str = "470R") -> Text:
    return Text(owner, (x, y), string, "value")


def test_texts_on_each_other() -> None:
    assert kinds(sheet(texts=(text(R1, 5, 5), text(R1, 5.2, 5.1)))) == {"text/text"}


@pytest.mark.parametrize(("gap", "found"), [(LABEL_GAP - 0.01, {"text/text"}), (LABEL_GAP + 0.01, set())])
def test_labels_of_two_parts_keep_their_distance(gap: float, found: set[str]) -> None:
    """1.2 mm, from the layout rules that were tried on paper."""
    first = text(R1, 5, 5)
    assert kinds(sheet(texts=(first, text(R2, first.box.right + gap, 5)))) == found


def test_a_text_on_a_wire() -> None:
    assert kinds(sheet(Wire("n", ((4, 5.05), (8, 5.05))), texts=(text(R1, 5, 5),))) == {"text/line"}


def test_a_text_on_a_body_and_a_wire_through_it() -> None:
    block = Block()
    block.symbol(R2, "resistor", ((5, 5), (6, 5), (5.5, 5)), (Box(5, 4.75, 6, 5.25),))
    assert kinds(sheet(texts=(text(R1, 5.1, 5),), block=block)) == {"text/body"}
    block = Block()
    block.symbol(R2, "resistor", ((5, 5), (6, 5), (5.5, 5)), (Box(5, 4.75, 6, 5.25),))
    assert kinds(sheet(Wire("n", ((5.5, 4), (5.5, 6))), block=block)) == {"wire/body"}


def test_bodies_on_each_other() -> None:
    block = Block()
    block.symbol(R1, "resistor", ((5, 5), (6, 5), (5.5, 5)), (Box(5, 4.75, 6, 5.25),))
    block.symbol(R2, "resistor", ((5, 5.2), (6, 5.2), (5.5, 5.2)), (Box(5, 4.95, 6, 5.45),))
    assert kinds(sheet(block=block)) == {"body/body"}


def test_a_round_body_is_round() -> None:
    """A label may stand in the corner of an envelope's square, not on the envelope."""
    block = Block()
    block.symbol(R2, "tube", ((5, 5),), (Box(4.1, 4.1, 5.9, 5.9),))
    assert kinds(sheet(texts=(text(R1, 5.75, 5.7),), block=block)) == set()
    assert kinds(sheet(texts=(text(R1, 5.4, 5.3),), block=block)) == {"text/body"}


def test_conductors_on_one_line() -> None:
    assert kinds(sheet(Wire("n", ((4, 5), (8, 5))), Wire("n", ((7, 5), (9, 5))))) == {"overlap"}


def test_a_net_that_crosses_itself() -> None:
    assert kinds(sheet(Wire("n", ((4, 5), (8, 5))), Wire("n", ((6, 4), (6, 6))))) == {"crossing"}


def test_a_hop_needs_room() -> None:
    crossed = sheet(Wire("a", ((4, 5), (8, 5))), Wire("b", ((6, 4), (6, 6))))
    assert kinds(crossed) == set()
    assert hops(crossed.content) == {((4, 5), (8, 5)): [(6, 5)]}
    assert kinds(sheet(Wire("a", ((5.9, 5), (8, 5))), Wire("b", ((6, 4), (6, 6))))) == {"hop"}


def test_off_the_sheet() -> None:
    assert kinds(sheet(Wire("n", ((-1, 5), (8, 5))))) == {"off-sheet"}
    assert kinds(sheet(Wire("n", ((4, STRIP), (8, STRIP))))) == {"off-sheet"}


def test_a_part_shorter_than_its_body_is_refused() -> None:
    with pytest.raises(ValueError, match=r"R1: 0\.50 units"):
        two_terminal_room("resistor", (0, 0), (0.5, 0), (0.25, 0), "R1")
    with pytest.raises(ValueError, match="R1"):
        two_terminal_room("resistor", (0, 0), (2, 2), (1, 1), "R1")


def test_dots_only_where_three_conductors_meet() -> None:
    corner = sheet(Wire("n", ((4, 5), (6, 5))), Wire("n", ((6, 5), (6, 7))))
    assert dots(corner.content) == []
    tee = sheet(Wire("n", ((4, 5), (8, 5))), Wire("n", ((6, 5), (6, 7))))
    assert dots(tee.content) == [("n", (6, 5))]
    other_net = sheet(Wire("n", ((4, 5), (8, 5))), Wire("m", ((6, 5), (6, 7))))
    assert dots(other_net.content) == []


# -- reading back -----------------------------------------------------------------------------------------------------
def tampered(change: object) -> list[str]:
    """What the reading back says of a frozen amp whose first sheet was changed."""
    first, *rest = drawn("pipit")
    content = first.content.moved(0.0, 0.0)
    assert callable(change)
    change(content)
    return read_back(variant("pipit"), (replace(first, content=content), *rest))


def test_a_missing_wire_is_found() -> None:
    def cut(content: Block) -> None:
        index = next(i for i, w in enumerate(content.wires) if w.net == "first.cathode")
        del content.wires[index]

    assert any("first.cathode bears no name" in line for line in tampered(cut))


def test_two_nets_that_touch_are_found() -> None:
    def short(content: Block) -> None:
        a = next(w for w in content.wires if w.net == "first.cathode").points[0]
        b = next(w for w in content.wires if w.net == "first.plate").points[0]
        content.wires.append(Wire("first.cathode", (a, (b[0], a[1]), b)))

    assert any("first.cathode and first.plate touch" in line for line in tampered(short))


def test_a_part_drawn_twice_or_not_at_all_is_found() -> None:
    said = tampered(lambda content: content.drawn.remove("R1"))
    assert said == ["R1 is drawn 0 times, not 1"]
    said = tampered(lambda content: content.drawn.append("R1"))
    assert said == ["R1 is drawn 2 times, not 1"]


def test_a_terminal_on_the_wrong_net_is_found() -> None:
    def swap(content: Block) -> None:
        index = next(i for i, t in enumerate(content.terminals) if t.ref == "R1")
        found = content.terminals[index]
        content.terminals[index] = Terminal(found.ref, found.pin, "first.plate", found.at, found.lead)

    assert any(line.startswith("terminal 1 of R1 is on guitar.tip, drawn on first.plate") for line in tampered(swap))


def test_one_name_for_two_nets_is_found() -> None:
    def rename(content: Block) -> None:
        content.marks += [Mark("flag", "first.plate", (1.0, 30.0), "echo"), Mark("flag", "first.cathode", (9.0, 30.0), "echo")]

    assert "the name 'echo' stands for first.cathode and first.plate" in tampered(rename)

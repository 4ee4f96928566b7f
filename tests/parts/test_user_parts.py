"""A builder's own parts: read, put before the built-in ones, and every mistake told at its line."""

from __future__ import annotations

import pytest

from humdinger.diagnostics import Diagnostic, Severity
from humdinger.parts.faults import PARTS_CODES
from humdinger.parts.library import Library
from humdinger.source.build import build_tree
from humdinger.source.tree import Mapping


def read(*texts: str) -> tuple[Library, tuple[Diagnostic, ...]]:
    trees = []
    for i, text in enumerate(texts):
        tree, found = build_tree(f"parts{i}.yaml", text)
        assert found == ()
        assert isinstance(tree, Mapping)
        trees.append(tree)
    return Library().with_user_parts(trees)


LIKE = """\
humdinger-parts: 1
tubes-library:
  EL84S:
    like: 6BQ5
    source: measured in the shop
    aliases: [EL84-long]
    envelope: {seated_mm: 60}
    sections:
      only: {ratings: [{system: design-centre, plate_watts: [9, the maker's sheet], plate_volts: 300}]}
diodes-library:
  BY1: {like: 1N4007, source: sheet, repetitive_reverse_volts: 1300}
"""


def test_a_part_like_a_built_in_one_keeps_what_it_does_not_say() -> None:
    library, found = read(LIKE)
    assert found == ()
    own, built_in = library.tube("EL84S"), library.tube("EL84")
    assert own is not None
    assert built_in is not None
    assert own.user
    assert not built_in.user
    assert library.tube("EL84-long") is own
    section = own.sections[0]
    assert section.pins == built_in.sections[0].pins
    assert section.model == built_in.sections[0].model
    assert own.heaters == built_in.heaters
    assert own.envelope.seated_mm is not None
    assert (own.envelope.seated_mm.value, own.envelope.seated_mm.source) == (60, "memory")
    ratings = section.rating()
    assert ratings is not None
    assert ratings.plate_watts is not None
    assert (ratings.plate_watts.value, ratings.plate_watts.source) == (9, "the maker's sheet")
    assert ratings.plate_volts is not None
    assert ratings.plate_volts.source == "measured in the shop"
    assert ratings.screen_watts is None
    diode = library.diode("BY1")
    assert diode is not None
    assert (diode.repetitive_reverse_volts.value, diode.average_amps.value, diode.user) == (1300, 1, True)
    assert library.tube_names()[0] == "EL84S"


WHOLE = """\
humdinger-parts: 1
tubes-library:
  6N1P:
    source: data sheet, read
    kind: twin triode
    base: B9A
    heaters: [{volts: 6.3, milliamps: 600, side_a_pins: 4, side_b_pins: 5}]
    shield_pins: 9
    each_section:
      kind: triode
      ratings: [{system: design-max, plate_volts: 250, plate_watts: 2.2, cathode_milliamps: 20, grid_leak_fixed_megohms: 1}]
      model: {law: triode, parameters: {mu: 33, ex: 1.4, kg1: 900, kp: 200, kvb: 300}}
      capacitances: {grid_plate_picofarads: 1.6}
    sections:
      a: {pins: {plate: 1, grid: 2, cathode: 3}}
      b: {pins: {plate: 6, grid: 7, cathode: 8}}
"""


def test_a_whole_type_of_ones_own() -> None:
    library, found = read(WHOLE)
    assert found == ()
    tube = library.tube("6N1P")
    assert tube is not None
    assert tube.heaters[0].amps == 0.6
    a, b = tube.sections
    assert a.model == b.model
    assert a.model is not None
    assert (a.model.parameters["vct"], a.model.source) == (0.0, "data sheet, read")
    assert a.grid_plate_farads is not None
    assert a.grid_plate_farads.value == 1.6e-12
    ratings = b.rating()
    assert ratings is not None
    assert ratings.grid_leak_fixed_ohms is not None
    assert ratings.grid_leak_fixed_ohms.value == 1e6


def test_ones_own_part_wins_and_says_so() -> None:
    library, found = read("tubes-library:\n  ECC83: {like: 12AX7, source: ours, note: selected}\n")
    assert [(d.code, d.severity) for d in found] == [("NAM-043", Severity.INFO)]
    tube = library.tube("ECC83")
    assert tube is not None
    assert tube.note == "selected"
    plain = library.tube("12AX7")
    assert plain is not None
    assert plain.note != "selected"


def test_a_later_file_wins() -> None:
    first = "tubes-library: {X1: {like: EL84, source: first}}\n"
    library, found = read(first, first.replace("EL84", "EL34").replace("first", "second"))
    assert [d.code for d in found] == ["NAM-043"]
    tube = library.tube("X1")
    assert tube is not None
    assert tube.base.name == "octal"


def test_files_without_parts_are_left_alone() -> None:
    _, found = read("humdinger-shop: 1\nmaker: Saltmarsh Amp Works\n")
    assert found == ()


@pytest.mark.parametrize(
    ("old", "new", "code", "line", "words"),
    [
        ("humdinger-parts: 1", "humdinger-parts: 2", "SCH-064", 1, "version"),
        ("tubes-library:", "tubes-libary:", "SCH-066", 2, "tubes-libary"),
        ("kind: twin triode", "kind: twin triod", "SCH-064", 5, "twin triod"),
        ("base: B9A", "base: B9B", "SCH-064", 6, "B9B"),
        ("volts: 6.3", "volts: 6.3 V", "SCH-061", 7, "6.3 V"),
        ("side_b_pins: 5", "side_b_pins: 15", "SCH-064", 7, "15"),
        ("side_b_pins: 5", "side_b: 5", "SCH-063", 7, "side_b_pins"),
        ("shield_pins: 9", "shield_pins: 8", "SCH-067", 14, "pin 8"),
        ("plate_watts: 2.2", "plate_wats: 2.2", "SCH-066", 11, "plate_wats"),
        ("plate_watts: 2.2", "plate_watts: -2.2", "SCH-064", 11, "above 0"),
        ("plate_watts: 2.2", "plate_watts: nan", "SCH-061", 11, "nan"),
        ("plate_watts: 2.2", "plate_watts: [2.2, a, b]", "SCH-061", 11, "pair"),
        ("cathode_milliamps: 20", "cathode_milliamps: 20, cathode_amps: 0.02", "SCH-062", 11, "twice"),
        ("system: design-max", "system: design", "SCH-064", 11, "design"),
        ("kg1: 900, ", "", "SCH-063", 12, "kg1"),
        ("law: triode", "law: pentode", "SCH-063", 12, "kg2"),
        ("model: {law: triode, parameters: {mu: 33, ex: 1.4, kg1: 900, kp: 200, kvb: 300}}", "model: 12AX8", "NAM-041", 12, "12AX8"),
        ("grid: 7, ", "", "SCH-063", 16, "grid"),
        ("      b:", "      c:", "SCH-064", 14, "a and b"),
        ("    source: data sheet, read\n", "", "SCH-065", 3, "source"),
        ("    kind: twin triode", "    like: 12AX9\n    kind: twin triode", "NAM-042", 5, "12AX9"),
    ],
)
def test_a_mistake_is_told_once_at_its_line(old: str, new: str, code: str, line: int, words: str) -> None:
    assert WHOLE.count(old) == 1
    library, found = read(WHOLE.replace(old, new))
    hits = [d for d in found if d.code == code]
    assert hits, [f"{d.code} {d.message}" for d in found]
    assert hits[0].primary is not None
    assert hits[0].primary.span.line == line
    assert words in hits[0].message
    assert all(d.severity is Severity.ERROR for d in found)
    assert len(found) <= 2, [d.message for d in found]
    del library


def test_a_misspelled_key_gets_the_nearest_one() -> None:
    _, found = read(WHOLE.replace("cathode_milliamps", "cathode_miliamps"))
    assert [h.text for h in found[0].helps] == ["did you mean cathode_milliamps?"]


@pytest.mark.parametrize(
    "text",
    [
        "tubes-library: 5\n",
        "tubes-library: {X: 5}\n",
        "tubes-library: {X: }\n",
        "tubes-library: {X: {source: a}}\n",
        "tubes-library: {X: {source: a, sections: [1]}}\n",
        "tubes-library: {X: {source: a, like: EL84, sections: {only: 3}, heaters: {a: b}, envelope: x}}\n",
        "tubes-library: {X: {source: a, like: EL84, sections: {only: {ratings: {a: 1}, points: 3, pins: [1], model: []}}}}\n",
        "tubes-library: {X: {source: [a], like: [EL84]}}\n",
        "tubes-library: {X: {source: a, like: GZ34, sections: {only: {rectifier: {dc_milliamps_by_volts: {x: y}}}}}}\n",
        "diodes-library: [1]\n",
        "diodes-library: {X: {source: a, like: 1N4007, surge_amps: {a: 1}}}\n",
    ],
)
def test_nonsense_is_a_diagnostic_never_an_exception(text: str) -> None:
    _, found = read(text)
    assert found
    assert all(d.primary is not None for d in found)


def test_every_code_has_a_page() -> None:
    for code, page in PARTS_CODES.items():
        assert page.code == code
        assert page.what.endswith(".")
        assert page.why.endswith((".", "?"))

"""The lock file: a change of the spec renumbers nothing, no number is given twice, and a broken file is shown with its line."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
import yaml

from humdinger.circuit.lock import DESIGNATOR, Lock, after, changes, lock_path, lock_text, places, read_lock
from humdinger.circuit.lock_explain import PAGES
from humdinger.circuit.netlist import Tube
from humdinger.compile import Compiled, elaborated
from humdinger.diagnostics.render_text import render_text
from humdinger.source.load import name_of
from humdinger.source.world import MemoryWorld
from support.amps import changed, demo_text, dump
from support.demos import NAMES
from support.front import PATH, ROOT, world

LOCK = "amps/amp.lock.yaml"


def made(text: str, lock: str | bytes | None = None) -> Compiled:
    return elaborated(world(text, {} if lock is None else {LOCK: lock}), PATH)


def locked(found: Compiled) -> str:
    """The lock file a compile would write."""
    assert found.numbered is not None, [d.message for d in found.diagnostics]
    return lock_text(found.numbered, "amp.amp.yaml")


def numbers(found: Compiled) -> dict[str, str]:
    """Stage and role -> designator, of every part."""
    assert found.netlist is not None, [d.message for d in found.diagnostics]
    return {f"{p.stage}/{p.role}": p.ref for p in found.netlist.parts if not isinstance(p, Tube)}


def with_stage(text: str) -> str:
    """Dunlin with one more gain stage and its control in the middle of the signal."""
    tree = yaml.load(text, yaml.BaseLoader)
    tree["tubes"]["V3"] = "12AX7"
    more = {
        "stage": "common-cathode",
        "id": "extra",
        "tube": "V3a",
        "supply": "B4",
        "plate_load": "100k 1W",
        "cathode_resistor": "1k5",
        "coupling": "22n 630V",
    }
    level = {"stage": "volume", "id": "trim", "pot": "1M audio", "control": "TRIM"}
    tree["signal"][2:2] = [level, more]
    return dump(tree)


def test_the_first_lock_holds_every_part_that_the_compiler_numbers() -> None:
    found = made(demo_text("heron"))
    assert found.netlist is not None
    assert found.numbered is not None
    assert sorted(found.numbered.parts.values()) == sorted(p.ref for p in found.netlist.parts if not isinstance(p, Tube))
    assert not found.numbered.retired
    assert "signal/first/plate_load" in found.numbered.parts
    assert "supply/filter/B2/choke" in found.numbered.parts
    assert not any(re.match(r"signal/[0-9]|supply/filter/[0-9]", place) for place in found.numbered.parts)


@pytest.mark.parametrize("name", NAMES)
def test_with_its_lock_an_amp_is_the_same_and_the_lock_too(name: str) -> None:
    first = made(demo_text(name))
    again = made(demo_text(name), locked(first))
    assert again.netlist == first.netlist
    assert locked(again) == locked(first)
    rows = [line for line in locked(first).splitlines() if line.startswith("  ")]
    assert rows == sorted(rows, key=lambda row: row.split(":")[0])
    assert yaml.safe_load(locked(first))["parts"] == dict(first.numbered.parts)  # type: ignore[union-attr]


def test_a_stage_in_the_middle_renumbers_nothing() -> None:
    first = made(demo_text("dunlin"))
    before = numbers(first)
    second = made(with_stage(demo_text("dunlin")), locked(first))
    after_ = numbers(second)
    assert {key: after_[key] for key in before} == before
    fresh = {key: ref for key, ref in after_.items() if key not in before}
    assert len(fresh) >= 4
    assert not set(fresh.values()) & set(before.values())
    assert numbers(made(with_stage(demo_text("dunlin")))) != after_  # without the lock much would have moved


def with_pieces(name: str, place: int) -> str:
    """A demo with a gain stage more before the stage at a place of the signal, and a volume control where no inverter follows."""
    tree = yaml.load(demo_text(name), yaml.BaseLoader)
    tree["tubes"]["V9"] = "12AX7"
    stage = {"stage": "common-cathode", "id": "extra", "tube": "V9a", "supply": "B4", "plate_load": "100k 1W"}
    stage |= {"cathode_resistor": "1k5", "coupling": "22n 630V", "grid_leak": "1M"}
    level = {"stage": "volume", "id": "trim", "pot": "1M audio", "control": "TRIM"}
    tree["signal"][place:place] = [stage, *([level] if tree["signal"][place]["id"] != "inverter" else [])]
    return dump(tree)


@pytest.mark.parametrize("name", NAMES)
def test_a_stage_at_any_place_of_a_demo_renumbers_nothing(name: str) -> None:
    """With the lock file that is shipped beside the demo, every part keeps its number and every new one has a number of its own."""
    lock = (ROOT / "specs_demo" / name / f"{name}.lock.yaml").read_text(encoding="utf-8").replace(f"{name}.amp.yaml", "amp.amp.yaml")
    before = numbers(made(demo_text(name), lock))
    many = len(yaml.load(demo_text(name), yaml.BaseLoader)["signal"])
    stages = yaml.load(demo_text(name), yaml.BaseLoader)["signal"]
    fed = [place for place in range(1, many) if stages[place]["stage"] not in ("input", "mixer", "cathode-follower", "three-knob-tone")]
    for place in fed:  # between two channels nothing is fed, a mixer names what feeds it, and the others hang on the plate before them
        found = made(with_pieces(name, place), lock)
        after_ = numbers(found)
        assert {key: after_[key] for key in before} == before, place
        fresh = {ref for key, ref in after_.items() if key not in before}
        assert len(fresh) in (4, 5), place
        assert not fresh & set(before.values())
        assert found.numbered is not None
        assert not found.numbered.retired


@pytest.mark.parametrize("name", NAMES)
def test_a_filter_node_in_the_middle_renumbers_nothing(name: str) -> None:
    lock = (ROOT / "specs_demo" / name / f"{name}.lock.yaml").read_text(encoding="utf-8").replace(f"{name}.amp.yaml", "amp.amp.yaml")
    before = numbers(made(demo_text(name), lock))
    tree = yaml.load(demo_text(name), yaml.BaseLoader)
    tree["supply"]["filter"][2:2] = [{"node": "B9", "through": "1k 3W flameproof", "capacitor": "22u 500V"}]
    after_ = numbers(made(dump(tree), lock))
    assert {key: after_[key] for key in before} == before
    assert len(after_) == len(before) + 2


def test_a_number_of_a_part_that_is_gone_stays_its_own() -> None:
    first = made(demo_text("dunlin"))
    bypass = numbers(first)["first/cathode-bypass"]
    without = changed(demo_text("dunlin"), {"signal/1/cathode_bypass": "~"})
    second = made(without, locked(first))
    assert bypass not in numbers(second).values()
    assert dict(second.numbered.retired) == {bypass: "signal/first/cathode_bypass"}  # type: ignore[union-attr]
    # another part, which comes first in the signal, does not get it
    third = made(with_stage(without), locked(second))
    assert bypass not in numbers(third).values()
    assert bypass in third.numbered.retired  # type: ignore[union-attr]
    # and when the part comes back, it has it again
    fourth = made(with_stage(demo_text("dunlin")), locked(third))
    assert numbers(fourth)["first/cathode-bypass"] == bypass
    assert not fourth.numbered.retired  # type: ignore[union-attr]


def test_the_highest_number_is_not_given_again_when_its_part_goes() -> None:
    first = made(demo_text("dunlin"))
    top = numbers(first)["heaters/reference-b"]
    assert top == max((r for r in numbers(first).values() if r[0] == "R"), key=lambda r: int(r[1:]))
    pot = changed(demo_text("dunlin"), {"supply/heater_reference": "{kind: hum-balance, pot: 250 wirewound 1W, to: ground}"})
    second = made(pot, locked(first))
    assert int(numbers(second)["heaters/hum-balance"][1:]) > int(top[1:])


def test_a_change_of_value_or_of_order_is_no_change_of_number() -> None:
    first = made(demo_text("dunlin"))
    tree = yaml.load(demo_text("dunlin"), yaml.BaseLoader)
    tree["signal"][2], tree["signal"][3] = tree["signal"][3], tree["signal"][2]
    tree["signal"][1]["plate_load"] = "220k 1W"
    second = made(dump(tree), locked(first))
    assert numbers(second) == numbers(first)


def test_refs_of_the_spec_win_and_what_they_push_out_is_numbered_anew() -> None:
    first = made(demo_text("dunlin"))
    before = numbers(first)
    pinned = changed(
        demo_text("dunlin"), {"refs": f"{{signal/1/plate_load: {before['driver/plate-load']}, signal/1/cathode_resistor: R99}}"}
    )
    second = made(pinned, locked(first))
    now = numbers(second)
    assert now["first/plate-load"] == before["driver/plate-load"]
    assert now["first/cathode-resistor"] == "R99"
    assert now["driver/plate-load"] not in before.values()
    assert set(second.numbered.retired) == {before["first/plate-load"], before["first/cathode-resistor"]}  # type: ignore[union-attr]
    # without the pins everything stays as it is
    assert numbers(made(demo_text("dunlin"), locked(second))) == now


def test_a_pinned_designator_of_any_class_reads_back() -> None:
    text = changed(demo_text("dunlin"), {"refs": "{signal/1/plate_load: Q99999}"})
    first = made(text)
    assert locked(made(text, locked(first))) == locked(first)


def test_an_endless_name_of_a_stage_still_makes_a_lock_that_reads() -> None:
    text = changed(demo_text("dunlin"), {"signal/1/id": "a" * 3000})
    first = made(text)
    again = made(text, locked(first))
    assert again.diagnostics == first.diagnostics
    assert locked(again) == locked(first)
    assert max(map(len, locked(first).splitlines())) < 300


BROKEN = {
    "a number twice": ("humdinger-lock: 1\nparts:\n  a/b: R1\n  a/c: R1\n", 4),
    "retired and in use": ("humdinger-lock: 1\nparts:\n  a/b: R1\nretired:\n  R1: a/c\n", 5),
    "no format": ("parts: {}\n", 1),
    "a later format": ("humdinger-lock: 2\n", 1),
    "a strange key": ("humdinger-lock: 1\nwires: {}\n", 2),
    "no mapping": ("- 1\n", 1),
    "parts as a list": ("humdinger-lock: 1\nparts: [R1]\n", 2),
    "a list as number": ("humdinger-lock: 1\nparts:\n  a/b: [R1]\n", 3),
    "no number": ("humdinger-lock: 1\nparts:\n  a/b: <script>\n", 3),
    "an endless number": (f"humdinger-lock: 1\nparts:\n  a/b: R1{'0' * 5000}\n", 3),
    "an odd place": ("humdinger-lock: 1\nparts:\n  'a/<b>': R1\n", 3),
    "a retired place as mapping": ("humdinger-lock: 1\nretired:\n  R1: {a: b}\n", 3),
    "a class that does not fit": ("humdinger-lock: 1\nparts:\n  signal/first/plate_load: C5\n", 3),
    "a place twice": ("humdinger-lock: 1\nparts:\n  a/b: R1\n  a/b: R2\n", 4),
    "a merge gone wrong": ("humdinger-lock: 1\nparts:\n<<<<<<< HEAD\n  a/b: R1\n=======\n  a/b: R2\n>>>>>>> other\n", None),
    "an open bracket": ("humdinger-lock: 1\nparts: {a/b: R1\n", None),
    "a tag": ("humdinger-lock: !!python/object/apply:os.system [ls]\n", 1),
    "aliases of aliases": ("a: &a [x, x]\nb: &b [*a, *a]\nhumdinger-lock: 1\nparts: *b\n", None),
    "nested without end": ("[" * 20000, None),
    "a control character": ("humdinger-lock: 1\nparts:\n  a/b: \x1b[31mR1\n", 3),
    "nothing": ("", None),
}


@pytest.mark.parametrize("name", BROKEN)
def test_a_broken_lock_is_shown_and_nothing_is_compiled(name: str) -> None:
    text, line = BROKEN[name]
    found = made(demo_text("dunlin"), text)
    assert found.netlist is None
    assert found.blocking
    spans = [d.primary.span for d in found.diagnostics if d.primary is not None]
    assert spans
    assert {span.file for span in spans} == {LOCK}
    if line is not None:
        assert line in {span.line for span in spans}
    shown = render_text(found.diagnostics, found.texts)
    assert "^" in shown
    assert "\x1b" not in shown


@pytest.mark.parametrize("data", [b"\xff\xfe\x00", b"\x00" * 300_000, b"parts:\n  a: R1\xff\n"])
def test_bytes_that_are_no_text(data: bytes) -> None:
    found = made(demo_text("dunlin"), data)
    assert found.netlist is None
    assert all(d.code.startswith("SRC-") for d in found.diagnostics)


def test_a_lock_that_is_a_link_or_a_folder_is_not_followed() -> None:
    files = {PATH: demo_text("dunlin"), "shop.yaml": (ROOT / "specs_demo" / "shop.yaml").read_text(), "secret.yaml": "humdinger-lock: 1\n"}
    linked = MemoryWorld(files, links={LOCK: "../secret.yaml"})
    found = elaborated(linked, PATH)
    assert [d.code for d in found.diagnostics] == ["LCK-001"]
    assert "is a link" in found.diagnostics[0].message
    folder = MemoryWorld({**files, f"{LOCK}/inside": "x"})
    assert [d.code for d in elaborated(folder, PATH).diagnostics] == ["LCK-001"]


def test_two_specs_in_one_folder_have_a_lock_each() -> None:
    both = world(demo_text("dunlin"), {"amps/other.amp.yaml": demo_text("curlew"), LOCK: locked(made(demo_text("dunlin")))})
    other = elaborated(both, "amps/other.amp.yaml")
    assert other.lock is not None
    assert other.lock.path == "amps/other.lock.yaml"
    assert not other.lock.exists
    assert elaborated(both, PATH).lock.exists  # type: ignore[union-attr]


def test_two_specs_of_one_name_are_told_apart() -> None:
    twin = world(demo_text("dunlin"), {"amps/amp.yaml": demo_text("curlew"), LOCK: locked(made(demo_text("dunlin")))})
    found = elaborated(twin, "amps/amp.yaml")
    assert [d.code for d in found.diagnostics] == ["LCK-002"]
    assert found.diagnostics[0].primary is not None
    # a spec that was copied together with its lock is welcome
    renamed = world("", {"amps/fowl.amp.yaml": demo_text("dunlin"), "amps/fowl.lock.yaml": locked(made(demo_text("dunlin")))})
    assert elaborated(renamed, "amps/fowl.amp.yaml").netlist is not None


def test_the_lock_stands_beside_the_file_itself() -> None:
    linked = MemoryWorld({"real/heron.amp.yaml": "x"}, links={"current.amp.yaml": "real/heron.amp.yaml"})
    assert lock_path(linked, "current.amp.yaml") == "/work/real/heron.lock.yaml"
    assert lock_path(linked, "real/heron.amp.yaml") == "real/heron.lock.yaml"
    assert [name_of(p) for p in ("a/b.amp.yaml", "b.yaml", "b.yml", ".amp.yaml", "b.txt")] == ["b", "b", "b", "amp", "b.txt"]


@pytest.mark.parametrize("code", [code for code, page in PAGES.items() if page.bad])
def test_examples_do_what_the_page_says(code: str) -> None:
    assert code in {d.code for d in made(demo_text("dunlin"), PAGES[code].bad).diagnostics}
    assert not made(demo_text("dunlin"), PAGES[code].good).blocking


def test_what_became_of_the_numbers_in_words() -> None:
    old = Lock("x", {"a": "R1", "b": "R2", "c": "C1"}, {"R9": "z"})
    new = after(old, {"a": "R1", "d": "R3", "c": "C2"})
    assert dict(new.retired) == {"R9": "z", "R2": "b", "C1": "c"}
    assert changes(old, new) == "2 new (C2, R3), 2 retired (C1, R2)"
    assert changes(old, old) == ""


def test_a_lock_text_reads_back_whatever_the_file_is_called() -> None:
    for name in ('a"b.yaml', "c\\d.yaml", "é 'x': #1.yaml", "tab\there.yaml", "[x].yaml"):
        text = lock_text(Lock("x", {"a/b": "R1"}, {"R2": "a/c"}), name)
        lock, said, _ = read_lock(world("", {LOCK: text}), PATH)
        assert lock is not None, (name, said)
        assert dict(lock.parts) == {"a/b": "R1"}
        assert dict(lock.retired) == {"R2": "a/c"}
        if name.isprintable():
            assert yaml.safe_load(text)["spec"] == name


@pytest.mark.parametrize("path", sorted((ROOT / "specs_demo").glob("*/*.amp.yaml")), ids=lambda p: p.parent.name)
def test_the_locks_of_the_demos_are_as_a_compile_leaves_them(path: Path) -> None:
    from humdinger.source.world import DiskWorld

    found = elaborated(DiskWorld(), str(path))
    assert found.numbered is not None
    file = path.with_name(f"{name_of(path.name)}.lock.yaml")
    assert file.read_text() == lock_text(found.numbered, path.name), f"compile {path} and keep the lock file that it writes"


def test_every_place_is_named() -> None:
    found = made(demo_text("curlew"))
    assert found.design is not None
    assert places(found.design.spec)["signal/1"] == "signal/first"
    assert all(DESIGNATOR.fullmatch(ref) for ref in found.numbered.parts.values())  # type: ignore[union-attr]

"""What changed between two specs: nothing is lost or said twice, a part keeps its identity, and the page, the text and the data agree."""

from __future__ import annotations

import json
import re
import shutil
from pathlib import Path

import html5lib
import pytest
import yaml
from jsonschema import Draft202012Validator

from humdinger import cli
from humdinger.circuit.lock import lock_text
from humdinger.compile import compared, compiled, elaborated, judged
from humdinger.manual.changes_words import changes_json, changes_text
from humdinger.revision import Difference
from humdinger.source.world import MemoryWorld
from support.amps import changed, demo_text, dump
from support.demos import NAMES
from support.front import PATH, ROOT, SHOP

OLD = "old/amp.amp.yaml"
SCHEMA = json.loads((ROOT / "schemas" / "diff.schema.json").read_text(encoding="utf-8"))


def lock_of(text: str, lock: str = "") -> str:
    """The lock file that a compile of a spec would write."""
    files = {"shop.yaml": SHOP.read_text(encoding="utf-8"), PATH: text}
    if lock:
        files["amps/amp.lock.yaml"] = lock
    made = elaborated(MemoryWorld(files), PATH)
    assert made.numbered is not None, [d.message for d in made.diagnostics]
    return lock_text(made.numbered, "amp.amp.yaml")


def the_world(old: str, new: str, *, old_lock: str = "", new_lock: str = "", shop: str = "") -> MemoryWorld:
    files = {"shop.yaml": shop or SHOP.read_text(encoding="utf-8"), OLD: old, PATH: new}
    files |= {"old/amp.lock.yaml": old_lock} if old_lock else {}
    files |= {"amps/amp.lock.yaml": new_lock} if new_lock else {}
    return MemoryWorld(files)


def between(old: str, new: str, **locks: str) -> Difference:
    found = the_world(old, new, **locks)
    made = judged(found, PATH, propose=False)
    _, changes = compared(found, OLD, made)
    assert changes is not None
    data = changes_json(changes)
    assert [f"{e.json_path}: {e.message}" for e in Draft202012Validator(SCHEMA).iter_errors(data)] == []
    counted(changes)
    return changes


def counted(changes: Difference) -> None:
    """Every part, wire and net of both amps is counted once."""
    old, new = changes.amps
    for rows, same, many in (
        (changes.parts, changes.same_parts, [len(one.netlist.parts) for one in (old, new)]),
        (changes.wires, changes.same_wires, [len(one.layout.wires) for one in (old, new)]),
    ):
        kinds = [row.kind for row in rows]
        assert kinds.count("gone") + kinds.count("changed") + same == many[0]
        assert kinds.count("new") + kinds.count("changed") + same == many[1]
    told = [row.what for row in changes.volts]
    assert len(told) == len(set(told))


def parts(changes: Difference) -> dict[str, tuple[str, ...]]:
    """Kind -> designators (of the old amp for what is gone)."""
    found: dict[str, list[str]] = {}
    for row in changes.parts:
        part = row.new or row.old
        assert part is not None
        found.setdefault(row.kind, []).append(part.ref)
    return {kind: tuple(refs) for kind, refs in found.items()}


def with_stage(name: str) -> str:
    """A demo with a volume control and a gain stage more behind its first."""
    tree = yaml.load(demo_text(name), yaml.BaseLoader)
    tree["tubes"]["V9"] = "12AX7"
    more = {"stage": "common-cathode", "id": "extra", "tube": "V9a", "supply": "B4"}
    more |= {"plate_load": "100k 1W", "cathode_resistor": "1k5", "coupling": "22n 630V"}
    tree["signal"][2:2] = [{"stage": "volume", "id": "trim", "pot": "1M audio", "control": "TRIM"}, more]
    return dump(tree)


@pytest.mark.parametrize("name", NAMES)
def test_an_amp_is_no_other_than_itself(name: str) -> None:
    changes = between(demo_text(name), "# one line more\n\n" + demo_text(name))
    assert changes.empty
    assert "nothing changed" in changes_text(changes)


@pytest.mark.parametrize("name", NAMES)
def test_a_stage_in_the_middle_is_new_parts_and_nothing_else(name: str) -> None:
    old = demo_text(name)
    lock = lock_of(old)
    changes = between(old, with_stage(name), old_lock=lock, new_lock=lock)
    assert not any(row.renumbered for row in changes.parts)
    found = parts(changes)
    assert "gone" not in found
    assert len(found["new"]) == 5  # pot, plate load, cathode resistor, coupling capacitor, tube
    assert all(row.rewired and not row.values for row in changes.parts if row.kind == "changed")
    assert ("stages that are new", "", "trim, extra") in {(s.what, s.old, s.new) for s in changes.settings}
    assert {row.what for row in changes.volts if row.kind == "new"} >= {"extra.plate", "extra.cathode", "trim.out"}


def test_without_a_lock_file_the_older_spec_is_numbered_by_the_newer_one_s() -> None:
    """And without any the numbers run on, which the comparison says and does not take for another part."""
    old, new = demo_text("dunlin"), with_stage("dunlin")
    lock = lock_of(new, lock_of(old))
    lent = between(old, new, new_lock=lock)
    assert not any(row.renumbered for row in lent.parts)
    assert lent.notes == (f"{OLD} has no lock file: it is numbered by amps/amp.lock.yaml",)
    bare = between(old, new)
    moved = [row for row in bare.parts if row.renumbered]
    assert len(moved) > 10
    assert all(row.old is not None and row.new is not None and row.old.role == row.new.role for row in moved)
    assert {row.what for row in bare.volts} == {row.what for row in lent.volts}
    assert [(row.code, row.new_state) for row in bare.findings] == [(row.code, row.new_state) for row in lent.findings]


def test_a_value_a_part_less_and_what_follows() -> None:
    old = demo_text("curlew")
    new = changed(old, {"bias/resistor": "330 5W wirewound", "signal/1/cathode_bypass": "~", "model/revision": "B"})
    changes = between(old, new, old_lock=(lock := lock_of(old)), new_lock=lock)
    assert parts(changes) == {"gone": ("C1",), "changed": ("R25", "R26")}
    assert {row.values for row in changes.parts if row.kind == "changed"} == {("ohms",)}
    moved = {row.what: row for row in changes.volts}
    assert moved["output.cathode-a"].percent is not None
    assert moved["output.cathode-a"].percent > 3
    gain = next(row for row in changes.figures if row.what == "gain of first to first.out")
    assert gain.old is not None
    assert gain.new is not None
    assert gain.new - gain.old < -2
    assert (changes.old.revision, changes.new.revision) == ("A", "B")
    text = changes_text(changes)
    assert "  - C1  10 µF 63 V electrolytic  (first: cathode bypass)\n" in text
    assert "  ~ R25  270 Ω 5 W wirewound -> 330 Ω 5 W wirewound  (bias: resistor a)\n" in text


def test_findings_come_and_go() -> None:
    old = demo_text("dunlin")
    new = changed(old, {"supply/transformer/heaters/0/current": "0.7 A"})
    there, back = between(old, new), between(new, old)
    (came,) = [row for row in there.findings if row.code == "HTR-001"]
    (went,) = [row for row in back.findings if row.code == "HTR-001"]
    assert (came.kind, came.old_state, came.new_state) == ("new", "passed", "error")
    assert (went.kind, went.old_state, went.new_state) == ("gone", "error", "passed")
    assert came.new_message == went.old_message


def test_tubes_region_and_colours() -> None:
    old = demo_text("heron")
    tubes = between(old, changed(old, {"tubes/V4": "6L6GC", "tubes/V5": "6L6GC"}))
    assert parts(tubes) == {"changed": ("V4", "V5")}
    assert not any(row.rewired for row in tubes.parts)
    region = between(old, changed(old, {"region": "us", "model/market": "us"}))
    told = {s.what: (s.old, s.new) for s in region.settings}
    assert told["region"] == ("uk", "us")
    assert told["mains tap"] == ("230 V", "120 V")
    assert {row.what for row in region.wires if row.kind == "changed"} >= {("colour",)}


def test_a_stage_renamed_in_the_spec_and_in_its_lock_file_keeps_its_parts() -> None:
    old = demo_text("dunlin")
    lock = lock_of(old)
    new, other = old.replace("id: first", "id: lead"), lock.replace("signal/first/", "signal/lead/")
    changes = between(old, new, old_lock=lock, new_lock=other)
    assert not parts(changes).keys() - {"changed"}
    assert not any(row.renumbered for row in changes.parts)


def test_two_amps_of_separate_lock_files_are_told_apart() -> None:
    """The same designator in two lock files that know nothing of each other means nothing: no resistor of one becomes one of the other."""
    curlew, heron = demo_text("curlew"), demo_text("heron")
    changes = between(curlew, heron, old_lock=lock_of(curlew), new_lock=lock_of(heron))
    for row in changes.parts:
        if row.old is not None and row.new is not None:
            assert row.old.role == row.new.role or row.old.path.rpartition("/")[2] == row.new.path.rpartition("/")[2], (row.old, row.new)


def test_an_older_spec_that_cannot_be_solved_says_why() -> None:
    found = the_world(demo_text("dunlin").replace("tube: V1a", "tube: V7a"), demo_text("dunlin"))
    before, changes = compared(found, OLD, judged(found, PATH, propose=False))
    assert changes is None
    assert [d.code for d in before.diagnostics] == ["NAM-002"]
    made, files = compiled(found, PATH, since=OLD)
    assert files is None
    assert "NAM-002" in [d.code for d in made.diagnostics]
    assert OLD in made.texts


def test_the_page_says_what_the_text_says() -> None:
    old = demo_text("curlew")
    lock = lock_of(old)
    new = changed(with_stage("curlew"), {"bias/resistor": "280 5W wirewound", "supply/transformer/heaters/0/current": "4 A"})
    found = the_world(old, new, old_lock=lock, new_lock=lock)
    made, files = compiled(found, PATH, since=OLD)
    assert files is not None, [d.message for d in made.diagnostics]
    page = files["changes.html"].decode()
    html5lib.HTMLParser(strict=True).parse(page)  # raises at the first parse error
    data = json.loads(files["data/changes.json"])
    assert data["old"]["path"] == "amp.amp.yaml"  # a manual is the same wherever it was made
    _, changes = compared(found, OLD, made)
    assert changes is not None
    assert data == changes_json(changes, folders=False)
    for row in changes.parts:
        part = row.new or row.old
        assert part is not None
        assert part.ref in page
    for row in changes.wires:
        if row.new is not None:
            assert f'href="wiring.html#wire-{row.new.number}"' in page
    assert all(f"moved-{row.what}" in page for row in changes.volts if row.kind != "gone")
    for target, anchor in set(re.findall(r'href="([a-z-]+\.html)#([^"]+)"', page)):
        assert f'id="{anchor}"' in files[target].decode(), (target, anchor)
    plain = compiled(found, PATH)[1]
    assert plain is not None
    assert "changes.html" not in plain


@pytest.fixture
def folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    shutil.copytree(ROOT / "specs_demo", tmp_path / "specs")
    monkeypatch.chdir(tmp_path)
    return tmp_path


def test_the_command(folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    old = "specs/dunlin/dunlin.amp.yaml"
    (folder / "specs" / "next").mkdir()
    new = "specs/next/dunlin.amp.yaml"
    (folder / new).write_text(demo_text("dunlin").replace("270 5W", "300 5W"), encoding="utf-8")
    shutil.copy("specs/dunlin/dunlin.lock.yaml", "specs/next/dunlin.lock.yaml")
    assert cli.main(["diff", old, new]) == 0
    out = capsys.readouterr().out
    assert f"{old} (Dunlin, revision A) -> {new} (Dunlin, revision A)\n" in out
    assert "parts: 1 changed" in out
    assert cli.main(["diff", old, new, "--format", "json"]) == 0
    data = json.loads(capsys.readouterr().out)
    assert [row["values"] for row in data["parts"]] == [["ohms"]]
    assert cli.main(["diff", old, "specs/nowhere.yaml"]) == 2
    assert cli.main(["diff", "specs/nowhere.yaml", new]) == 2
    assert "SRC-001" in capsys.readouterr().err
    (folder / new).write_text(demo_text("dunlin").replace("V1a", "V7a"), encoding="utf-8")
    assert cli.main(["diff", old, new]) == 1
    assert cli.main(["diff", new, old]) == 1
    (folder / new).write_text(demo_text("dunlin").replace("270 5W", "300 5W"), encoding="utf-8")
    capsys.readouterr()
    assert cli.main(["compile", new, "--since", old, "-o", "out", "--cache", "off"]) == 0
    assert (folder / "out" / "changes.html").is_file()
    assert cli.main(["compile", new, "--since", "specs/nowhere.yaml", "-o", "other", "--cache", "off"]) == 1
    assert not (folder / "other").exists()


def test_the_schema_describes_every_key() -> None:
    Draft202012Validator.check_schema(SCHEMA)
    for rule in (SCHEMA, *SCHEMA["$defs"].values()):
        for key, below in rule.get("properties", {}).items():
            assert below["description"].endswith("."), key
            assert below["examples"], key
        if "properties" in rule:
            assert sorted(rule["required"]) == sorted(rule["properties"])

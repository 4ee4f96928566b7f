"""The cache: never stale, never trusted, shared by processes, and gone without a loss."""

from __future__ import annotations

import os
import subprocess
import sys
from collections.abc import Callable, Mapping
from dataclasses import fields, is_dataclass, replace
from pathlib import Path
from typing import Any

import pytest

from humdinger.compile import solved
from humdinger.diagnostics import Span
from humdinger.drawing.schematic import Figure
from humdinger.source import cache as module
from humdinger.source.cache import DiskCache, canonical, fingerprint, uncached
from support.amps import demo_text
from support.front import PATH, ROOT, world

FIGURE = Figure("preamp", "Préamp <b>", "<svg>Ω</svg>", 10.5, 20.0, ("R1",), ("first.plate", "B1"), ("R1",))


def never() -> Any:
    raise AssertionError("it was kept, so nobody should make it")


def test_gives_back_what_was_made(tmp_path: Path) -> None:
    cached = DiskCache(str(tmp_path / "c"), mark="x")
    assert cached("schematic", ("a", 1.5), lambda: (FIGURE,), Figure) == (FIGURE,)
    assert cached("plot", "a", lambda: "<svg/>", str) == "<svg/>"
    again = DiskCache(str(tmp_path / "c"), mark="x")
    assert again("schematic", ("a", 1.5), never, Figure) == (FIGURE,)
    assert again("plot", "a", never, str) == "<svg/>"
    assert uncached("plot", "a", lambda: "made", str) == "made"


def test_another_kind_input_or_compiler_makes_anew(tmp_path: Path) -> None:
    DiskCache(str(tmp_path), mark="x")("plot", ("a", 1), lambda: "old", str)
    assert DiskCache(str(tmp_path), mark="y")("plot", ("a", 1), lambda: "new", str) == "new"
    cached = DiskCache(str(tmp_path), mark="x")
    assert cached("chart", ("a", 1), lambda: "new", str) == "new"
    for other in (("a", 1.0), ("a", True), ("a", "1"), ("a1",), ("a", None), ["a", 1, ()], {"a": 1}, ("", "a", 1)):
        assert cached("plot", other, lambda: "new", str) == "new", other


def test_every_field_of_netlist_and_results_counts_and_no_span_does() -> None:
    made = solved(world(demo_text("heron")), PATH)
    assert made.netlist is not None
    assert made.results is not None
    whole = (made.netlist, made.results)
    key = canonical(whole)
    assert canonical(whole) == key
    firsts: dict[type, Any] = {}
    _records(whole, firsts)
    assert len(firsts) > 50
    firsts.pop(Span)
    for one in firsts.values():
        for field in fields(one):
            inner = getattr(one, field.name)
            if not isinstance(inner, Span):
                assert canonical(replace(one, **{field.name: ("something else", inner)})) != canonical(one), field
    deep = replace(made.netlist, parts=(*made.netlist.parts[:-1], replace(made.netlist.parts[-1], label="x")))
    assert canonical((deep, made.results)) != key
    moved = solved(world("# one line more\n\n" + demo_text("heron").replace("id: first", "id: first   # the first one")), PATH)
    assert moved.netlist != made.netlist  # the spans have moved
    assert canonical((moved.netlist, moved.results)) == key


def _records(value: Any, found: dict[type, Any]) -> None:
    """The first record of each class that is met."""
    if is_dataclass(value):
        found.setdefault(type(value), value)
        for field in fields(value):
            _records(getattr(value, field.name), found)
    elif isinstance(value, Mapping):
        for item in value.values():
            _records(item, found)
    elif isinstance(value, tuple):
        for item in value:
            _records(item, found)


def test_what_cannot_be_told_apart_is_refused() -> None:
    with pytest.raises(TypeError, match="object"):
        canonical((1, object()))


@pytest.mark.parametrize(
    "spoil",
    [
        lambda data: b"",
        lambda data: data[:-1],
        lambda data: data[:30],
        lambda data: data.replace(b"svg", b"SVG", 1),
        lambda data: b"\xff\xfe" + data,
        lambda data: b"0" * 64 + b"\n" + b"null",
        lambda data: _signed(b"null"),
        lambda data: _signed(b"[[1]]"),
        lambda data: _signed(b"not json"),
        lambda data: _signed(b"[" * 100_000),
    ],
)
def test_a_spoiled_entry_is_made_again(tmp_path: Path, spoil: Callable[[bytes], bytes]) -> None:
    DiskCache(str(tmp_path), mark="x")("schematic", 1, lambda: (FIGURE,), Figure)
    (entry,) = tmp_path.iterdir()
    good = entry.read_bytes()
    entry.write_bytes(spoil(good))
    assert DiskCache(str(tmp_path), mark="x")("schematic", 1, lambda: (FIGURE,), Figure) == (FIGURE,)
    assert entry.read_bytes() == good


def _signed(body: bytes) -> bytes:
    import hashlib

    return hashlib.sha256(body).hexdigest().encode() + b"\n" + body


def test_a_folder_that_cannot_be_used_is_no_trouble(tmp_path: Path) -> None:
    (tmp_path / "file").write_text("mine")
    for folder in (str(tmp_path / "file"), str(tmp_path / "file" / "below"), "/proc/no/such", "nul\0byte"):
        cached = DiskCache(folder, mark="x")
        assert cached("plot", 1, lambda: "made", str) == "made"
        cached.trim()
    assert (tmp_path / "file").read_text() == "mine"


def test_what_json_cannot_hold_is_only_not_kept(tmp_path: Path) -> None:
    odd = replace(FIGURE, width_mm=float("inf"))
    cached = DiskCache(str(tmp_path), mark="x")
    assert cached("schematic", 1, lambda: (odd,), Figure) == (odd,)
    assert list(tmp_path.iterdir()) == []


def test_the_longest_unused_go_first_and_nothing_else_goes(tmp_path: Path) -> None:
    (tmp_path / "holiday.json").write_text("mine" * 1000)
    for i in range(10):
        DiskCache(str(tmp_path), mark="x")("plot", i, lambda: "x" * 1000, str)
    entries = {i: next(iter(_new(tmp_path, i))) for i in range(10)}
    for i, path in entries.items():
        os.utime(path, (1000 + i, 1000 + i))
    cached = DiskCache(str(tmp_path), mark="x", largest=6000)
    assert cached("plot", 0, never, str) == "x" * 1000  # used now: the youngest
    cached.trim()
    assert len(list(tmp_path.iterdir())) == 11, "a run that adds nothing does not look"
    cached("plot", 10, lambda: "y" * 1000, str)
    dead = tmp_path / f".plot-{'0' * 64}.json.99.tmp"
    dead.write_text("half")
    os.utime(dead, (1, 1))
    cached.trim()
    left = {i for i, path in entries.items() if path.exists()}
    assert 0 in left
    assert left - {0} == set(range(10 - len(left) + 1, 10))
    assert sum(p.stat().st_size for p in tmp_path.glob("plot-*")) <= 6000
    assert (tmp_path / "holiday.json").exists()
    assert not dead.exists()


def _new(folder: Path, i: int) -> list[Path]:
    import hashlib

    key = hashlib.sha256(b"plot:str:x:" + canonical(i)).hexdigest()
    return [folder / f"plot-{key}.json"]


def test_the_fingerprint_follows_every_file_of_ours(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    import shutil

    for name in ("compiler", "schemas", "templates"):
        shutil.copytree(ROOT / name, tmp_path / name, ignore=shutil.ignore_patterns("__pycache__"))
    monkeypatch.setattr("humdinger.source.data.PACKAGE", str(tmp_path / "compiler" / "humdinger"))
    before = fingerprint()
    assert fingerprint() == before
    seen = {before}
    for path in (
        "compiler/humdinger/units/format.py",
        "compiler/humdinger/parts/data/tubes/12AX7.yaml",
        "schemas/amp.schema.json",
        "templates/style.css",
    ):
        file = tmp_path / path
        file.write_bytes(file.read_bytes() + b"\n")
        seen.add(fingerprint())
    (tmp_path / "compiler" / "humdinger" / "new.py").write_text("")
    seen.add(fingerprint())
    monkeypatch.setattr(module, "OUTSIDE", (*module.OUTSIDE, ("yaml", "__init__.py")))
    seen.add(fingerprint())
    assert len(seen) == 7


def test_many_processes_share_one_folder(tmp_path: Path) -> None:
    code = (
        "import sys; from humdinger.source.cache import DiskCache\n"
        "for i in range(200):\n"
        "    c = DiskCache(sys.argv[1], mark='x', largest=50_000)\n"
        "    assert c('plot', i % 20, lambda: f'{i % 20}' * 5000, str) == f'{i % 20}' * 5000\n"
        "    c.trim()\n"
    )
    environment = {**os.environ, "PYTHONPATH": str(ROOT / "compiler")}
    running = [subprocess.Popen([sys.executable, "-c", code, str(tmp_path)], env=environment, stderr=subprocess.PIPE) for _ in range(4)]
    for one in running:
        _, said = one.communicate()
        assert one.returncode == 0, said.decode()
    assert not list(tmp_path.glob(".*"))

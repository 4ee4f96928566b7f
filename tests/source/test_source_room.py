"""The World, the data folders, the pages of the codes, and texts nobody would write."""

from __future__ import annotations

import os
from datetime import date
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from humdinger import __version__
from humdinger.diagnostics import CodePage, render_json, render_short, render_text
from humdinger.source import SOURCE_CODES, DiskWorld, MemoryWorld, World, data_folder, load, load_with_texts
from humdinger.source.build import build_tree

WITH_EXAMPLES = [page for page in SOURCE_CODES.values() if page.bad]


def test_every_code_has_a_page_and_rule_names_differ() -> None:
    assert all(code == page.code and page.rule and page.what and page.why for code, page in SOURCE_CODES.items())
    assert len({page.rule for page in SOURCE_CODES.values()}) == len(SOURCE_CODES)
    assert list(SOURCE_CODES) == sorted(SOURCE_CODES)


def test_every_code_in_the_room_is_used_and_no_other() -> None:
    import re

    import humdinger.source

    room = Path(humdinger.source.__file__).parent
    used = {code for file in room.glob("*.py") if file.name != "faults.py" for code in re.findall(r"SRC-\d{3}", file.read_text())}
    assert used == set(SOURCE_CODES)


@pytest.mark.parametrize("page", WITH_EXAMPLES, ids=lambda page: page.code)
def test_the_bad_example_of_a_page_fires_its_code_alone_and_the_good_one_nothing(page: CodePage) -> None:
    good_shop = {"/work/shop.yaml": "humdinger-shop: 1\n"}
    for example, codes in ((page.bad, [page.code]), (page.good, [])):
        _, found = load(MemoryWorld({"/work/amp/amp.yaml": example, **good_shop}), "amp/amp.yaml")
        assert [d.code for d in found] == codes


@given(st.text(max_size=200) | st.text(st.sampled_from(list("ab:- \n\t[]{},&*!|>'\"%@`#?~<\\x01\r\ufeff\x85")), max_size=120))
def test_no_text_makes_the_reader_raise_and_both_readers_agree_on_good_ones(text: str) -> None:
    source, found, texts = load_with_texts(MemoryWorld({"a": text.encode("utf-8", "surrogatepass")}), "a")
    assert source is not None or found
    for diagnostic in found:
        for label in diagnostic.labels:
            span = label.span
            assert span.line == span.end_line
            assert 1 <= span.column < span.end_column
    shown = render_text(found, texts) + render_short(found) + render_json(found)
    assert not [char for char in shown if char != "\n" and ord(char) < 32]
    # The reader in Python refuses a tab behind a colon, which the C one takes; only a machine without the C one meets it.
    if source is not None and not found and "\t" not in text:
        assert build_tree("a", texts["a"], pure=True)[0] == source.root


@given(st.binary(max_size=200))
def test_no_bytes_make_the_reader_raise(data: bytes) -> None:
    source, found = load(MemoryWorld({"a": data}), "a")
    assert source is not None or found


def test_memory_world_answers_like_the_disk(tmp_path: Path) -> None:
    (tmp_path / "d").mkdir()
    (tmp_path / "d" / "x.txt").write_text("one\n", encoding="utf-8")
    root = str(tmp_path)
    worlds: tuple[World, ...] = (DiskWorld(), MemoryWorld({f"{root}/d/x.txt": "one\n"}))
    for each in worlds:
        assert each.read_text(f"{root}/d/x.txt") == "one\n"
        assert each.read_bytes(f"{root}/d/x.txt", 2) == b"on"
        assert each.exists(f"{root}/d")
        assert not each.is_file(f"{root}/d")
        assert each.list_folder(f"{root}/d") == ("x.txt",)
        assert each.list_folder(f"{root}/none") == ()
        assert each.resolve(f"{root}/d/../d/x.txt") == f"{root}/d/x.txt"
        with pytest.raises(FileNotFoundError):
            each.read_bytes(f"{root}/none")
        with pytest.raises(OSError, match=r"."):
            each.read_bytes(f"{root}/d")
        each.write_text(f"{root}/d/y.txt", "two\n")
        assert each.read_text(f"{root}/d/y.txt") == "two\n"
        assert each.list_folder(f"{root}/d") == ("x.txt", "y.txt")
        assert each.version() == __version__


def test_a_failed_write_leaves_nothing_behind(tmp_path: Path) -> None:
    (tmp_path / "taken").mkdir()
    with pytest.raises(OSError, match=r"."):
        DiskWorld().write_text(str(tmp_path / "taken"), "x")
    assert [p.name for p in tmp_path.iterdir()] == ["taken"]


def test_the_date_is_the_worlds() -> None:
    assert MemoryWorld(today=date(2027, 1, 2)).today() == date(2027, 1, 2)
    assert isinstance(DiskWorld().today(), date)


def test_data_folders_are_found() -> None:
    assert os.path.isdir(data_folder("schemas"))
    assert os.path.isdir(data_folder("templates"))
    with pytest.raises(FileNotFoundError, match="nonesuch"):
        data_folder("nonesuch")

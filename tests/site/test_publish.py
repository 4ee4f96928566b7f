"""Publishing: the old manual or the new one, never half of one; nothing of the user's is touched."""

from __future__ import annotations

import os
import shutil
import threading
import time
from importlib import import_module
from pathlib import Path

import pytest

from humdinger.site.marker import MARKER
from humdinger.site.publish import PublishError, publish

module = import_module("humdinger.site.publish")
OLD = {"index.html": b"old", "data/results.json": b"{}", "gone.html": b"x"}
NEW = {"index.html": b"new", "data/results.json": b"[]"}


def contents(folder: Path) -> dict[str, bytes]:
    return {str(p.relative_to(folder)): p.read_bytes() for p in folder.rglob("*") if p.is_file() and p.name != MARKER}


def beside(folder: Path) -> set[str]:
    return {p.name for p in folder.parent.iterdir()} - {folder.name}


@pytest.mark.parametrize("exchange", [True, False])
def test_replaces_the_whole_folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch, exchange: bool) -> None:
    if not exchange:
        monkeypatch.setattr(module, "_exchange", lambda a, b: False)
    out = tmp_path / "amp-manual"
    publish(OLD, out)
    publish(NEW, out)
    assert contents(out) == NEW
    assert (out / MARKER).is_file()
    assert beside(out) == set()


def test_refuses_a_folder_that_is_not_ours(tmp_path: Path) -> None:
    out = tmp_path / "photos"
    out.mkdir()
    (out / "gut.jpg").write_bytes(b"photo")
    with pytest.raises(PublishError, match="left alone"):
        publish(NEW, out)
    assert contents(out) == {"gut.jpg": b"photo"}
    assert beside(out) == set()


def test_takes_an_empty_folder_and_refuses_a_file_or_a_link(tmp_path: Path) -> None:
    empty = tmp_path / "empty"
    empty.mkdir()
    publish(NEW, empty)
    assert contents(empty) == NEW
    file = tmp_path / "file"
    file.write_text("mine")
    with pytest.raises(PublishError, match="not a folder"):
        publish(NEW, file)
    assert file.read_text() == "mine"
    link = tmp_path / "link"
    link.symlink_to(empty)
    with pytest.raises(PublishError):
        publish(OLD, link)
    assert contents(empty) == NEW


@pytest.mark.parametrize("exchange", [True, False])
def test_what_a_person_put_into_the_folder_goes_along(tmp_path: Path, exchange: bool, monkeypatch: pytest.MonkeyPatch) -> None:
    if not exchange:
        monkeypatch.setattr(module, "_exchange", lambda a, b: False)
    out = tmp_path / "amp-manual"
    assert publish(OLD, out) == ()
    (out / "notes.txt").write_text("hum at 100 Hz")
    (out / "photos").mkdir()
    (out / "photos" / "gut.jpg").write_bytes(b"photo")
    (out / "photos" / "empty").mkdir()
    (out / "link").symlink_to("../elsewhere")
    (out / "data" / "results.json").write_text("filled in by hand")
    (out / "gone.html").write_text("filled in too")
    kept = publish(NEW, out)
    assert set(kept) == {
        "notes.txt",
        "photos/gut.jpg",
        "photos/empty",
        "link",
        "data/results.json as data/results.kept.json",
        "gone.html",
    }
    everything = {
        **NEW,
        "notes.txt": b"hum at 100 Hz",
        "photos/gut.jpg": b"photo",
        "data/results.kept.json": b"filled in by hand",
        "gone.html": b"filled in too",
    }
    assert contents(out) == everything
    assert (out / "photos" / "empty").is_dir()
    assert os.readlink(out / "link") == "../elsewhere"
    # and again, though now they are on nobody's list; a page of that name comes and goes
    publish({**NEW, "notes.txt": b"a page", "photos": b"a page", "link": b"a page"}, out)
    assert contents(out) == {
        **{k: v for k, v in everything.items() if k not in ("notes.txt", "photos/gut.jpg")},
        "notes.txt": b"a page",
        "photos": b"a page",
        "link": b"a page",
        "notes.kept.txt": b"hum at 100 Hz",
        "photos.kept/gut.jpg": b"photo",
    }
    assert os.readlink(out / "link.kept") == "../elsewhere"
    (out / "notes.txt").write_text("changed again")
    (out / "notes.kept-2.txt").write_text("taken")
    publish(NEW | {"notes.txt": b"b", "notes.kept.txt": b"c"}, out)
    found = contents(out)
    assert sorted(v for k, v in found.items() if k.startswith("notes")) == [b"b", b"c", b"changed again", b"hum at 100 Hz", b"taken"]
    assert beside(out) == set()


def test_what_cannot_be_kept_stops_the_exchange(tmp_path: Path) -> None:
    out = tmp_path / "amp-manual"
    publish(OLD, out)
    os.mkfifo(out / "pipe")
    with pytest.raises(PublishError, match="neither a file nor a folder"):
        publish(NEW, out)
    (out / "pipe").unlink()
    assert contents(out) == OLD
    (out / MARKER).write_text((out / MARKER).read_text() + "mine\n")
    with pytest.raises(PublishError, match="changed by hand"):
        publish(NEW, out)
    assert contents(out) == OLD
    assert beside(out) == set()


@pytest.mark.parametrize("name", ["amp.lock", ".amp.new", ".amp.old", ".amp.journal"])
@pytest.mark.parametrize("kind", ["file", "folder", "link"])
def test_what_stands_beside_and_is_not_ours_is_left_alone(tmp_path: Path, name: str, kind: str) -> None:
    """Other programs call their lock files NAME.lock as well."""
    out = tmp_path / "amp"
    publish(OLD, out)
    other = tmp_path / name
    (tmp_path / "mine").write_text("precious")
    if kind == "file":
        other.write_text("precious")
    elif kind == "folder":
        other.mkdir()
        (other / "mine").write_text("precious")
    else:
        other.symlink_to("mine")
    with pytest.raises(PublishError):
        publish(NEW, out)
    assert contents(out) == OLD
    assert (other / "mine" if kind == "folder" else other).read_text() == "precious"
    assert (tmp_path / "mine").read_text() == "precious"


def test_a_killed_run_leaves_nothing_for_good(tmp_path: Path) -> None:
    out = tmp_path / "amp"
    publish(OLD, out)
    shutil.copytree(out, tmp_path / ".amp.new")
    (tmp_path / ".amp.new" / "index.html").unlink()
    (tmp_path / ".amp.old").mkdir()
    (tmp_path / ".amp.journal").write_text("")
    (tmp_path / "amp.lock").write_text("")
    publish(NEW, out)
    assert contents(out) == NEW
    assert beside(out) == set()


def test_the_mode_of_the_folder_stays(tmp_path: Path) -> None:
    out = tmp_path / "amp"
    publish(OLD, out)
    out.chmod(0o2750)
    publish(NEW, out)
    assert out.stat().st_mode & 0o7777 == 0o2750


def test_a_failed_write_leaves_the_old_manual(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    out = tmp_path / "amp-manual"
    publish(OLD, out)
    real = Path.write_bytes

    def full(self: Path, data: bytes) -> int:
        if self.name == "results.json":
            raise OSError(28, "No space left on device")
        return real(self, data)

    monkeypatch.setattr(Path, "write_bytes", full)
    with pytest.raises(PublishError, match="No space left"):
        publish(NEW, out)
    monkeypatch.undo()
    assert contents(out) == OLD
    assert beside(out) == set()


@pytest.mark.parametrize("step", [1, 2])
def test_an_interrupted_two_rename_exchange_is_completed(tmp_path: Path, monkeypatch: pytest.MonkeyPatch, step: int) -> None:
    """Dies between or after the renames, as a power cut would: the next run finds the journal."""
    out = tmp_path / "amp-manual"
    publish(OLD, out)
    monkeypatch.setattr(module, "_exchange", lambda a, b: False)
    monkeypatch.setattr(module, "_discard", lambda folder: None)
    real, count = os.rename, 0

    class PowerCut(BaseException):
        pass

    def rename(a: str, b: str) -> None:
        nonlocal count
        count += 1
        if count > step:
            raise PowerCut
        real(a, b)
        if count == step:
            raise PowerCut

    monkeypatch.setattr(module.os, "rename", rename)
    with pytest.raises(PowerCut):
        publish(NEW, out)
    monkeypatch.undo()
    publish(NEW, out)
    assert contents(out) == NEW


def test_two_at_once_both_end_well(tmp_path: Path) -> None:
    out = tmp_path / "amp-manual"
    faults: list[BaseException] = []

    def go(files: dict[str, bytes]) -> None:
        try:
            publish(files, out)
        except BaseException as fault:
            faults.append(fault)

    workers = [threading.Thread(target=go, args=(files,)) for files in (OLD, NEW) for _ in range(5)]
    for worker in workers:
        worker.start()
    for worker in workers:
        worker.join()
    assert faults == []
    assert contents(out) in (OLD, NEW)
    assert beside(out) == set()


def test_one_at_a_time_though_the_lock_file_comes_and_goes(tmp_path: Path) -> None:
    """Removing a lock file is where two owners can meet: one locks the file that another has just removed."""
    inside, most, taken = 0, 0, 0
    guard = threading.Lock()

    def go() -> None:
        nonlocal inside, most, taken
        for _ in range(25):
            with module._lock(tmp_path / "amp"):
                with guard:
                    inside += 1
                    taken += 1
                    most = max(most, inside)
                time.sleep(0.0005)
                with guard:
                    inside -= 1

    workers = [threading.Thread(target=go) for _ in range(6)]
    for worker in workers:
        worker.start()
    for worker in workers:
        worker.join()
    assert taken == 150
    assert most == 1
    assert list(tmp_path.iterdir()) == []


def test_who_waits_too_long_is_told_and_the_other_keeps_its_lock(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(module, "LOCK_WAIT_SECONDS", 0.1)
    out = tmp_path / "amp"
    with module._lock(out):
        with pytest.raises(PublishError, match="another compile"):
            publish(NEW, out)
        assert (tmp_path / "amp.lock").exists()
    assert not (tmp_path / "amp.lock").exists()

"""Publishing: the old manual or the new one, never half of one; nothing of the user's is touched."""

from __future__ import annotations

import os
import threading
import time
from importlib import import_module
from pathlib import Path

import pytest

from humdinger.site.publish import MARKER, PublishError, publish

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
    monkeypatch.setattr(module.shutil, "rmtree", lambda *a, **k: None)
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

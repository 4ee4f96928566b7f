"""A full disk, a closed one, two compiles at once: a clear message, nothing lost, nothing left behind."""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
from pathlib import Path

import pytest

from support.disks import close, contents, no_large_files, run, small_disk
from support.front import ROOT

pytestmark = pytest.mark.skipif(os.name != "posix", reason="mounts and limits of a Unix system")


@pytest.fixture
def specs(tmp_path: Path) -> Path:
    # the specs alone: the small disk has no room for the pictures of README and gallery
    shutil.copytree(ROOT / "specs_demo", tmp_path / "specs", ignore=shutil.ignore_patterns("pictures", "gallery"))
    return tmp_path


def test_a_full_disk(specs: Path) -> None:
    disk = specs / "disk"
    with small_disk(disk, 4000) as mounted:
        out = disk / "amp"
        assert run("compile", "specs/dunlin/dunlin.amp.yaml", "-o", str(out), cwd=specs).returncode == 0
        before = contents(disk)
        if mounted:
            (disk / "ballast").write_bytes(bytes(1000))
            with open(disk / "ballast", "ab") as ballast:
                left = os.statvfs(disk)
                ballast.write(bytes(left.f_bavail * left.f_frsize - 100_000))
            before = contents(disk)
        else:
            print("no disk could be mounted: a limit on the size of files stands for a full one")
        done = run("compile", "specs/curlew/curlew.amp.yaml", "-o", str(out), cwd=specs, before=None if mounted else no_large_files)
        assert done.returncode == 2
        assert ("No space left" if mounted else "File too large") in done.stderr
        assert "old manual, if there was one, is untouched" in done.stderr
        assert "Traceback" not in done.stderr
        assert contents(disk) == before
        if mounted:
            (disk / "ballast").unlink()
        assert run("compile", "specs/dunlin/dunlin.amp.yaml", "-o", str(out), cwd=specs).returncode == 0


def test_a_full_disk_under_the_spec_is_a_warning(specs: Path) -> None:
    disk = specs / "disk"
    with small_disk(disk, 100) as mounted:
        if not mounted:
            pytest.skip("this user may not mount a disk that is full")
        shutil.copytree(specs / "specs", disk / "specs")
        lock = disk / "specs" / "dunlin" / "dunlin.lock.yaml"
        lock.unlink()
        with open(disk / "ballast", "wb") as ballast:
            left = os.statvfs(disk)
            ballast.write(bytes(left.f_bavail * left.f_frsize))
        done = run("compile", str(disk / "specs/dunlin/dunlin.amp.yaml"), "-o", "out", cwd=specs)
        assert done.returncode == 0, done.stderr
        assert "warning[LCK-004]" in done.stdout
        assert "No space left" in done.stdout
        assert not list(lock.parent.glob("*lock*")) + list(lock.parent.glob(".*"))
        assert run("compile", str(disk / "specs/dunlin/dunlin.amp.yaml"), "-o", "out", "--strict", cwd=specs).returncode == 1


def test_read_only_places(specs: Path) -> None:
    disk = specs / "disk"
    with small_disk(disk, 4000) as mounted:
        if not mounted:
            pytest.skip("this user may not mount a disk and close it")
        shutil.copytree(specs / "specs", disk / "specs")
        assert run("compile", str(disk / "specs/dunlin/dunlin.amp.yaml"), "-o", str(disk / "amp"), cwd=specs).returncode == 0
        (disk / "specs/curlew/curlew.lock.yaml").unlink()
        before = contents(disk)
        close(disk)
        done = run("compile", str(disk / "specs/dunlin/dunlin.amp.yaml"), "-o", str(disk / "amp"), cwd=specs)
        assert done.returncode == 2
        assert "Read-only file system" in done.stderr
        assert run("compile", "specs/dunlin/dunlin.amp.yaml", "-o", str(disk / "new"), cwd=specs).returncode == 2
        # the spec lies there, the manual does not: a lock that need not change is no matter, one that cannot be written is a warning
        done = run("compile", str(disk / "specs/dunlin/dunlin.amp.yaml"), "-o", "out", "--strict", cwd=specs)
        assert done.returncode == 0, done.stdout + done.stderr
        done = run("compile", str(disk / "specs/curlew/curlew.amp.yaml"), "-o", "out", "--cache", str(disk / "cache"), cwd=specs)
        assert done.returncode == 0, done.stdout + done.stderr
        assert "warning[LCK-004]" in done.stdout
        assert contents(disk) == before


def test_two_compiles_at_once_both_end_well(specs: Path) -> None:
    environment = {**os.environ, "PYTHONPATH": str(ROOT / "compiler")}
    (specs / "specs/dunlin/dunlin.lock.yaml").unlink()
    command = [sys.executable, "-m", "humdinger.cli", "compile", "specs/dunlin/dunlin.amp.yaml", "-o", "out"]
    running = [
        subprocess.Popen(command, cwd=specs, env=environment, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True) for _ in range(2)
    ]
    for one in running:
        said, complained = one.communicate()
        assert one.returncode == 0, said + complained
    assert run("compile", "specs/dunlin/dunlin.amp.yaml", "-o", "alone", cwd=specs).returncode == 0
    assert contents(specs / "out") == contents(specs / "alone")
    assert {p.name for p in specs.iterdir()} == {"specs", "out", "alone"}
    assert {p.name for p in (specs / "specs" / "dunlin").iterdir()} == {"dunlin.amp.yaml", "dunlin.lock.yaml"}
    assert (specs / "specs/dunlin/dunlin.lock.yaml").read_bytes() == (ROOT / "specs_demo/dunlin/dunlin.lock.yaml").read_bytes()

"""Disks that are full or closed: real ones where this user may mount, else the nearest thing, with the reason printed."""

from __future__ import annotations

import os
import resource
import subprocess
import sys
from collections.abc import Callable, Iterator, Mapping
from contextlib import contextmanager
from pathlib import Path

from support.front import ROOT


def run(*arguments: str, cwd: Path, before: Callable[[], None] | None = None, **environment: str) -> subprocess.CompletedProcess[str]:
    """The command line in a process of its own."""
    command = [sys.executable, "-m", "humdinger.cli", *arguments]
    known = {**os.environ, "PYTHONPATH": str(ROOT / "compiler"), **environment}
    return subprocess.run(command, cwd=cwd, capture_output=True, text=True, env=known, preexec_fn=before, check=False)


@contextmanager
def small_disk(folder: Path, kilobytes: int) -> Iterator[bool]:
    """A file system of that size at the folder. False when this user may not mount one."""
    folder.mkdir(exist_ok=True)
    command = ["mount", "-t", "tmpfs", "-o", f"size={kilobytes}k", "tmpfs", str(folder)]
    try:
        done = subprocess.run(command, capture_output=True, text=True, check=False)
    except FileNotFoundError:
        yield False
        return
    if done.returncode:
        print(f"no small disk: {done.stderr.strip()}")
        yield False
        return
    try:
        yield True
    finally:
        subprocess.run(["mount", "-o", "remount,rw", str(folder)], capture_output=True, check=False)
        subprocess.run(["umount", str(folder)], check=True)


def close(folder: Path) -> None:
    """Makes a mounted file system read-only."""
    subprocess.run(["mount", "-o", "remount,ro", str(folder)], check=True)


def no_large_files() -> None:
    """For a child process: no file may be larger than 20 kB, which is the nearest to a full disk without one."""
    resource.setrlimit(resource.RLIMIT_FSIZE, (20_000, 20_000))


def contents(folder: Path) -> Mapping[str, bytes]:
    """Every file below a folder."""
    return {str(p.relative_to(folder)): p.read_bytes() for p in folder.rglob("*") if p.is_file()}

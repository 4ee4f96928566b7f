"""Puts a finished set of files in place of the old folder, in one step.

The files are written to a sibling folder first. Where the kernel has it, the two folders are then exchanged by renameat2, so that a reader
(or a power cut) meets the old manual or the new one, never half of one. Elsewhere two renames with a journal beside the folder, which the
next run completes. A folder without our marker is never touched.
"""

from __future__ import annotations

import contextlib
import ctypes
import errno
import os
import shutil
import tempfile
import time
from collections.abc import Iterator, Mapping
from pathlib import Path
from types import ModuleType
from typing import TextIO

MARKER = ".humdinger"
LOCK_WAIT_SECONDS = 30.0
AT_FDCWD = -100
RENAME_EXCHANGE = 2


class PublishError(Exception):
    """The output could not be put in place; the message says why and that nothing was changed."""


def publish(files: Mapping[str, bytes], out: Path) -> None:
    """Writes the files to `out`. Raises PublishError; then the old folder is as it was."""
    out = Path(os.path.abspath(out))
    try:
        out.parent.mkdir(parents=True, exist_ok=True)
        with _lock(out):
            _complete(out)
            _refuse_foreign(out)
            fresh = _write(files, out)
            try:
                _swap(fresh, out)
            finally:
                shutil.rmtree(fresh, ignore_errors=True)
    except OSError as fault:
        raise PublishError(f"{out}: {fault.strerror or fault}; the old manual, if there was one, is untouched") from fault


def _refuse_foreign(out: Path) -> None:
    if out.is_symlink() or (out.exists() and not out.is_dir()):
        raise PublishError(f"{out} is not a folder; name another one with -o")
    if out.is_dir() and any(out.iterdir()) and not (out / MARKER).is_file():
        raise PublishError(
            f"{out} has files that are not a manual of ours (no {MARKER} in it); it was left alone: name another folder with -o"
        )


def _write(files: Mapping[str, bytes], out: Path) -> Path:
    """The new folder beside the old one, complete and on disk."""
    fresh = Path(tempfile.mkdtemp(prefix=f".{out.name}.new-", dir=out.parent))
    try:
        fresh.chmod(0o755)
        for name, content in files.items():
            target = fresh / name
            target.parent.mkdir(parents=True, exist_ok=True)
            target.write_bytes(content)
        (fresh / MARKER).write_text("This folder is written by humdinger; anything else put here is lost at the next compile.\n")
    except BaseException:
        shutil.rmtree(fresh, ignore_errors=True)
        raise
    return fresh


def _swap(fresh: Path, out: Path) -> None:
    """After it `out` is the new folder and `fresh` the old one (or gone)."""
    if not out.exists():
        os.rename(fresh, out)
        return
    if _exchange(fresh, out):
        return
    journal = _journal(out)
    old = out.parent / f".{out.name}.old"
    shutil.rmtree(old, ignore_errors=True)
    journal.write_text(fresh.name)
    os.rename(out, old)
    os.rename(fresh, out)
    journal.unlink()
    shutil.rmtree(old, ignore_errors=True)


def _complete(out: Path) -> None:
    """Ends what an interrupted run of the two-rename way began."""
    journal = _journal(out)
    if not journal.exists():
        return
    fresh = out.parent / Path(journal.read_text().strip()).name
    old = out.parent / f".{out.name}.old"
    if not out.exists():
        if fresh.is_dir() and (fresh / MARKER).is_file():
            os.rename(fresh, out)
        elif old.is_dir():
            os.rename(old, out)
    shutil.rmtree(old, ignore_errors=True)
    shutil.rmtree(fresh, ignore_errors=True)
    journal.unlink()


def _journal(out: Path) -> Path:
    return out.parent / f".{out.name}.journal"


def _exchange(a: Path, b: Path) -> bool:
    """renameat2 with RENAME_EXCHANGE. False where kernel or file system refuse it."""
    try:
        libc = ctypes.CDLL(None, use_errno=True)
        call = libc.renameat2
    except (OSError, AttributeError):
        return False
    if call(AT_FDCWD, os.fsencode(a), AT_FDCWD, os.fsencode(b), RENAME_EXCHANGE) == 0:
        return True
    number = ctypes.get_errno()
    if number in (errno.ENOSYS, errno.EINVAL, errno.EOPNOTSUPP, errno.ENOTSUP):
        return False
    raise OSError(number, os.strerror(number))


@contextlib.contextmanager
def _lock(out: Path) -> Iterator[None]:
    """One compile at a time per folder; waits half a minute for another. Nothing of the lock is left behind."""
    try:
        import fcntl
    except ImportError:  # no flock on this system: the exchange itself is still one step
        yield
        return
    path = out.parent / f"{out.name}.lock"
    end = time.monotonic() + LOCK_WAIT_SECONDS
    while True:
        with open(path, "a") as handle:
            if _taken(fcntl, handle, path):
                try:
                    yield
                finally:
                    # while it is still locked: who waits for this file finds that it is not the one at `path` any more, and opens that
                    path.unlink(missing_ok=True)
                return
        if time.monotonic() > end:
            raise PublishError(f"another compile has been writing {out} for {LOCK_WAIT_SECONDS:.0f} s; try again")
        time.sleep(0.05)


def _taken(fcntl: ModuleType, handle: TextIO, path: Path) -> bool:
    """Whether we hold the lock of the file that is at `path`. A lock on a file that its owner has removed since guards nothing."""
    try:
        fcntl.flock(handle, fcntl.LOCK_EX | fcntl.LOCK_NB)
        return os.path.samestat(os.fstat(handle.fileno()), path.stat())
    except (BlockingIOError, FileNotFoundError):
        return False

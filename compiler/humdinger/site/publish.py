"""Puts a finished set of files in place of the old folder, in one step.

The files are written to a sibling folder first. Where the kernel has it, the two folders are then exchanged by renameat2, so that a reader
meets the old manual or the new one, never half of one, whenever the compiler is killed. Elsewhere two renames with a journal beside the
folder, which the next run completes. Nothing waits for the disk: a manual can be made again. A folder without our marker is never touched,
and what a person put into one with it goes along.

Beside a folder `amp` there are, while it is written: `amp.lock`, `.amp.new`, `.amp.old`, `.amp.journal`. What a killed run leaves of them
the next one clears away; a thing of such a name that is not ours is left alone, and said.
"""

from __future__ import annotations

import contextlib
import ctypes
import errno
import os
import shutil
import stat
import time
from collections.abc import Iterator, Mapping
from pathlib import Path
from types import ModuleType
from typing import TextIO

from .keep import Unkeepable, keep
from .marker import MARKER, marker_text

LOCK_WAIT_SECONDS = 30.0
AT_FDCWD = -100
RENAME_EXCHANGE = 2
JOURNAL = "humdinger exchanges two folders here\n"


class PublishError(Exception):
    """The output could not be put in place; the message says why and that nothing was changed."""


def publish(files: Mapping[str, bytes], out: Path) -> tuple[str, ...]:
    """Writes the files to `out`; returns what it kept of a person's own files. Raises PublishError; then the old folder is as it was."""
    out = Path(os.path.abspath(out))
    if not out.name:
        raise PublishError(f"{out} cannot be replaced; name another folder with -o")
    try:
        out.parent.mkdir(parents=True, exist_ok=True)
        with _lock(out):
            _complete(out)
            _refuse_foreign(out)
            fresh, kept = _write(files, out)
            try:
                _swap(fresh, out)
            finally:
                _discard(fresh)
    except Unkeepable as fault:
        raise PublishError(f"{fault}; the old manual is untouched") from fault
    except OSError as fault:
        raise PublishError(f"{out}: {fault.strerror or fault}; the old manual, if there was one, is untouched") from fault
    return kept


def _refuse_foreign(out: Path) -> None:
    if out.is_symlink() or (out.exists() and not out.is_dir()):
        raise PublishError(f"{out} is not a folder; name another one with -o")
    if out.is_dir() and any(out.iterdir()) and not (out / MARKER).is_file():
        raise PublishError(
            f"{out} has files that are not a manual of ours (no {MARKER} in it); it was left alone: name another folder with -o"
        )


def _write(files: Mapping[str, bytes], out: Path) -> tuple[Path, tuple[str, ...]]:
    """The new folder beside the old one, complete, with what was kept of the old one. The marker is its first file."""
    fresh = _sibling(out, "new")
    _discard(fresh)
    if os.path.lexists(fresh):
        raise PublishError(f"{fresh} is in the way and not ours; move it away")
    fresh.mkdir()
    try:
        _put(fresh / MARKER, marker_text(files).encode())
        for name, content in files.items():
            target = fresh / name
            target.parent.mkdir(parents=True, exist_ok=True)
            _put(target, content)
        kept = keep(out, fresh, files) if out.is_dir() else ()
        if out.is_dir():
            shutil.copymode(out, fresh)
    except BaseException:
        _discard(fresh)
        raise
    return fresh, kept


def _put(path: Path, content: bytes) -> None:
    path.write_bytes(content)


def _swap(fresh: Path, out: Path) -> None:
    """After it `out` is the new folder and `fresh` the old one (or gone)."""
    if not out.exists():
        os.rename(fresh, out)
        return
    if _exchange(fresh, out):
        return
    journal, old = _sibling(out, "journal"), _sibling(out, "old")
    journal.write_text(JOURNAL)
    os.rename(out, old)
    os.rename(fresh, out)
    journal.unlink()
    _discard(old)


def _complete(out: Path) -> None:
    """Ends what an interrupted run began, and clears away what it left."""
    journal, fresh, old = _sibling(out, "journal"), _sibling(out, "new"), _sibling(out, "old")
    if os.path.lexists(journal):
        if journal.is_symlink() or not journal.is_file() or not JOURNAL.startswith(journal.read_text(errors="replace")):
            raise PublishError(f"{journal} is in the way and not ours; move it away")
        if not out.exists():
            os.rename(fresh if (fresh / MARKER).is_file() else old, out)
        journal.unlink()
    _discard(old)
    if os.path.lexists(old):
        raise PublishError(f"{old} is in the way and not ours; move it away")


def _discard(folder: Path) -> None:
    """Removes a folder of ours: one with our marker, which goes last, or an empty one. Anything else stays."""
    with contextlib.suppress(OSError):
        if folder.is_symlink() or not folder.is_dir():
            return
        if (folder / MARKER).is_file():
            folder.chmod(0o700)
            for entry in sorted(folder.iterdir()):
                if entry.name == MARKER:
                    continue
                if entry.is_dir() and not entry.is_symlink():
                    shutil.rmtree(entry)
                else:
                    entry.unlink()
            (folder / MARKER).unlink()
        folder.rmdir()


def _sibling(out: Path, word: str) -> Path:
    return out.parent / f".{out.name}.{word}"


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
        if _of_another(path):
            raise PublishError(f"{path} is not a lock of ours (ours are empty); it was left alone: name another folder with -o")
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


def _of_another(path: Path) -> bool:
    """Whether it is no lock of ours, which are empty files: other programs call theirs NAME.lock too."""
    try:
        found = os.lstat(path)
    except FileNotFoundError:
        return False
    return not stat.S_ISREG(found.st_mode) or found.st_size > 0


def _taken(fcntl: ModuleType, handle: TextIO, path: Path) -> bool:
    """Whether we hold the lock of the file that is at `path`. A lock on a file that its owner has removed since guards nothing."""
    try:
        fcntl.flock(handle, fcntl.LOCK_EX | fcntl.LOCK_NB)
        return os.path.samestat(os.fstat(handle.fileno()), path.stat())
    except (BlockingIOError, FileNotFoundError):
        return False

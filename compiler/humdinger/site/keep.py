"""What a person put into the folder of a manual goes along into the next one: notes, photographs, a page filled in on the screen."""

from __future__ import annotations

import hashlib
import os
import shutil
from collections.abc import Collection, Iterator, Mapping
from pathlib import Path, PurePosixPath

from .marker import MARKER, listed


class Unkeepable(Exception):
    """Something in the folder can neither be replaced nor kept; the message says what."""


def keep(old: Path, fresh: Path, files: Mapping[str, bytes]) -> tuple[str, ...]:
    """Brings what is not ours from the old folder into the fresh one, which has `files`; says what and where.

    A file that is not on the marker's list keeps its name. One that is on it but was changed by hand makes way for the new page and stands
    beside it as NAME.kept.html; so does one whose name a new page takes. Links stay links. Unkeepable, OSError.
    """
    marker = old / MARKER
    try:
        ours = listed(marker.read_text(encoding="utf-8")) if marker.is_file() else {}
    except ValueError as fault:
        raise Unkeepable(f"{marker} was changed by hand, so nobody can tell our files from yours; move the folder away") from fault
    if ours is None:
        return ()
    said: list[str] = []
    taken = {*files, MARKER}
    for path in _walk(old, ours):
        source = old / path
        changed = path in ours and not source.is_symlink()
        if changed and _sum(source) in (ours[path], hashlib.sha256(files[path]).hexdigest() if path in files else ""):
            continue
        target = next(name for name in _names(path) if _free(name, taken))
        taken.add(target)
        _bring(source, fresh / target)
        said.append(path if target == path else f"{path} as {target}")
    return tuple(said)


def _walk(folder: Path, ours: Collection[str], below: str = "") -> Iterator[str]:
    """Every file, link and empty folder, as a path with slashes; our folders are not spoken of."""
    names = sorted(os.listdir(folder / below))
    if below and not names and not any(path.startswith(f"{below}/") for path in ours):
        yield below
    for name in names:
        path = f"{below}/{name}" if below else name
        if path == MARKER:
            continue
        if (folder / path).is_dir() and not (folder / path).is_symlink():
            yield from _walk(folder, ours, path)
        else:
            yield path


def _sum(path: Path) -> str:
    with open(path, "rb") as file:
        return hashlib.file_digest(file, "sha256").hexdigest()


def _names(path: str) -> Iterator[str]:
    """The name itself, then others for it: notes.kept.txt, then with the outermost folder renamed, each counted up."""
    yield path
    whole = PurePosixPath(path)
    number = 1
    while True:
        word = "kept" if number == 1 else f"kept-{number}"
        yield str(whole.with_name(f"{whole.stem}.{word}{whole.suffix}"))
        if len(whole.parts) > 1:
            yield "/".join((f"{whole.parts[0]}.{word}", *whole.parts[1:]))
        number += 1


def _free(path: str, taken: Collection[str]) -> bool:
    """Whether nothing stands there, on the way to it, or below it."""
    above = {str(parent) for parent in PurePosixPath(path).parents}
    return path not in taken and not above & set(taken) and not any(other.startswith(f"{path}/") for other in taken)


def _bring(source: Path, target: Path) -> None:
    target.parent.mkdir(parents=True, exist_ok=True)
    if source.is_symlink():
        os.symlink(os.readlink(source), target)
    elif source.is_dir():
        target.mkdir()
    elif source.is_file():
        try:
            os.link(source, target)  # the same file under both names until the old folder goes: nothing is copied, nothing can be lost
        except OSError:
            shutil.copy2(source, target)
    else:
        raise Unkeepable(f"{source} is neither a file nor a folder; move it away")

"""Keeps what costs time to make, and gives it back when the same inputs come again.

A pass that makes something costly takes a `Cached` and asks it: `cached("schematic", (netlist, volts), make, of=Figure)`. `uncached` always
makes. `DiskCache` looks first. The key is a sha256 over the compiler itself, the packages that draw, and the inputs without their spans: a
comment in the spec changes nothing, a byte of ours changes everything. Entries are JSON behind a checksum; one that does not read back is
made again. The folder may be deleted at any time, and shared by any number of processes: an entry appears by one rename.
"""

from __future__ import annotations

import contextlib
import os
import re
import sys
from collections.abc import Callable, Mapping
from enum import Enum
from typing import Any, Protocol, TypeVar

from ..diagnostics import Span

T = TypeVar("T")

LARGEST = 200_000_000
"""Bytes a cache folder may hold; beyond it the entries longest unused go, down to nine tenths."""

ENTRY = re.compile(r"[a-z][a-z-]*-[0-9a-f]{64}\.json")
LEFTOVER = re.compile(r"\.[a-z][a-z-]*-[0-9a-f]{64}\.json\.[0-9]+\.tmp")
STALE_SECONDS = 3600.0
"""A temporary file this much older than the newest entry belongs to a run that was killed."""

OUTSIDE = (("schemdraw", "__init__.py"), ("numpy", "version.py"))
"""Packages that what we keep is made with, and the file of each that changes with its version."""


class Cached(Protocol):
    """Gives what `make` makes: a text (of=str), or a tuple of records of class `of` whose fields are texts, numbers and tuples of these.

    kind: one word for what it is. inputs: everything the outcome depends on: records, mappings, tuples, texts, numbers, None.
    """

    def __call__(self, kind: str, inputs: object, make: Callable[[], T], of: type) -> T: ...


def uncached(kind: str, inputs: object, make: Callable[[], T], of: type) -> T:
    """Makes it."""
    del kind, inputs, of
    return make()


def canonical(value: object) -> bytes:
    """Inputs as bytes: equal values give equal bytes, others other bytes. Spans are left out. TypeError for anything unknown."""
    parts: list[str] = []
    _write(value, parts, {})
    return "".join(parts).encode("utf-8", "surrogatepass")


def _write(value: Any, out: list[str], known: dict[int, str]) -> None:
    kind = type(value)
    if kind is str:
        out.append(f"{len(value)}:{value}")
    elif kind is float or kind is int or kind is bool or kind is complex or value is None:
        out.append(f"{value!r};")
    elif kind is tuple or kind is list:
        out.append("(")
        for item in value:
            _write(item, out, known)
        out.append(")")
    elif kind is Span:
        out.append("@")
    elif (names := getattr(kind, "__record_fields__", None)) is not None:
        if (text := known.get(id(value))) is None:  # the same tube type stands in every tube
            own: list[str] = [kind.__name__, "<"]
            for name in names:
                _write(getattr(value, name), own, known)
            text = known[id(value)] = "".join((*own, ">"))
        out.append(text)
    elif isinstance(value, Mapping):
        out.append("{")
        for key, item in value.items():
            _write(key, out, known)
            _write(item, out, known)
        out.append("}")
    elif isinstance(value, Enum):
        out.append(f"{kind.__name__}.{value.name};")
    elif isinstance(value, frozenset | set):
        texts = [canonical(item).decode("utf-8", "surrogatepass") for item in value]
        out.append("".join(("[", *sorted(texts), "]")))
    else:
        raise TypeError(f"{kind.__name__} cannot be part of a cache key")


def fingerprint() -> str:
    """A sha256 in hex over every file of the compiler, its schemas and templates, Python and the packages that draw."""
    import hashlib
    from importlib.util import find_spec

    from .data import PACKAGE, data_folder

    found = hashlib.sha256(sys.version.encode())
    for folder in (PACKAGE, data_folder("schemas"), data_folder("templates")):
        for path in sorted(_files(folder)):
            with open(path, "rb") as file:
                data = file.read()
            found.update(f"{os.path.relpath(path, folder)}:{len(data)}:".encode())
            found.update(data)
    for package, name in OUTSIDE:
        spec = find_spec(package)
        for place in (spec.submodule_search_locations or () if spec else ())[:1]:
            path = os.path.join(place, name)
            if os.path.isfile(path):
                with open(path, "rb") as file:
                    found.update(file.read())
    return found.hexdigest()


def _files(folder: str) -> list[str]:
    found: list[str] = []
    for entry in os.scandir(folder):
        if entry.is_dir(follow_symlinks=False):
            if entry.name != "__pycache__":
                found += _files(entry.path)
        elif not entry.name.endswith(".pyc"):
            found.append(entry.path)
    return found


class DiskCache:
    """A `Cached` over a folder. Whatever goes wrong with the folder, the outcome is right: it is made, and perhaps not kept."""

    def __init__(self, folder: str, *, largest: int = LARGEST, mark: str = "") -> None:
        """mark: what stands for the compiler in every key; its `fingerprint`, taken at the first question, when not given."""
        self.folder = folder
        self.largest = largest
        self.mark = mark
        self.hits = 0
        self.misses = 0

    def __call__(self, kind: str, inputs: object, make: Callable[[], T], of: type) -> T:
        import hashlib

        self.mark = self.mark or fingerprint()
        key = hashlib.sha256(f"{kind}:{of.__name__}:{self.mark}:".encode() + canonical(inputs)).hexdigest()
        path = os.path.join(self.folder, f"{kind}-{key}.json")
        found = self._read(path, of)
        if found is not None:
            self.hits += 1
            return found
        self.misses += 1
        made = make()
        self._keep(path, made)
        return made

    def trim(self) -> None:
        """Brings the folder under its size, if this run has added to it."""
        if not self.misses:
            return
        try:
            rows = [(e.stat().st_mtime, e.stat().st_size, e.path, e.name) for e in os.scandir(self.folder) if not e.is_symlink()]
        except (OSError, ValueError):
            return
        newest = max((row[0] for row in rows), default=0.0)
        for when, _, path, name in rows:
            if LEFTOVER.fullmatch(name) and when < newest - STALE_SECONDS:
                _remove(path)
        entries = sorted(row for row in rows if ENTRY.fullmatch(row[3]))
        size = sum(row[1] for row in entries)
        if size <= self.largest:
            return
        for _, bytes_, path, _ in entries:
            if size <= self.largest * 0.9:
                break
            _remove(path)
            size -= bytes_

    def _read(self, path: str, of: type) -> Any:
        import hashlib
        import json

        try:
            with open(path, "rb") as file:
                head, _, body = file.read().partition(b"\n")
            if hashlib.sha256(body).hexdigest().encode() != head:
                return None
            found = _decode(json.loads(body), of)
            os.utime(path)
            return found
        except (OSError, ValueError, TypeError, RecursionError):
            return None

    def _keep(self, path: str, made: object) -> None:
        import hashlib
        import json

        head, name = os.path.split(path)
        beside = os.path.join(head, f".{name}.{os.getpid()}.tmp")
        try:
            body = json.dumps(_encode(made), ensure_ascii=False, allow_nan=False).encode()
            os.makedirs(self.folder, mode=0o700, exist_ok=True)
            with open(beside, "wb") as file:
                file.write(hashlib.sha256(body).hexdigest().encode() + b"\n" + body)
            os.replace(beside, path)
        except (OSError, ValueError):  # a full disk, a folder that is closed to us: what was made is good, it only is not kept
            _remove(beside)


def _remove(path: str) -> None:
    with contextlib.suppress(OSError, ValueError):
        os.unlink(path)


def _encode(made: Any) -> Any:
    if isinstance(made, str):
        return made
    return [[getattr(row, name) for name in row.__record_fields__] for row in made]


def _decode(data: Any, of: type) -> Any:
    """What was kept, as it was. ValueError when it has another shape."""
    if of is str:
        if not isinstance(data, str):
            raise ValueError
        return data
    names = tuple(of.__record_fields__)  # type: ignore[attr-defined]
    rows = []
    for row in data:
        if len(row) != len(names):
            raise ValueError
        rows.append(of(**{name: _tuples(value) for name, value in zip(names, row, strict=True)}))
    return tuple(rows)


def _tuples(value: Any) -> Any:
    return tuple(_tuples(item) for item in value) if isinstance(value, list) else value

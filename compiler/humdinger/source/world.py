"""The World: the one way to files, the date and the version. Tests pass in a MemoryWorld.

Paths are text with `/`. Nobody else in the package opens a file of the user's, asks the date or the version.
"""

from __future__ import annotations

import contextlib
import os
import posixpath
from collections.abc import Iterator, Mapping
from datetime import date
from typing import Protocol


class World(Protocol):
    """What the compiler may ask of the outside. A file that cannot be read raises OSError."""

    def read_bytes(self, path: str, most: int | None = None) -> bytes:
        """The bytes of a regular file, at most `most` of them."""
        ...

    def read_text(self, path: str) -> str:
        """A UTF-8 text file. UnicodeDecodeError when it is something else."""
        ...

    def is_file(self, path: str) -> bool:
        """Whether a regular file (or a link to one) is there."""
        ...

    def exists(self, path: str) -> bool:
        """Whether anything is there."""
        ...

    def list_folder(self, path: str) -> tuple[str, ...]:
        """Names in a folder, sorted; nothing when there is no such folder."""
        ...

    def resolve(self, path: str) -> str:
        """The absolute path with every symbolic link followed."""
        ...

    def write_text(self, path: str, text: str) -> None:
        """Put a file in place in one step; its folder must exist."""
        ...

    def today(self) -> date:
        """Today's date."""
        ...

    def version(self) -> str:
        """The version of the compiler."""
        ...


@contextlib.contextmanager
def _alone(path: str) -> Iterator[int]:
    """A temporary file of that name, which nobody else writes to meanwhile. One that a killed run has left is taken over."""
    while True:
        file = os.open(path, os.O_RDWR | os.O_CREAT | getattr(os, "O_NOFOLLOW", 0) | getattr(os, "O_CLOEXEC", 0), 0o666)
        try:
            try:
                import fcntl

                fcntl.flock(file, fcntl.LOCK_EX)
                ours = os.path.samestat(os.fstat(file), os.stat(path))
            except FileNotFoundError:
                continue  # the one before us has put it in its place
            except (ImportError, OSError):
                ours = True  # no such locks here
            if ours:
                yield file
                return
        finally:
            os.close(file)


class DiskWorld:
    """The real world."""

    __slots__ = ()

    def read_bytes(self, path: str, most: int | None = None) -> bytes:
        if os.path.exists(path) and not os.path.isfile(path):
            # A pipe or a device would be read for ever.
            raise OSError(f"{path} is not a regular file")
        with open(path, "rb") as file:
            return file.read() if most is None else file.read(most)

    def read_text(self, path: str) -> str:
        return self.read_bytes(path).decode("utf-8")

    def is_file(self, path: str) -> bool:
        return os.path.isfile(path)

    def exists(self, path: str) -> bool:
        return os.path.lexists(path)

    def list_folder(self, path: str) -> tuple[str, ...]:
        try:
            return tuple(sorted(os.listdir(path)))
        except OSError:
            return ()

    def resolve(self, path: str) -> str:
        return os.path.realpath(path)

    def write_text(self, path: str, text: str) -> None:
        folder, name = os.path.split(path)
        beside = os.path.join(folder, f".{name}.tmp")
        with _alone(beside) as file:
            try:
                os.ftruncate(file, 0)
                with open(file, "wb", closefd=False) as out:
                    out.write(text.encode())
                os.fsync(file)
                os.replace(beside, path)
            except OSError:
                with contextlib.suppress(OSError):
                    os.unlink(beside)
                raise

    def today(self) -> date:
        return date.today()

    def version(self) -> str:
        from .. import __version__

        return __version__


class MemoryWorld:
    """A world of a few files in memory, for tests. Relative paths start at `/work`; `links` maps a path to what it points at."""

    def __init__(
        self,
        files: Mapping[str, str | bytes] | None = None,
        *,
        links: Mapping[str, str] | None = None,
        today: date = date(2026, 11, 25),
        version: str = "0.1.0",
    ) -> None:
        self.links = {self._absolute(path): target for path, target in (links or {}).items()}
        self.files: dict[str, bytes] = {}
        for path, data in (files or {}).items():
            self.files[self._absolute(path)] = data.encode("utf-8") if isinstance(data, str) else data
        self._today = today
        self._version = version

    def read_bytes(self, path: str, most: int | None = None) -> bytes:
        real = self.resolve(path)
        if real not in self.files:
            if self.exists(real):
                raise IsADirectoryError(21, "is a directory", path)
            raise FileNotFoundError(2, "no such file", path)
        return self.files[real][:most]

    def read_text(self, path: str) -> str:
        return self.read_bytes(path).decode("utf-8")

    def is_file(self, path: str) -> bool:
        return self.resolve(path) in self.files

    def exists(self, path: str) -> bool:
        real = self.resolve(path)
        return real in self.files or any(name.startswith(real.rstrip("/") + "/") for name in self.files)

    def list_folder(self, path: str) -> tuple[str, ...]:
        start = self.resolve(path).rstrip("/") + "/"
        return tuple(sorted({name[len(start) :].split("/")[0] for name in self.files if name.startswith(start)}))

    def resolve(self, path: str) -> str:
        real = self._absolute(path)
        for _ in range(len(self.links) + 1):
            hit = next((link for link in self.links if real == link or real.startswith(link + "/")), None)
            if hit is None:
                return real
            real = posixpath.normpath(posixpath.join(posixpath.dirname(hit), self.links[hit] + real[len(hit) :]))
        return real

    def write_text(self, path: str, text: str) -> None:
        self.files[self.resolve(path)] = text.encode("utf-8")

    def today(self) -> date:
        return self._today

    def version(self) -> str:
        return self._version

    @staticmethod
    def _absolute(path: str) -> str:
        return posixpath.normpath(posixpath.join("/work", path))


class LentWorld:
    """A world in which one path is another file of it: how a spec without a lock file reads the numbers of another."""

    def __init__(self, world: World, path: str, lent: str) -> None:
        self._world = world
        self._real = world.resolve(path)
        self._lent = lent

    def _at(self, path: str) -> str:
        return self._lent if self._world.resolve(path) == self._real else path

    def read_bytes(self, path: str, most: int | None = None) -> bytes:
        return self._world.read_bytes(self._at(path), most)

    def read_text(self, path: str) -> str:
        return self._world.read_text(self._at(path))

    def is_file(self, path: str) -> bool:
        return self._world.is_file(self._at(path))

    def exists(self, path: str) -> bool:
        return self._world.exists(self._at(path))

    def list_folder(self, path: str) -> tuple[str, ...]:
        return self._world.list_folder(path)

    def resolve(self, path: str) -> str:
        return self._world.resolve(path)

    def write_text(self, path: str, text: str) -> None:
        self._world.write_text(path, text)

    def today(self) -> date:
        return self._world.today()

    def version(self) -> str:
        return self._world.version()

"""The parts library: built-in data read on demand, and a builder's own parts on top of it."""

from __future__ import annotations

import os
from collections.abc import Iterable, Mapping
from functools import cache, cached_property
from typing import TYPE_CHECKING, Any

from .block import Fault
from .model import Base, DiodeType, Region, TubeType
from .reader import read_tube
from .tables import read_base, read_diode, read_region

if TYPE_CHECKING:
    from ..diagnostics import Diagnostic
    from ..source.tree import Mapping as TreeMapping

_DATA = os.path.join(os.path.dirname(__file__), "data")


class LibraryError(Exception):
    """A built-in data file is wrong: a bug of ours, never a mistake of the user."""


@cache
def load(name: str) -> Any:
    """A built-in data file by its path below parts/data without ending ("tubes/EL84"), None if there is none. Do not change it.

    From index.json (parts/index.py), which loads 20 times faster than the YAML it is made of; a file that is not in it is read itself.
    """
    indexed = _index().get(name)
    return load_yaml(name) if indexed is None else indexed


def load_yaml(name: str) -> Any:
    """A built-in data file as it stands, past the index. None if there is none."""
    import yaml

    path = os.path.join(_DATA, f"{name}.yaml")
    if not os.path.isfile(path):
        return None
    with open(path, "rb") as file:
        return yaml.load(file, Loader=getattr(yaml, "CSafeLoader", yaml.SafeLoader))


@cache
def _index() -> dict[str, Any]:
    path = os.path.join(_DATA, "index.json")
    if not os.path.isfile(path):
        return {}
    import json

    with open(path, encoding="utf-8") as file:
        return json.load(file)


class Library:
    """Look-ups by name. Only what is asked for is read; results are kept."""

    def __init__(self, user_tubes: Mapping[str, TubeType] | None = None, user_diodes: Mapping[str, DiodeType] | None = None) -> None:
        self._user_tubes = dict(user_tubes or {})
        self._user_diodes = dict(user_diodes or {})
        self._tubes: dict[str, TubeType] = {}
        self._user_alias = {alias: t.name for t in self._user_tubes.values() for alias in (t.name, *t.aliases)}

    @cached_property
    def _alias(self) -> dict[str, str]:
        names = load("names")
        return {alias: name for name, aliases in names.items() for alias in (name, *aliases)}

    def tube(self, name: str) -> TubeType | None:
        """The tube type of that name or alias (12AX7, ECC83); a builder's own wins. None when unknown."""
        if name in self._user_alias:
            return self._user_tubes[self._user_alias[name]]
        return self.built_in_tube(name)

    def built_in_tube(self, name: str) -> TubeType | None:
        """The tube type of the built-in library, whatever the builder's own files say."""
        found = self._alias.get(name)
        if found is None:
            return None
        if found not in self._tubes:
            faults: list[Fault] = []
            aliases = tuple(load("names")[found])
            tube = read_tube(found, load(f"tubes/{found}"), faults, self.base, self.base_names, lambda m: load(f"models/{m}"), aliases)
            if tube is None or faults:
                raise LibraryError(f"parts/data/tubes/{found}.yaml: {faults}")
            self._tubes[found] = tube
        return self._tubes[found]

    def built_in_name(self, name: str) -> str:
        """The name of the built-in tube type a name or alias stands for, "" when there is none."""
        return self._alias.get(name, "")

    def tube_names(self, aliases: bool = False) -> tuple[str, ...]:
        """Names of all tube types, the builder's own first; with their other names when asked."""
        own = [n for t in self._user_tubes.values() for n in ((t.name, *t.aliases) if aliases else (t.name,))]
        built_in = self._alias if aliases else load("names")
        return tuple(dict.fromkeys([*own, *built_in]))

    def diode(self, name: str) -> DiodeType | None:
        """The diode type of that name; a builder's own wins. None when unknown."""
        if name in self._user_diodes:
            return self._user_diodes[name]
        data = load("diodes").get(name)
        return None if data is None else _built_in(read_diode, name, data)

    def diode_names(self) -> tuple[str, ...]:
        """Names of all diode types, the builder's own first."""
        return tuple(dict.fromkeys([*self._user_diodes, *load("diodes")]))

    def region(self, code: str) -> Region | None:
        """The mains region of that code (eu, uk, us, ca, au, jp), None when unknown."""
        data = load("regions").get(code)
        return None if data is None else _built_in(read_region, code, data)

    def region_codes(self) -> tuple[str, ...]:
        """The codes of all regions."""
        return tuple(load("regions"))

    def base(self, name: str) -> Base | None:
        """The tube base of that name (B7G, B9A, octal), None when unknown."""
        data = load("bases").get(name)
        return None if data is None else _built_in(read_base, name, data)

    def base_names(self) -> tuple[str, ...]:
        """The names of all tube bases."""
        return tuple(load("bases"))

    def sources(self) -> Mapping[str, str]:
        """Source tag -> what it stands for. A builder's own parts may name sources that are not in it."""
        return load("sources")

    def with_user_parts(self, trees: Iterable[TreeMapping]) -> tuple[Library, tuple[Diagnostic, ...]]:
        """This library with the parts of a builder's own files on top, and what is wrong with them. See parts/user.py."""
        from .user import read_user_parts

        tubes, diodes, diagnostics = read_user_parts(self, trees)
        return Library({**self._user_tubes, **tubes}, {**self._user_diodes, **diodes}), diagnostics


def _built_in(read: Any, name: str, data: Any) -> Any:
    faults: list[Fault] = []
    value = read(name, data, faults)
    if faults:
        raise LibraryError(f"{name}: {faults}")
    return value

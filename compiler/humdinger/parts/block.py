"""A mapping of a data file, read key by key: numbers with their sources into SI, faults collected with their place."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Mapping
from functools import partial
from typing import Any

from ..records import record
from .model import Cited

Path = tuple[str | int, ...]

SIGNED = frozenset({"vct", "grid_volts", "cutoff_grid_volts", "suppressor_volts"})
ZERO_ALLOWED = frozenset({"grid_volts", "suppressor_volts", "vct", "slope", "slope_volts", "beta"})

_UNITS = (
    ("kilohms", "ohms", 1e3, True),
    ("megohms", "ohms", 1e6, True),
    ("milliamps", "amps", 1e3, False),
    ("picofarads", "farads", 1e12, False),
    ("microfarads", "farads", 1e6, False),
)


def canonical(key: str) -> tuple[str, Callable[[float], float] | None]:
    """The SI name behind a key of the files, and what turns its number into SI (None: nothing to do).

    Rounded to 15 digits, so that 2.7 pF becomes the float that is written 2.7e-12.
    """
    if key == "transconductance_millisiemens":
        return "transconductance", lambda x: x / 1e3
    for unit, base, factor, multiply in _UNITS:
        if unit in key:
            return key.replace(unit, base), partial(_scale, factor, multiply)
    return key, None


def _scale(factor: float, multiply: bool, number: float) -> float:
    return float(f"{number * factor if multiply else number / factor:.15g}")


@record
class Fault:
    """Something wrong in a data file: where (keys and list indices from the root), which code, what, and the cure."""

    path: Path
    code: str
    message: str
    help: str = ""


class Block:
    """A mapping being read: hands out its values by their SI names, and knows which keys nobody asked for."""

    def __init__(self, data: Any, path: Path, faults: list[Fault], source: str = "") -> None:
        self.path = path
        self.faults = faults
        self.data: Mapping[str, Any] = data if isinstance(data, Mapping) else {}
        if not isinstance(data, Mapping):
            self.fault((), "SCH-061", f"{place(path)} must be a mapping, not {_what(data)}")
        self._names: dict[str, tuple[str, Callable[[float], float] | None]] = {}
        for key in self.data:
            name, scale = canonical(str(key))
            if name in self._names:
                self.fault((key,), "SCH-062", f"{name} is given twice in {place(path)}, as {self._names[name][0]} and as {key}")
            self._names[name] = (key, scale)
        self._asked: set[Any] = set()
        self._wanted: set[str] = set()
        self.source = self.text("source") or source

    def fault(self, more: Path, code: str, message: str, help: str = "") -> None:
        """Note a fault at a place below this block."""
        self.faults.append(Fault(self.path + more, code, message, help))

    def __contains__(self, name: str) -> bool:
        self._wanted.add(name)
        return name in self._names

    def raw(self, name: str) -> Any:
        """The value under an SI name as it stands in the file, None when absent."""
        self._wanted.add(name)
        entry = self._names.get(name)
        if entry is None:
            return None
        self._asked.add(entry[0])
        return self.data[entry[0]]

    def key(self, name: str) -> Any:
        """The key in the file behind an SI name."""
        return self._names[name][0] if name in self._names else name

    def text(self, name: str, default: str = "") -> str:
        """A text; a number is taken as it was written."""
        value = self.raw(name)
        if value is None:
            return default
        if isinstance(value, (Mapping, list)):
            self.fault((self.key(name),), "SCH-061", f"{self.key(name)} must be a text, not {_what(value)}")
            return default
        return str(value)

    def choice(self, name: str, allowed: Iterable[str], default: str = "") -> str:
        """A text out of a list; a fault, and the first allowed one, otherwise."""
        allowed = tuple(allowed)
        value = self.text(name, default)
        if value in allowed:
            return value
        if name not in self:
            self.fault((), "SCH-063", f"{place(self.path)} has no {name}", f"one of: {', '.join(allowed)}")
        else:
            self.fault((self.key(name),), "SCH-064", f"{name} '{value}' is not known", f"one of: {', '.join(allowed)}")
        return allowed[0]

    def flag(self, name: str) -> bool:
        """true or false."""
        value = self.raw(name)
        if value in (None, False, "false"):
            return False
        if value in (True, "true"):
            return True
        self.fault((self.key(name),), "SCH-064", f"{name} must be true or false, not '{value}'")
        return False

    def cited(self, name: str, required: bool = False) -> Cited | None:
        """A number with its source, in SI units."""
        value = self.raw(name)
        if value is None:
            if required:
                self.fault((), "SCH-063", f"{place(self.path)} has no {name}")
            return None
        return self._cited(name, value, (self.key(name),), self._names[name][1])

    def _cited(self, name: str, value: Any, at: Path, scale: Callable[[float], float] | None) -> Cited | None:
        source = self.source
        if isinstance(value, list):
            if len(value) != 2 or isinstance(value[1], (Mapping, list)):
                self.fault(at, "SCH-061", f"{at[-1]} must be a number or a pair [number, source]")
                return None
            value, source = value[0], str(value[1])
        number = to_number(value)
        if number is None:
            self.fault(at, "SCH-061", f"{at[-1]} must be a number, not {_what(value)}", _unit_hint(at[-1], value))
            return None
        if (number < 0 and name not in SIGNED) or (number == 0 and name not in ZERO_ALLOWED):
            self.fault(at, "SCH-064", f"{at[-1]} {number:g} must be above 0")
            return None
        if not source:
            self.fault(at, "SCH-065", f"{at[-1]} has no source", "write [value, source], or a source: in its block")
        return Cited(scale(number) if scale else number, source)

    def number(self, name: str) -> float | None:
        """A number that needs no source of its own (a count, an angle, a parameter), in SI units."""
        found = self.cited(name)
        return None if found is None else found.value

    def pins(self, name: str, count: int) -> tuple[int, ...]:
        """Pin numbers, one or a list, within the base."""
        value = self.raw(name)
        if value is None:
            return ()
        found = []
        for item in value if isinstance(value, list) else [value]:
            number = to_number(item)
            if number is None or number != int(number) or not 1 <= number <= count:
                self.fault((self.key(name),), "SCH-064", f"pin '{item}' of {name} is not on a base of {count} pins")
            else:
                found.append(int(number))
        return tuple(found)

    def texts(self, name: str) -> tuple[str, ...]:
        """A list of texts; one text stands for a list of one."""
        value = self.raw(name)
        if value is None:
            return ()
        return tuple(str(item) for item in (value if isinstance(value, list) else [value]))

    def block(self, name: str) -> Block:
        """The mapping under a key; an empty one when absent."""
        value = self.raw(name)
        return Block({} if value is None else value, (*self.path, self.key(name)), self.faults, self.source)

    def blocks(self, name: str) -> tuple[Block, ...]:
        """The list of mappings under a key."""
        value = self.raw(name)
        if value is None:
            return ()
        if not isinstance(value, list):
            self.fault((self.key(name),), "SCH-061", f"{name} must be a list, not {_what(value)}")
            return ()
        return tuple(Block(item, (*self.path, self.key(name), i), self.faults, self.source) for i, item in enumerate(value))

    def done(self) -> None:
        """Every key nobody asked for is a fault, with the nearest key that would have been read."""
        for key in self.data:
            if key not in self._asked:
                self.fault((key,), "SCH-066", f"unknown key '{key}' in {place(self.path)}", self._meant(str(key)))

    def _meant(self, word: str) -> str:
        from ..diagnostics import nearest

        spelled = [s for name in self._wanted for s in (name, *(name.replace(base, unit) for unit, base, *_ in _UNITS if base in name))]
        found = nearest(word, spelled)
        return f"did you mean {found}?" if found else ""


def to_number(value: Any) -> float | None:
    """A finite float, or None for anything that is not plainly a number."""
    if isinstance(value, bool) or value is None or isinstance(value, (Mapping, list)):
        return None
    try:
        number = float(value)
    except ValueError:
        return None
    return number if math.isfinite(number) else None


def place(path: Path) -> str:
    """A path as a reader of the file would say it."""
    return "/".join(str(p) for p in path) or "this file"


def _what(value: Any) -> str:
    if isinstance(value, Mapping):
        return "a mapping"
    if isinstance(value, list):
        return "a list"
    return f"'{value}'"


def _unit_hint(key: str | int, value: Any) -> str:
    text = str(value).strip()
    digits = text.rstrip("abcdefghijklmnopqrstuvwxyzABCDEFGHIJKLMNOPQRSTUVWXYZµΩ% ")
    if digits != text and to_number(digits) is not None:
        return f"the unit stands in the key: {key}: {digits}"
    return ""

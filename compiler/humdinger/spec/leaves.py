"""Reading one leaf: the text of a scalar, or a component written as a mapping, as a value of units/."""

from __future__ import annotations

import re
from collections.abc import Callable
from datetime import date
from functools import lru_cache
from typing import Any

from ..records import record
from ..source.tree import Scalar
from ..units import READERS, Capacitance, Potentiometer, Quantity, Resistance, SectionName, UnitFault, parse_quantity
from .grammar import Rule, plain
from .model import Block

_BARE = re.compile(r"[0-9.]+(?:[eE][+-]?[0-9]+)?")


@record
class Fault:
    """Why a leaf cannot be read, with the code it is reported under."""

    code: str
    rule: str
    reason: str
    cure: str


CODES = {
    "resistor": ("UNI-001", "unreadable-resistor"),
    "capacitor": ("UNI-002", "unreadable-capacitor"),
    "coupling": ("UNI-002", "unreadable-capacitor"),
    "farads": ("UNI-002", "unreadable-capacitor"),
    "pot": ("UNI-003", "unreadable-pot"),
    "fuse": ("UNI-004", "unreadable-fuse"),
    "contact": ("UNI-005", "unreadable-contact-rating"),
    "winding-volts": ("UNI-006", "unreadable-winding-volts"),
    "date": ("UNI-008", "no-such-date"),
}
"""Type word -> code; every other quantity is UNI-007."""

QUANTITY = ("UNI-007", "unreadable-quantity")

_DIMENSIONS = {"farads": "capacitance", "percent": "ratio", "level": "ratio", "ohms": "resistance"}
_NAMES = ("tube", "node", "id", "text", "word", "tube-type", "diode-type")
PARTS = ("resistor", "capacitor", "coupling", "pot")
"""Types that may also be written as a mapping."""


def read_leaf(scalar: Scalar, rule: Rule) -> Any:
    """A scalar that fits the schema as a value: str, int, float, bool, or what units/ makes of it; a Fault when its text means nothing."""
    kind = rule["x-type"]
    if kind in _NAMES:
        return scalar.text
    if kind in ("integer", "number", "boolean"):
        return plain(scalar, rule)
    if kind == "section":
        return SectionName(scalar.text.rstrip("abcdefghijklmnopqrstuvwxyz"), scalar.text.lstrip("V0123456789"))
    if kind == "date":
        return _date(scalar.text)
    if scalar.text in rule.get("x-words", ()):
        return scalar.text
    return _quantity(scalar.text, kind)


@lru_cache(maxsize=4096)
def _quantity(text: str, kind: str) -> Any:
    # Kept, because a spec says the same texts often and a rule's proposal lowers the whole spec once more; values are frozen.
    if kind == "frequency" and _BARE.fullmatch(text):
        text = f"{text} Hz"
    read: Any
    if kind in ("percent", "level"):
        read = _ratio(text, "%" if kind == "percent" else "dB")
    elif kind in _DIMENSIONS:
        read = parse_quantity(text, _DIMENSIONS[kind])
    else:
        read = READERS["capacitor" if kind == "coupling" else kind](text)
    if isinstance(read, UnitFault):
        return Fault(*CODES.get(kind, QUANTITY), read.reason, read.cure)
    return read


def _ratio(text: str, unit: str) -> Quantity | UnitFault:
    read = parse_quantity(text, "ratio")
    if isinstance(read, Quantity) and read.unit != unit:
        return UnitFault(f"'{text}' is not in {unit}", f"write it in {unit}")
    return read


def _date(text: str) -> str | Fault:
    try:
        date.fromisoformat(text)
    except ValueError:
        return Fault(*CODES["date"], f"there is no day {text}", "write year-month-day, like 2026-11-25")
    return text


def read_part(block: Block, kind: str) -> Any:
    """A component from the fields of its mapping, all of which were read without fault."""
    return _MAKERS[kind](block)


def _number(block: Block, key: str) -> float | None:
    found = block.get(key)
    return found.value if isinstance(found, Quantity) else None


def _tolerance(block: Block) -> float | None:
    percent = _number(block, "tolerance")
    return None if percent is None else percent / 100


def _resistance(block: Block) -> Resistance:
    return Resistance(
        ohms=block.get("value").value,
        watts=_number(block, "power"),
        tolerance=_tolerance(block),
        volts=_number(block, "volts"),
        technology=block.get("type"),
        part=block.get("part", ""),
    )


def _capacitance(block: Block) -> Capacitance:
    return Capacitance(
        farads=block.get("value").value,
        volts=_number(block, "rating"),
        tolerance=_tolerance(block),
        technology=block.get("type"),
        ripple_amps=_number(block, "ripple"),
        part=block.get("part", ""),
    )


def _potentiometer(block: Block) -> Potentiometer:
    return Potentiometer(
        ohms=block.get("value").value,
        taper=block.get("taper", "linear"),
        watts=_number(block, "power"),
        technology=block.get("type"),
        part=block.get("part", ""),
    )


_MAKERS: dict[str, Callable[[Block], Any]] = {
    "resistor": _resistance,
    "capacitor": _capacitance,
    "coupling": _capacitance,
    "pot": _potentiometer,
}

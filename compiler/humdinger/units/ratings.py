"""Reading the ratings printed on fuses and contacts."""

from __future__ import annotations

import re

from .fault import UnitFault, quote
from .quantity import parse_quantity
from .values import ContactRating, FuseRating, Quantity
from .words import ending, split_words

FUSE_SPEEDS = ("FF", "F", "M", "T", "TT")
"""IEC 60127 characteristics: very fast, fast, medium, time-lag, long time-lag (from memory)."""

BREAKING = ("L", "H", "E")
"""IEC 60127 breaking capacity of 5 x 20 mm fuses: low 35 A or ten times rated, high 1500 A, enhanced 150 A (from memory)."""

_PRINTED = re.compile(r"(FF|F|M|TT|T)([0-9.]+(?:m?A))(L|H|E)?([0-9.]+k?V)?(?:AC)?", re.IGNORECASE)
_FUSE_CURE = "write a fuse like T 500mA H 250V"


def parse_fuse(text: str) -> FuseRating | UnitFault:
    """`T 500mA H 250V`, or as printed on the cap: T500mAH250V. Speed and current are needed, the rest may be unsaid."""
    words = split_words(text)
    if isinstance(words, UnitFault):
        return words
    words = tuple(part for word in words for part in _unglue(word))
    found: dict[str, str | float] = {}
    for word in words:
        kind = _fuse_word(word)
        if isinstance(kind, UnitFault):
            return kind
        key, value = kind
        if key in found:
            return UnitFault(f"{quote(text)} gives its {key} twice", _FUSE_CURE)
        found[key] = value
    for key, why in (("current", "how much it carries"), ("speed", "how fast it is: T for time-lag, F for fast")):
        if key not in found:
            return UnitFault(f"the fuse {quote(text)} does not say {why}", _FUSE_CURE)
    volts = found.get("voltage")
    return FuseRating(
        str(found["speed"]), float(found["current"]), str(found.get("breaking capacity", "")), volts if isinstance(volts, float) else None
    )


def parse_contact(text: str) -> ContactRating | UnitFault:
    """`250 V 4 A`: what a switch, inlet or holder is rated for; the order is free."""
    words = split_words(text.replace("/", " ").replace(",", " "))
    if isinstance(words, UnitFault):
        return words
    found: dict[str, float] = {}
    for word in words:
        dimension = {"v": "voltage", "kv": "voltage", "a": "current", "ma": "current"}.get(ending(word).casefold())
        if not dimension:
            return UnitFault(f"{quote(word)} is neither volts nor amps", "write a rating like 250 V 4 A")
        read = parse_quantity(word, dimension)
        if isinstance(read, UnitFault):
            return read
        if dimension in found:
            return UnitFault(f"{quote(text)} gives its {dimension} twice", "write a rating like 250 V 4 A")
        found[dimension] = read.value
    for dimension in ("voltage", "current"):
        if not found.get(dimension):
            return UnitFault(f"the rating {quote(text)} has no {dimension}", "write a rating like 250 V 4 A")
    return ContactRating(found["voltage"], found["current"])


def _unglue(word: str) -> tuple[str, ...]:
    match = _PRINTED.fullmatch(word)
    return tuple(part for part in match.groups() if part) if match else (word,)


def _fuse_word(word: str) -> tuple[str, str | float] | UnitFault:
    if word in FUSE_SPEEDS:
        return "speed", word
    if word in BREAKING:
        return "breaking capacity", word
    dimension = {"v": "voltage", "kv": "voltage", "a": "current", "ma": "current"}.get(ending(word).casefold())
    if not dimension:
        known = {"slow": "T", "slo-blo": "T", "slow-blow": "T", "time-lag": "T", "fast": "F", "quick": "F", "t": "T", "f": "F"}
        letter = known.get(word.casefold())
        return UnitFault(f"{quote(word)} is not a word of a fuse", f"write {letter}" if letter else _FUSE_CURE)
    read = parse_quantity(word, dimension)
    if isinstance(read, Quantity) and read.value == 0:
        return UnitFault("a fuse of 0 A carries nothing", _FUSE_CURE)
    return read if isinstance(read, UnitFault) else (dimension, read.value)

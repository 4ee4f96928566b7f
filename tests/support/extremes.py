"""Good specs with extreme but legal component values: sound as texts, and mostly absurd as amps."""

from __future__ import annotations

import random
import re
from collections.abc import Callable, Iterator
from functools import partial
from typing import Any

from .mutate import BASES

_CAPACITOR = re.compile(r"(?<=[ \[])[0-9]+(?:\.[0-9]+)?[pnu][0-9]*(?=[ ,\]}\n])")
_PLAIN = (
    "resistor", "stopper", "{primary", ", secondary", "resistance", "plate_resistors", "bleeder", "load_resistor", "resistors", "through",
)  # fmt: skip
"""How a key ends whose value may be ohms without a letter."""
_RESISTOR = re.compile(
    r"(?<=[ \[])[0-9]+(?:\.[0-9]+)?[kM][0-9]*(?=[ ,\]}\n])(?! ohm)"
    + "".join(rf"|(?<={key}: )[0-9.]+(?=[ ,}}\n])(?! ?(?:ohm|V|A))" for key in _PLAIN)
    + r"|(?<=resistance: \[)[0-9.]+(?=[\],])"
)
_SECONDARY = re.compile(
    r"(?P<key>high_tension|bias): \{volts: (?P<ends>[0-9.]+-0-[0-9.]+ V|[0-9.]+ V)(?P<rest>[^}]*?)(?P<no_load>, no_load: [0-9.]+ V)?(?=\})"
)
_MAINS = re.compile(r"(?<=volts: )[0-9.]+ V(?=, hz)")
_HENRIES = re.compile(r"(?<=: )[0-9.]+ m?H(?=[,\s}])")
_AMPS = re.compile(r"(?<=current: )[0-9.]+ m?A")


def extremes(cases: int, name: str = "extreme", *, most_ohms: float = 10e9) -> Iterator[tuple[int, str]]:
    """(number, text) of so many specs; the text of a number never changes.

    1 ohm to 100 M (one in ten 0.1 milliohm to 10 G), 1 p to 0.1 F, windings 0.1 V to 2 kV, mains taps 1 V to 5 kV, 1 uH to 1000 H,
    1 mA to 100 A: all of it may be written.
    """
    for number in range(cases):
        chance = random.Random(f"{name} {number}")
        text = chance.choice(BASES)
        share = chance.choice((0.02, 0.05, 0.2, 1.0))
        kinds = chance.sample(_KINDS, chance.choice((1, 1, 2, 4)))
        for pattern, value in kinds:
            text = _replaced(text, pattern, partial(value, most_ohms) if value is _ohms else value, share, chance)
        yield number, text


def _replaced(
    text: str, pattern: re.Pattern[str], value: Callable[[re.Match[str], random.Random], str], share: float, chance: random.Random
) -> str:
    found = list(pattern.finditer(text))
    chosen = [m for m in found if chance.random() < share] or (found and [chance.choice(found)])
    for match in reversed(chosen):
        text = text[: match.start()] + value(match, chance) + text[match.end() :]
    return text


def _between(low: float, high: float, chance: random.Random) -> float:
    """Either end, or anything between, every decade alike."""
    end = chance.random()
    return low if end < 0.2 else high if end < 0.4 else low * (high / low) ** chance.random()


def written(value: float, prefixes: str, unit: str = "") -> str:
    """A number with three figures and the largest of the prefixes that leaves a digit before the point."""
    powers = {"G": 9, "M": 6, "k": 3, " ": 0, "m": -3, "u": -6, "n": -9, "p": -12}
    prefix = next((p for p in prefixes if value >= 0.9995 * 10.0 ** powers[p]), prefixes[-1])
    number = f"{value / 10.0 ** powers[prefix]:.3g}"
    return f"{float(number):g}{prefix.strip()}" if not unit else f"{float(number):g} {prefix.strip()}{unit}"


def _ohms(most: float, match: re.Match[str], chance: random.Random) -> str:
    return written(_between(1.0, 100e6, chance) if chance.random() < 0.9 else _between(1e-4, most, chance), "GMk ")


def _farads(match: re.Match[str], chance: random.Random) -> str:
    return written(_between(1e-12, 0.1, chance), "unp")


def _secondary(match: re.Match[str], chance: random.Random) -> str:
    """Other winding volts: both halves alike, the no-load volts above them or not given."""
    volts = float(f"{_between(0.1, 2000.0, chance):.4g}")
    ends = f"{volts:g}-0-{volts:g} V" if "-0-" in match["ends"] else f"{volts:g} V"
    no_load = chance.choice(("", f", no_load: {volts * chance.choice((1.0, 1.02, 1.2, 3.0)):.6g} V"))
    return f"{match['key']}: {{volts: {ends}{match['rest']}{no_load}"


def _mains(match: re.Match[str], chance: random.Random) -> str:
    return f"{_between(1.0, 5000.0, chance):.4g} V"


def _henries(match: re.Match[str], chance: random.Random) -> str:
    return written(_between(1e-6, 1000.0, chance), " mu", "H")


def _amps(match: re.Match[str], chance: random.Random) -> str:
    return written(_between(1e-3, 100.0, chance), " m", "A")


_KINDS: tuple[tuple[re.Pattern[str], Any], ...] = (
    (_RESISTOR, _ohms),
    (_CAPACITOR, _farads),
    (_SECONDARY, _secondary),
    (_MAINS, _mains),
    (_HENRIES, _henries),
    (_AMPS, _amps),
)

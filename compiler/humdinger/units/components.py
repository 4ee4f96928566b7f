"""Reading the short strings of the trade: a value first, then ratings and words in any order.

Each parser gives the dataclass of values.py, or a UnitFault. Tolerances are fractions: 5 % is 0.05.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable

from ..diagnostics import nearest
from .fault import UnitFault, quote
from .quantity import parse_quantity, tidy
from .values import Capacitance, Potentiometer, Quantity, Resistance, SectionName, WindingVolts
from .words import ending, fraction, split_words

RESISTOR_TYPES = ("film", "wirewound", "flameproof", "fusible", "carbon")
CAPACITOR_TYPES = ("electrolytic", "film", "ceramic", "mica", "class-X2", "class-Y2")
POT_TYPES = ("carbon", "wirewound", "cermet", "plastic")
TAPERS = ("linear", "audio", "reverse-audio")

TOLERANCE_LETTERS = {"B": 0.001, "C": 0.0025, "D": 0.005, "F": 0.01, "G": 0.02, "J": 0.05, "K": 0.1, "M": 0.2}
"""IEC 60062 tolerance letters (F and K read in checks.md 8.8, the others from memory)."""

_OTHER_NAMES = {
    "metal": "film", "metal-film": "film", "carbon-film": "film", "ww": "wirewound", "wire": "wirewound", "cement": "wirewound",
    "carbon-comp": "carbon", "composition": "carbon", "poly": "film", "polyester": "film", "polypropylene": "film",
    "mylar": "film", "elco": "electrolytic", "disc": "ceramic", "disk": "ceramic", "silver-mica": "mica",
    "log": "audio", "logarithmic": "audio", "lin": "linear", "antilog": "reverse-audio", "anti-log": "reverse-audio",
    "rev-log": "reverse-audio", "reverse-log": "reverse-audio",
}  # fmt: skip
_SHORT_NAMES = {"x2": "class-X2", "y2": "class-Y2"}

_Found = dict[str, "float | str"]
_Reader = Callable[[str], "tuple[str, float | str] | UnitFault | None"]


def parse_resistor(text: str) -> Resistance | UnitFault:
    """`100k 1W 5%`, `470 5W wirewound`, `4k7J`: value, then power, tolerance, working voltage, type in any order."""
    read = _component(text, "resistance", "a resistor", "100k 1W 5%", (_power, _tolerance, _volts, _word("type", RESISTOR_TYPES)))
    if isinstance(read, UnitFault):
        return read
    ohms, found = read
    return Resistance(ohms, _num(found, "power"), _num(found, "tolerance"), _num(found, "voltage"), _text(found, "type"))


def parse_capacitor(text: str) -> Capacitance | UnitFault:
    """`22u 63V`, `4n7 630V film 5%`: value, then voltage, tolerance, type in any order."""
    read = _component(text, "capacitance", "a capacitor", "22n 630V", (_volts, _tolerance, _word("type", CAPACITOR_TYPES)))
    if isinstance(read, UnitFault):
        return read
    farads, found = read
    return Capacitance(farads, _num(found, "voltage"), _num(found, "tolerance"), _text(found, "type"))


def parse_pot(text: str) -> Potentiometer | UnitFault:
    """`1M audio`, `25k linear 0.5W`: value of the whole track, then taper (linear when unsaid), power, type in any order."""
    words = split_words(text)
    if not isinstance(words, UnitFault):
        lettered = next((w for w in words if re.fullmatch(r"[ABC]([0-9].*)?|[0-9.]+[kKM][0-9]*[ABC]", w)), None)
        if lettered:
            return UnitFault(
                f"the taper letter in {quote(lettered)} means different tapers to different makers", "write linear, audio or reverse-audio"
            )
    readers = (_word("taper", TAPERS), _power, _word("type", POT_TYPES))
    read = _component(text, "resistance", "a pot", "1M audio", readers)
    if isinstance(read, UnitFault):
        return read
    ohms, found = read
    return Potentiometer(ohms, _text(found, "taper") or "linear", _num(found, "power"), _text(found, "type"))


WIREWOUND_WATTS = 4.0
"""Film resistors on the shelf end at 3 W (common practice)."""


def default_resistor_type(resistor: Resistance) -> str:
    """The type of a resistor that says none: wirewound from 4 W up, else film (common practice)."""
    if resistor.technology:
        return resistor.technology
    return "wirewound" if (resistor.watts or 0.0) >= WIREWOUND_WATTS else "film"


def default_capacitor_type(capacitor: Capacitance) -> str:
    """The type of a capacitor that says none: electrolytic from 1 µF up, else film (common practice).

    Whether it has a rating does not matter: a plus end that is not marked gets soldered the wrong way round.
    """
    if capacitor.technology:
        return capacitor.technology
    return "electrolytic" if capacitor.farads >= 0.999e-6 else "film"


def parse_winding_volts(text: str) -> WindingVolts | UnitFault:
    """`220-0-220 V` (centre-tapped; volts of one half) or `210 V`."""
    plain = tidy(text).replace("–", "-")
    match = re.fullmatch(r"([0-9.]+)\s*V?\s*-\s*0\s*V?\s*-\s*([0-9.]+)\s*(\S*)", plain)
    if not match:
        if re.match(r"0\s*-\s*[0-9.]", plain):
            return UnitFault(f"{quote(text)} is not how a winding is written", f"write {plain.split('-', 1)[1].strip()}")
        if re.search(r"\bC\.?T\b", plain, re.IGNORECASE):
            return UnitFault(f"{quote(text)} leaves open whether it is the whole winding or a half", "write the halves: 220-0-220 V")
        read = parse_quantity(plain, "voltage")
        return read if isinstance(read, UnitFault) else WindingVolts(read.value, centre_tapped=False)
    halves = [parse_quantity(f"{half} {match[3]}", "voltage") for half in (match[1], match[2])]
    for half in halves:
        if isinstance(half, UnitFault):
            return half
    low, high = (half.value for half in halves if isinstance(half, Quantity))
    if low != high:
        return UnitFault(
            f"{quote(text)} has unequal halves, {match[1]} and {match[2]} V", "a centre-tapped winding has equal halves; check the figures"
        )
    return WindingVolts(low, centre_tapped=True)


def parse_section(text: str) -> SectionName | UnitFault:
    """`V1a` is a section of V1, `V3` the whole tube. Sections: a, b; t and p of a triode-pentode."""
    plain = tidy(text)
    match = re.fullmatch(r"(V[0-9]{1,3})([abtp]?)", plain)
    if match:
        return SectionName(match[1], match[2])
    loose = re.fullmatch(r"[vV][\s_.\-]*([0-9]{1,3})[\s_.\-]*([abtpABTP]?)", plain)
    cure = f"write V{loose[1]}{loose[2].lower()}" if loose else "write a tube like V4, or a section of it like V1a"
    return UnitFault(f"{quote(text)} is not a tube or a section of one", cure)


def _component(text: str, dimension: str, name: str, example: str, readers: tuple[_Reader, ...]) -> tuple[float, _Found] | UnitFault:
    """The value and what the other words say, by what each reader calls its finding."""
    words = split_words(text)
    if isinstance(words, UnitFault):
        return words
    if not words:
        return UnitFault(f"{name} is missing", f"write {name} like {example}")
    value, tolerance = _lettered(words[0], dimension)
    read = parse_quantity(value, dimension)
    if isinstance(read, UnitFault):
        return _value_not_first(words, dimension, read, name, example)
    found: _Found = {"tolerance": tolerance} if tolerance else {}
    for word in words[1:]:
        kind = _classify(word, readers, name)
        if isinstance(kind, UnitFault):
            return kind
        key, meaning = kind
        if key in found:
            return UnitFault(f"{quote(text)} gives its {key} twice", f"leave one {key} in")
        found[key] = meaning
    return read.value, found


def _classify(word: str, readers: tuple[_Reader, ...], name: str) -> tuple[str, float | str] | UnitFault:
    for reader in readers:
        kind = reader(word)
        if kind is not None:
            return kind
    known = [choice for reader in readers for choice in getattr(reader, "choices", ())]
    meant = _OTHER_NAMES.get(word.casefold())
    meant = meant if meant in known else nearest(word, known)
    if meant:
        return UnitFault(f"{quote(word)} is not a word of {name}", f"did you mean {meant}?")
    return UnitFault(f"{quote(word)} is not a word of {name}", f"words of {name}: {', '.join(known)}")


def _value_not_first(words: tuple[str, ...], dimension: str, fault: UnitFault, name: str, example: str) -> UnitFault:
    for word in words[1:]:
        if re.match(r"[0-9]|[RrkKM][0-9]", word) and not isinstance(parse_quantity(word, dimension), UnitFault):
            return UnitFault(f"{quote(words[0])} stands before the value {word}", f"put the value first, as in {example}")
    return fault


def _lettered(word: str, dimension: str) -> tuple[str, float | None]:
    """Split the tolerance letter of IEC 60062 off a letter code: 4k7J. In a capacitor F is the farad."""
    match = re.fullmatch(r"([0-9]*[RkKM][0-9]*|[0-9]*[pnuµm][0-9]*)([BCDFGJKM])", word)
    if not match or not re.search(r"[0-9]", match[1]):
        return word, None
    resistor = match[1].strip("0123456789") in "RkKM"
    if resistor != (dimension == "resistance") or (dimension == "capacitance" and match[2] == "F"):
        return word, None
    return match[1], TOLERANCE_LETTERS[match[2]]


def _power(word: str) -> tuple[str, float | str] | UnitFault | None:
    decimal = fraction(word)
    return _rating(decimal, "power") if ending(decimal) in ("W", "w", "mW", "mw", "kW") else None


def _volts(word: str) -> tuple[str, float | str] | UnitFault | None:
    return _rating(word, "voltage") if ending(word) in ("V", "v", "kV", "kv", "KV") else None


def _rating(word: str, dimension: str) -> tuple[str, float | str] | UnitFault:
    read = parse_quantity(word, dimension)
    return read if isinstance(read, UnitFault) else (dimension, read.value)


def _tolerance(word: str) -> tuple[str, float | str] | UnitFault | None:
    if not word.endswith("%"):
        return None
    read = parse_quantity(word.lstrip("±").removeprefix("+/-"), "ratio")
    if isinstance(read, UnitFault):
        return read
    if not 0 < read.value <= 100:
        return UnitFault(f"a tolerance of {quote(word)} makes no sense", "write a tolerance like 5%")
    # 5/100 and not 5*0.01, so that 5 % is the float 0.05.
    return "tolerance", read.value / 100


def _word(key: str, choices: Iterable[str]) -> _Reader:
    """A reader for one of a few words."""
    known = tuple(choices)

    def read(word: str) -> tuple[str, float | str] | None:
        plain = _SHORT_NAMES.get(word.casefold(), word).casefold()
        return next(((key, choice) for choice in known if choice.casefold() == plain), None)

    read.choices = known  # type: ignore[attr-defined]
    return read


def _num(found: _Found, key: str) -> float | None:
    value = found.get(key)
    return value if isinstance(value, float) else None


def _text(found: _Found, key: str) -> str | None:
    value = found.get(key)
    return value if isinstance(value, str) else None

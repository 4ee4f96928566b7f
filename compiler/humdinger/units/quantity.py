"""Reading one quantity: a number, perhaps an SI prefix, perhaps a unit; or an IEC 60062 letter code."""

from __future__ import annotations

import re

from .dimension import DIMENSIONS, PREFIXES, Dimension
from .fault import LONGEST_TEXT, UnitFault, quote
from .values import Quantity

_NUMBER = r"(?P<sign>[+\-−]?)(?P<mantissa>[0-9]+(?:\.[0-9]*)?|\.[0-9]+)(?:[eE](?P<exponent>[+\-]?[0-9]{1,3}))?"
_PLAIN = re.compile(_NUMBER + r"\s*(?P<unit>[^\s0-9.+\-].*)?")
_CODE = re.compile(r"(?P<whole>[0-9]*)(?P<letter>[A-DF-Za-df-zµΩ])(?P<part>[0-9]+)\s*(?P<unit>[^\s0-9.].*)?")
_SAME_LETTER = str.maketrans({"\u03bc": "\u00b5", "\u2126": "\u03a9", "\u00b2": "2", "\u00a0": " "})
_OLD_WORDS = {"mfd": "u", "mf": "u", "uf": "u", "mmfd": "p", "mmf": "p", "uuf": "p"}


def parse_quantity(text: str, dimension: str, *, signed: bool = False) -> Quantity | UnitFault:
    """Read a text as a quantity of a dimension (a key of DIMENSIONS) and give it in SI.

    With `signed` zero and negative values are honest (a grid's -38 V); otherwise only the dimensions that say so
    take them. Decibels, percent, °C and VA keep their own symbol in `unit`. A fault has the reason and the cure.
    """
    want = DIMENSIONS[dimension]
    plain = tidy(text)
    fault = _hopeless(plain, text, want)
    if fault:
        return fault
    found = _read_code(plain, want) or _read_plain(plain, want)
    if isinstance(found, UnitFault):
        return found
    return _in_bounds(found, plain, want, signed)


def tidy(text: str) -> str:
    """The text with look-alike letters made one (µ, Ω, ²) and outer blanks gone."""
    return text.translate(_SAME_LETTER).strip()


def _hopeless(plain: str, text: str, want: Dimension) -> UnitFault | None:
    """The texts no amount of unit knowledge can save."""
    cure = f"write {want.article} like {want.example}"
    if not plain:
        return UnitFault(f"{want.article} is missing", cure)
    if len(plain) > LONGEST_TEXT:
        return UnitFault(f"{quote(text)} is too long for {want.article}", cure)
    if re.search(r"[0-9],[0-9]", plain):
        return UnitFault(f"{quote(text)} has a comma", _comma_cure(plain))
    if re.fullmatch(r"[+\-.]*(nan|inf|infinity)\b.*", plain, re.IGNORECASE):
        return UnitFault(f"{quote(text)} is not a number", cure)
    if re.match(r"[+\-]?0[0-9]", plain):
        right = re.sub(r"^([+\-]?)0+(?=[0-9])", r"\1", plain)
        return UnitFault(f"{quote(text)} starts with a zero, which some programs read as octal", f"write {right}")
    if re.fullmatch(r"[0-9]+(:[0-9]+)+", plain):
        return UnitFault(f"{quote(text)} is not {want.article}", cure)
    return None


def _comma_cure(plain: str) -> str:
    """What to write for a number with a comma. Three digits behind a single comma may be thousands or decimals: both are said."""
    point = plain.replace(",", ".")
    match = re.fullmatch(r"([^,]*),([0-9]+)([^0-9,].*)?", plain)
    if match is None:
        return "write the decimal with a point, and thousands without a comma"
    decimal = f"write {point}, with a decimal point"
    return f"{decimal}; or {plain.replace(',', '')} if thousands are meant" if len(match[2]) == 3 else decimal


def _read_code(plain: str, want: Dimension) -> Quantity | UnitFault | None:
    """The letter code of IEC 60062, where the letter stands for the decimal point: 4k7, R47, 2M2, 4n7, 6V3."""
    match = _CODE.fullmatch(plain)
    if not match or not want.letter:
        return None
    letter, tail = match["letter"], match["unit"] or ""
    if letter.upper() == want.letter or (letter == "Ω" and want.letter == "R"):
        exponent, complete = 0, True
    elif letter in PREFIXES and _prefix_of(letter) in want.prefixes:
        exponent, complete = PREFIXES[letter], want.code_needs_no_unit
    else:
        return UnitFault(f"{quote(plain)} is not {want.article}: the letter {letter} has no meaning in it", _shape(want))
    if tail and not _is_unit(tail, want):
        return _unknown_unit(plain, tail, want)
    if not tail and not complete:
        return UnitFault(f"{quote(plain)} has no unit", f"write {plain}{want.symbol}")
    if letter == "m" and want.letter == "R" and not tail:
        return _milli(plain)
    return Quantity(float(f"{match['whole'] or '0'}.{match['part']}e{exponent}"), want.symbol)


def _read_plain(plain: str, want: Dimension) -> Quantity | UnitFault:
    match = _PLAIN.fullmatch(plain)
    if not match:
        return UnitFault(f"{quote(plain)} is not {want.article}", _shape(want))
    unit = (match["unit"] or "").strip()
    number = f"{'-' if match['sign'] in ('-', '−') else ''}{match['mantissa']}"
    power = int(match["exponent"] or 0)
    if not unit:
        if not want.bare:
            return UnitFault(f"{quote(plain)} has no unit", _bare_cure(plain, want))
        return Quantity(_scaled(number, power), want.symbol)
    known = want.fixed.get(unit.replace("µ", "u")) or want.fixed.get(unit.replace("µ", "u").casefold())
    if known:
        symbol, exponent, factor = known
        return Quantity(_scaled(number, power + exponent) * factor, symbol)
    exponent = _exponent_of(unit, want)
    if exponent is None:
        return _unknown_unit(plain, unit, want)
    if unit == "m" and want.letter == "R":
        return _milli(plain)
    return Quantity(_scaled(number, power + exponent), want.symbol)


def _scaled(number: str, exponent: int) -> float:
    # Through the text, so that 22n is the float nearest to 22e-9 and not 22 times the float nearest to 1e-9.
    return float(f"{number}e{exponent}")


def _prefix_of(letter: str) -> str:
    return {"µ": "u", "K": "k"}.get(letter, letter)


def _exponent_of(unit: str, want: Dimension) -> int | None:
    """The power of ten of a prefix with or without its unit; None when it is neither."""
    if unit.casefold() in (word.casefold() for word in want.words):
        return 0
    prefix, rest = unit[0], unit[1:].strip()
    if prefix not in PREFIXES or _prefix_of(prefix) not in want.prefixes:
        return None
    if rest:
        return PREFIXES[prefix] if rest.casefold() in (word.casefold() for word in want.words) else None
    return PREFIXES[prefix] if want.code_needs_no_unit else None


def _is_unit(tail: str, want: Dimension) -> bool:
    return tail.strip().casefold() in (word.casefold() for word in want.words)


def _shape(want: Dimension) -> str:
    return f"write {want.article} like {want.example}"


def _bare_cure(plain: str, want: Dimension) -> str:
    if want.name == "capacitance":
        return f"say which: {plain}p, {plain}n or {plain}u"
    if want.name == "length":
        return f"say which: {plain} mm or {plain} in"
    if want.name == "ratio":
        return f"say which: {plain} dB or {plain} %"
    if want.name in ("current", "inductance", "time"):  # both are met in an amp: the wrong guess is a factor of a thousand
        return f"{want.article} needs its unit: {plain} m{want.symbol} or {plain} {want.symbol}?"
    if want.name == "area":
        return f"write {plain} mm2"
    return f"write {plain} {want.symbol}"


def _milli(plain: str) -> UnitFault:
    number = plain.replace("m", "M").replace(" ", "")
    return UnitFault(
        f"{quote(plain)} would be thousandths of an ohm", f"write {number} for megohms; if milliohms are meant, say {plain}ohm"
    )


def _unknown_unit(plain: str, unit: str, want: Dimension) -> UnitFault:
    old = _OLD_WORDS.get(unit.casefold())
    number = plain[: len(plain) - len(unit)].strip()
    if want.name == "capacitance" and old:
        return UnitFault(f"{quote(unit)} is not a unit of {want.article} here", f"write {number}{old}")
    if want.name == "resistance" and unit.casefold() in ("meg", "megohm", "megohms"):
        return UnitFault(f"{quote(unit)} is not a unit of {want.article} here", f"write {number}M")
    head = unit[0]
    for swapped in (head.lower(), head.upper()):
        if swapped != head and _prefix_of(head) not in want.prefixes and _exponent_of(swapped + unit[1:], want) is not None:
            return UnitFault(f"the prefix {head} is not known before {want.article}", f"did you mean {number}{swapped}{unit[1:]}?")
    other = next((d for d in DIMENSIONS.values() if d is not want and _belongs(unit, d)), None)
    if other and unit not in PREFIXES:
        return UnitFault(f"{quote(plain)} is {other.article}, not {want.article}", _shape(want))
    return UnitFault(f"{quote(unit)} is not a unit of {want.article}", _shape(want))


def _belongs(unit: str, dimension: Dimension) -> bool:
    return _exponent_of(unit, dimension) is not None or unit.casefold() in dimension.fixed


def _in_bounds(found: Quantity, plain: str, want: Dimension, signed: bool) -> Quantity | UnitFault:
    size = abs(found.value)
    if found.value < 0 and not (signed or want.may_be_negative):
        return UnitFault(f"{quote(plain)} is negative, which no such value can be", "leave out the minus sign")
    if size == 0 and not (signed or want.may_be_zero):
        return UnitFault(f"{quote(plain)} is zero, which no such value can be", "write the value, or leave the key out")
    absolute_zero = want.name == "temperature" and found.value < -273.15
    if size > want.high or absolute_zero or 0 < size < want.low:
        hint = "did you mean M instead of m?" if "m" in plain and size < want.low else "check the prefix"
        if "M" in plain and size > want.high:
            hint = "did you mean m instead of M?"
        return UnitFault(f"{quote(plain)} is far outside what {want.article} in an amp can be", hint)
    if want.name == "capacitance" and size > 0.01 and "m" in plain:
        micro = re.sub(r"\s*m.*", "u", plain)
        return UnitFault(
            f"{quote(plain)} is {size * 1e6:.0f} µF", f"if microfarads are meant, write {micro}; if not, write {size * 1e6:.0f}u"
        )
    return found

"""Cutting a component text into words: numbers keep the unit that follows them after a blank."""

from __future__ import annotations

import re

from .fault import LONGEST_TEXT, UnitFault, quote
from .quantity import tidy

_NUMBER = re.compile(r"[+±]?(?:[0-9]+(?:\.[0-9]*)?|\.[0-9]+|[0-9]+/[0-9]+)")
_UNIT = re.compile(r"[pnuµmkKMG]?(?:V|A|W|F|H|Hz|Ω|ohms?|R|VA)|[pnuµmkKMG]|%", re.IGNORECASE)
MOST_WORDS = 12


def split_words(text: str) -> tuple[str, ...] | UnitFault:
    """The words of a component text: `100 k 1 W ±5 %` gives 100k, 1W, ±5%."""
    plain = tidy(text)
    if len(plain) > LONGEST_TEXT:
        return UnitFault(f"{quote(text)} is too long for a component", "a component is a few words, like 100k 1W 5%")
    words: list[str] = []
    for word in plain.split():
        if words and _NUMBER.fullmatch(words[-1]) and _UNIT.fullmatch(word):
            words[-1] += word
        elif words and words[-1] in ("±", "+/-"):
            words[-1] = f"±{word}"
        else:
            words.append(word)
    if len(words) > MOST_WORDS:
        return UnitFault(f"{quote(text)} has too many words", "a component is a few words, like 100k 1W 5%")
    return tuple(words)


def fraction(word: str) -> str:
    """`1/2W` and `½W` as decimals, as power ratings are written in the trade."""
    for sign, decimal in (("½", "0.5"), ("¼", "0.25"), ("⅛", "0.125"), ("1/2", "0.5"), ("1/4", "0.25"), ("1/8", "0.125")):
        if word.startswith(sign):
            return decimal + word[len(sign) :]
    return word


def ending(word: str) -> str:
    """The letters a word ends on, which say what kind of rating it is."""
    match = re.fullmatch(r"[+\-±]?[0-9.]+(?:[eE][+\-]?[0-9]+)?([^0-9.].*)", word)
    return match[1] if match else ""

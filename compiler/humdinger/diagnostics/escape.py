"""User text on its way to a terminal: no control sequences, and columns that come out right."""

from __future__ import annotations

import re

TAB = 4

# C0, DEL, C1, the marks that turn the reading direction, line separators, the byte order mark, lone surrogates.
_UNSAFE = re.compile(r"[\x00-\x1f\x7f-\x9f\u061c\u200e\u200f\u2028-\u202e\u2066-\u2069\ufeff\ud800-\udfff]")


def printable(text: str) -> str:
    """The text with every character that could act on a terminal written out, as \\x1b."""
    return _UNSAFE.sub(lambda match: _written(match[0]), text)


def cells(line: str) -> tuple[list[str], list[int]]:
    """What is shown for each character of a source line, and the screen column (from 0) where it begins, plus the end.

    Tabs go to the next stop, wide characters take two columns, combining ones none.
    """
    if line.isascii() and line.isprintable():
        return list(line), list(range(len(line) + 1))
    pieces: list[str] = []
    starts: list[int] = []
    column = 0
    for char in line:
        starts.append(column)
        piece = " " * (TAB - column % TAB) if char == "\t" else printable(char)
        pieces.append(piece)
        column += len(piece) if len(piece) != 1 else _width(piece)
    starts.append(column)
    return pieces, starts


def _written(char: str) -> str:
    number = ord(char)
    return f"\\x{number:02x}" if number < 0x100 else f"\\u{number:04x}"


def _width(char: str) -> int:
    if char.isascii():
        return 1
    import unicodedata

    if unicodedata.category(char) in ("Mn", "Me", "Cf"):
        return 0
    return 2 if unicodedata.east_asian_width(char) in ("W", "F") else 1

"""From bytes to text that is fit for YAML: encoding, byte order mark, size, invisible characters."""

from __future__ import annotations

import re
from itertools import islice

from ..diagnostics import Diagnostic
from .faults import at, fault

LARGEST_FILE = 256 * 1024
MOST_SHOWN = 5

_LINE_END = re.compile(r"\r\n|\n")

# C0 and C1 controls but tab and line ends, a carriage return on its own, YAML's odd line ends, marks that turn the
# reading direction (they make a line look other than it is), the byte order mark, non-characters.
UNFIT = re.compile(r"[\x00-\x08\x0b\x0c\x0e-\x1f\x7f-\x9f\u2028\u2029\u202a-\u202e\u2066-\u2069\ufeff\ufffe\uffff]|\r(?!\n)")


def decode(path: str, data: bytes) -> tuple[str | None, str, tuple[Diagnostic, ...]]:
    """The text of a file: (text for YAML or None, text for the renderers, diagnostics)."""
    if len(data) > LARGEST_FILE:
        shown = data[:4096].decode("utf-8", "replace")
        message = f"the file is larger than {LARGEST_FILE // 1024} KiB"
        return None, shown, (fault("SRC-002", message, at(path, 1, 1), cure="a spec is a few pages; move data elsewhere"),)
    found: list[Diagnostic] = []
    if data.startswith(b"\xef\xbb\xbf"):
        data = data[3:]
        message = "the file starts with a byte order mark, which is ignored"
        found.append(fault("SRC-004", message, at(path, 1, 1), cure="save it as UTF-8 without a byte order mark"))
    try:
        text = data.decode("utf-8")
    except UnicodeDecodeError as error:
        shown = data.decode("utf-8", "replace")
        line, column = place(data[: error.start].decode("utf-8"), len(data))
        message = f"the file is not UTF-8: byte 0x{data[error.start]:02x} begins no character"
        cure = "save the file as UTF-8" + (" (this one looks like UTF-16)" if data[:2] in (b"\xff\xfe", b"\xfe\xff") else "")
        return None, shown, (*found, fault("SRC-003", message, at(path, line, column), cure=cure))
    unfit = [fault_of(path, text, match) for match in islice(UNFIT.finditer(text), MOST_SHOWN)]
    return (None if unfit else text), text, (*found, *unfit)


def fault_of(path: str, text: str, match: re.Match[str]) -> Diagnostic:
    """The diagnostic of one character that may not be there."""
    line, column = place(text, match.start())
    name = {"\r": "a carriage return on its own", "\x00": "a NUL character"}.get(match[0], f"the control character U+{ord(match[0]):04X}")
    return fault("SRC-005", f"the file has {name}", at(path, line, column), cure="delete it; a spec is plain text")


def place(text: str, index: int) -> tuple[int, int]:
    """Line and column, from 1, of a place in a text."""
    before = text[:index]
    ends = list(_LINE_END.finditer(before))
    return len(ends) + 1, len(before) - (ends[-1].end() if ends else 0) + 1


def split_lines(text: str) -> list[str]:
    """The lines of a text as YAML counts them here: \\n and \\r\\n end a line, nothing else does."""
    return _LINE_END.split(text)

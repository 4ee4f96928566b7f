"""Expected findings, written as comments on the lines they are about.

    plate_lode: 100k  # error: [SCH-002] "plate_lode"

severity, code, and a piece of the message in quotes (the quotes may be left out with the piece). Several comments may share a line, each
begun by `#`. A comment that stands on a line of its own is about the next line that is none;
`# anywhere error: [SRC-007]` is about any place. A missing and an unexpected finding are both failures.
"""

from __future__ import annotations

import re
from collections.abc import Iterable
from pathlib import Path
from typing import NamedTuple

from humdinger.diagnostics import Diagnostic

CORPUS = Path(__file__).resolve().parents[1] / "corpus"

_COMMENT = re.compile(r'#\s*(danger|error|warning|info):\s*\[([A-Z]{2,3}-[0-9]{3})\](?:\s*"([^"]*)")?')
_ANYWHERE = re.compile(r'#\s*anywhere\s+(danger|error|warning|info):\s*\[([A-Z]{2,3}-[0-9]{3})\](?:\s*"([^"]*)")?')


class Expected(NamedTuple):
    """One expected finding; line 0 is a finding without a place, or one whose line cannot carry a comment (`# anywhere error: [...]`)."""

    line: int
    severity: str
    code: str
    substring: str


def expectations(text: str) -> list[Expected]:
    """The findings a corpus file expects, in the order of its lines."""
    found: list[Expected] = []
    waiting: list[tuple[str, str, str]] = []
    for number, line in enumerate(text.split("\n"), 1):
        found.extend(Expected(0, *_read(match)) for match in _ANYWHERE.finditer(line))
        here = [_read(match) for match in _COMMENT.finditer(line)]
        if line.lstrip().startswith("#"):
            waiting.extend(here)
            continue
        found.extend(Expected(number, *one) for one in (*waiting, *here))
        waiting = []
    return found


def _read(match: re.Match[str]) -> tuple[str, str, str]:
    return match[1], match[2], match[3] or ""


def mismatches(expected: Iterable[Expected], diagnostics: Iterable[Diagnostic], *, file: str | None = None) -> list[str]:
    """What was expected and not found, and what was found and not expected. file: findings in other files count as line 0."""
    left = list(expected)
    wrong: list[str] = []
    for diagnostic in diagnostics:
        line = _line(diagnostic, file)
        match = next((one for one in left if _fits(one, diagnostic, line)), None)
        if match:
            left.remove(match)
        else:
            wrong.append(f"not expected: line {line}: {diagnostic.severity.value}: [{diagnostic.code}] {diagnostic.message}")
    wrong.extend(f"not found: line {one.line}: {one.severity}: [{one.code}] {one.substring}" for one in left)
    return wrong


def _line(diagnostic: Diagnostic, file: str | None) -> int:
    label = diagnostic.primary
    if label is None or (file is not None and label.span.file != file):
        return 0
    return label.span.line


def _fits(one: Expected, diagnostic: Diagnostic, line: int) -> bool:
    return (
        one.line in (0, line)
        and one.severity == diagnostic.severity.value
        and one.code == diagnostic.code
        and one.substring in diagnostic.message
    )

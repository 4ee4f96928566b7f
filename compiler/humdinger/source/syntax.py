"""What the YAML reader stumbled over, in words of ours."""

from __future__ import annotations

from typing import Any

from ..diagnostics import Diagnostic, Label, Span
from .faults import at, fault

# Part of the reader's message -> (ours, cure, words for the place where the construct began, whether to point there).
# Both readers are covered: the C one and the slower one in Python word some faults in their own ways.
_KNOWN: tuple[tuple[str, str, str, str, bool], ...] = (
    (
        "mapping values are not allowed",
        "a ': ' stands where no key can be",
        "check the indentation of this line; a text that has ': ' in it needs quotes",
        "",
        False,
    ),
    ("could not find expected ':'", "this is neither a key nor a value: the ':' is missing", "write `key: value`", "", True),
    (
        "did not find expected key",
        "the line does not fit the indentation above it",
        "line it up with the other keys of its mapping, or quote the value above if it goes on",
        "the mapping begins here",
        False,
    ),
    (
        "expected <block end>",
        "the line does not fit the indentation above it",
        "line it up with its neighbours, or quote the value above if it goes on",
        "the block begins here",
        False,
    ),
    (
        "did not find expected '-'",
        "the line does not fit the list above it",
        "line it up with the other '-'",
        "the list begins here",
        False,
    ),
    (
        "did not find expected ',' or ']'",
        "a list is not closed, or a comma is missing",
        "put in the ',' or the ']'",
        "the list begins here",
        False,
    ),
    (
        "did not find expected ',' or '}'",
        "a mapping is not closed, or a comma is missing",
        "put in the ',' or the '}'",
        "the mapping begins here",
        False,
    ),
    ("expected ',' or ']'", "a list is not closed, or a comma is missing", "put in the ',' or the ']'", "the list begins here", False),
    (
        "expected ',' or '}'",
        "a mapping is not closed, or a comma is missing",
        "put in the ',' or the '}'",
        "the mapping begins here",
        False,
    ),
    ("found unexpected end of stream", "a quote is not closed", "put the closing quote in", "", True),
    ("found unexpected document indicator", "a quote is not closed", "put the closing quote in", "", True),
    (
        "unknown escape",
        "a backslash in double quotes begins no known escape",
        "use single quotes, which take backslashes as they are",
        "",
        False,
    ),
    ("invalid Unicode", "an escape in double quotes gives no character", "write the character itself", "", False),
    ("block sequence entries are not allowed", "a list item cannot stand here", "begin the list on a line of its own", "", False),
    ("sequence entries are not allowed", "a list item cannot stand here", "begin the list on a line of its own", "", False),
    ("expected alphabetic or numeric", "'&' and '*' begin an anchor or an alias", "put the text in quotes", "", True),
    ("expected <document start>", "the text goes on after the document has ended", "check the indentation of this line", "", False),
)


def explain_error(error: Any, path: str, lines: list[str]) -> Diagnostic:
    """One diagnostic of a YAMLError; `lines` are the lines of the file."""
    mark = getattr(error, "problem_mark", None)
    start = getattr(error, "context_mark", None)
    problem = str(getattr(error, "problem", None) or "")
    span = _span(mark or start, path, lines)
    tab = _tab(mark, lines)
    if tab is not None:
        place = at(path, tab[0] + 1, tab[1] + 1)
        return fault("SRC-008", "a tab is used for indentation", place, cure="use two blanks for each step")
    if "cannot start any token" in problem and span:
        found = _char(mark, lines)
        return fault("SRC-007", f"a value cannot begin with {found}", span, cure="put the value in quotes")
    for part, message, cure, began, points_at_start in _KNOWN:
        if part in problem:
            if points_at_start and start is not None:
                span = _span(start, path, lines)
            others = (Label(_span(start, path, lines), began),) if began and start is not None else ()
            return fault("SRC-007", message, span, cure=cure, others=tuple(o for o in others if o.span != span))
    detail = problem.replace("\n", " ") or "the reader gave up"
    return fault("SRC-007", f"this is not YAML: {detail}", span or at(path, 1, 1), cure="check quotes, brackets and indentation")


def _span(mark: Any, path: str, lines: list[str]) -> Span:
    """One character at a mark; the last character there is when the mark lies behind the end."""
    line, column = (mark.line, mark.column) if mark is not None else (0, 0)
    line = min(line, len(lines) - 1)
    if mark is not None and (mark.line > line or (not lines[line].strip() and line > 0)):
        while line > 0 and not lines[line].strip():
            line -= 1
        column = max(0, len(lines[line].rstrip()) - 1)
    return at(path, line + 1, min(column, len(lines[line])) + 1)


def _tab(mark: Any, lines: list[str]) -> tuple[int, int] | None:
    """Where the tab is when the reader stopped in an indentation with a tab in it, or just behind such a line."""
    if mark is None or mark.line >= len(lines):
        return None
    for line in (mark.line, mark.line - 1):
        if line < 0:
            continue
        indentation = lines[line][: len(lines[line]) - len(lines[line].lstrip())]
        if "\t" in indentation and lines[line].strip():
            return line, indentation.index("\t")
    return None


def _char(mark: Any, lines: list[str]) -> str:
    line = lines[mark.line] if mark.line < len(lines) else ""
    return f"'{line[mark.column]}'" if mark.column < len(line) else "this character"

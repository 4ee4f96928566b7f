"""A diagnostic as text for people: the message, the lines it is about with the place underlined, notes, cures."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping

from .escape import cells, printable
from .model import Diagnostic, Help, Label, Severity

WIDEST = 160
"""Screen columns of a source line that are shown; a longer line is cut around its underline."""

_CODES = {
    Severity.DANGER: "1;37;41",
    Severity.ERROR: "1;31",
    Severity.WARNING: "1;33",
    Severity.INFO: "1;36",
}
_GUTTER, _SECOND, _BOLD = "1;34", "34", "1"

Paint = Callable[[str, str], str]


def render_text(found: Iterable[Diagnostic], texts: Mapping[str, str], *, colour: bool = False) -> str:
    """All diagnostics in the order given, a blank line between two. `texts` gives the files by the path in the spans."""
    lines: dict[str, list[str]] = {}
    return "\n".join(_render(diagnostic, texts, lines, _painter(colour)) for diagnostic in found)


def _painter(colour: bool) -> Paint:
    return (lambda code, text: f"\x1b[{code}m{text}\x1b[0m") if colour else (lambda code, text: text)


def _render(diagnostic: Diagnostic, texts: Mapping[str, str], lines: dict[str, list[str]], paint: Paint) -> str:
    code = _CODES[diagnostic.severity]
    width = max((len(str(label.span.line)) for label in diagnostic.labels), default=1)
    out = [paint(code, f"{diagnostic.severity.value}[{diagnostic.code}]") + paint(_BOLD, f": {printable(diagnostic.message)}")]
    for number, file in enumerate(_files(diagnostic)):
        labels = [label for label in diagnostic.labels if label.span.file == file]
        lead = next((label for label in labels if label.primary), labels[0])
        arrow = paint(_GUTTER, "-->" if number == 0 else ":::")
        out.append(f"{' ' * width}{arrow} {printable(file)}:{lead.span.line}:{lead.span.column}")
        if file in texts:
            # \r\n and \n end a line, nothing else does: the same count as in source/.
            rows = lines.setdefault(file, texts[file].replace("\r\n", "\n").split("\n"))
            out.extend(_excerpt(labels, rows, width, code, paint))
    bar = paint(_GUTTER, f"{' ' * (width + 1)}|")
    if any(label.span.file in texts for label in diagnostic.labels):
        out.append(bar)
    out.extend(_tail(diagnostic, width, paint))
    return "\n".join(out) + "\n"


def _files(diagnostic: Diagnostic) -> list[str]:
    """The files of the labels, that of the primary one first."""
    primary = diagnostic.primary
    first = [primary.span.file] if primary else []
    return list(dict.fromkeys(first + [label.span.file for label in diagnostic.labels]))


def _excerpt(labels: list[Label], rows: list[str], width: int, code: str, paint: Paint) -> list[str]:
    """The lines of one file that have labels, in order, `...` where lines are left out."""
    out = [paint(_GUTTER, f"{' ' * (width + 1)}|")]
    last = 0
    for line in sorted({label.span.line for label in labels}):
        if last and line > last + 1:
            out.append(paint(_GUTTER, "..."))
        last = line
        row = rows[line - 1] if line <= len(rows) else ""
        here = sorted((label for label in labels if label.span.line == line), key=lambda label: (not label.primary, label.span))
        out.extend(_one_line(line, row, here, width, code, paint))
    return out


def _one_line(line: int, row: str, labels: list[Label], width: int, code: str, paint: Paint) -> list[str]:
    pieces, starts = cells(row)
    first, last = _window(starts, labels[0])
    shift = starts[first]
    # The dots take the columns of the character they stand for, so that the caret below stays right.
    dots = "…".ljust(starts[first + 1] - shift) if first else ""
    shown = dots + "".join(pieces[first + bool(first) : last]) + ("…" if last < len(pieces) else "")
    gutter = paint(_GUTTER, f"{line:>{width}} |")
    out = [f"{gutter} {shown}".rstrip() if shown.strip() else gutter]
    for label in labels:
        start, end = (min(max(column - shift, 0), WIDEST) for column in _columns(label, starts))
        mark = ("^" if label.primary else "-") * max(end - start, 1)
        text = f" {printable(label.text)}" if label.text else ""
        drawn = paint(code if label.primary else _SECOND, mark + text)
        out.append(f"{paint(_GUTTER, f'{chr(32) * (width + 1)}|')} {' ' * start}{drawn}")
    return out


def _columns(label: Label, starts: list[int]) -> tuple[int, int]:
    """First and end screen column of a label on its first line; never empty, never past the line's end by more than one."""
    last = len(starts) - 1
    begin = min(max(label.span.column - 1, 0), last)
    stop = label.span.end_column - 1 if label.span.end_line == label.span.line else last
    start, end = starts[begin], starts[min(max(stop, begin), last)]
    return start, max(end, start + 1)


def _window(starts: list[int], label: Label) -> tuple[int, int]:
    """First and end character of what is shown of a line: all of it, or about WIDEST columns around a label."""
    if starts[-1] <= WIDEST:
        return 0, len(starts) - 1
    begin, _ = _columns(label, starts)
    first = next(index for index, column in enumerate(starts) if column >= begin - WIDEST // 2)
    room = starts[first] + WIDEST - 1
    last = max(index for index, column in enumerate(starts) if column <= room)
    return first, last


def _tail(diagnostic: Diagnostic, width: int, paint: Paint) -> list[str]:
    out: list[str] = []
    for kind, text in [("note", note) for note in diagnostic.notes] + [("help", _help(item)) for item in diagnostic.helps]:
        first, *more = text.split("\n")
        out.append(f"{' ' * (width + 1)}{paint(_GUTTER, '=')} {paint(_BOLD, kind + ':')} {printable(first)}")
        out.extend(f"{' ' * (width + 5 + len(kind))}{printable(line)}" for line in more)
    name = (
        f"{printable(diagnostic.rule)} (humdinger explain {diagnostic.code})" if diagnostic.rule else f"humdinger explain {diagnostic.code}"
    )
    out.append(f"{' ' * (width + 1)}{paint(_GUTTER, '=')} {paint(_BOLD, 'rule:')} {name}")
    return out


def _help(item: Help) -> str:
    if not item.replacement or item.replacement in item.text:
        return item.text
    where = f" at {item.path}" if item.path else ""
    return f"{item.text} (write `{item.replacement}`{where})"

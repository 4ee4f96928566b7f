"""One line per diagnostic, for editors and scripts."""

from __future__ import annotations

from collections.abc import Iterable

from .escape import printable
from .model import Diagnostic


def render_short(found: Iterable[Diagnostic]) -> str:
    """`file:line:col: error[CODE] message`, a line each; `-` for the place of what stands in no file."""
    return "".join(f"{printable(_line(diagnostic))}\n" for diagnostic in found)


def _line(diagnostic: Diagnostic) -> str:
    primary = diagnostic.primary
    where = f"{primary.span.file}:{primary.span.line}:{primary.span.column}" if primary else "-"
    return f"{where}: {diagnostic.severity.value}[{diagnostic.code}] {diagnostic.message}"

"""The order of diagnostics, how many there are of each kind, and what exit code that makes."""

from __future__ import annotations

from collections.abc import Iterable

from ..records import record
from .model import Diagnostic, Severity


@record
class Counts:
    """How many diagnostics there are of each severity."""

    danger: int = 0
    error: int = 0
    warning: int = 0
    info: int = 0

    @property
    def total(self) -> int:
        return self.danger + self.error + self.warning + self.info

    @property
    def blocks(self) -> bool:
        """Whether a manual may not be rendered."""
        return bool(self.danger or self.error)

    def sentence(self) -> str:
        """`1 danger, 2 errors, 1 warning`; `no findings` when there are none."""
        parts = []
        for number, one, many in (
            (self.danger, "danger", "dangers"),
            (self.error, "error", "errors"),
            (self.warning, "warning", "warnings"),
            (self.info, "info", "infos"),
        ):
            if number:
                parts.append(f"{number} {one if number == 1 else many}")
        return ", ".join(parts) or "no findings"


def sort_diagnostics(found: Iterable[Diagnostic]) -> tuple[Diagnostic, ...]:
    """By file, line, severity (worst first), code; what has no place in a file comes first. Exact repeats go."""
    kept: list[Diagnostic] = []
    for diagnostic in sorted(found, key=_key):
        if not kept or diagnostic != kept[-1]:
            kept.append(diagnostic)
    return tuple(kept)


def _key(diagnostic: Diagnostic) -> tuple[str | int, ...]:
    primary = diagnostic.primary
    where = (primary.span.file, primary.span.line) if primary else ("", 0)
    column = primary.span.column if primary else 0
    return (*where, diagnostic.severity.rank, diagnostic.code, column, diagnostic.element, diagnostic.message)


def count(found: Iterable[Diagnostic]) -> Counts:
    """The number of diagnostics of each severity."""
    numbers = dict.fromkeys(Severity, 0)
    for diagnostic in found:
        numbers[diagnostic.severity] += 1
    return Counts(numbers[Severity.DANGER], numbers[Severity.ERROR], numbers[Severity.WARNING], numbers[Severity.INFO])


def exit_code(found: Iterable[Diagnostic], *, strict: bool = False) -> int:
    """0 when a manual may be rendered, 1 when not; with `strict` a warning is enough for 1."""
    counts = count(found)
    return 1 if counts.blocks or (strict and counts.warning) else 0

"""The diagnostics of one pass while it runs."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from ..diagnostics import Diagnostic, Help, Label, Severity, Span, nearest_all
from ..records import replace
from . import words
from .model import Field

ONE_OF = "it is one of"

FEW = 12
"""So many known names are listed when none is near."""


class Report:
    """Collects what a pass finds; mutable only while the pass runs."""

    def __init__(self) -> None:
        self.found: list[Diagnostic] = []
        self._unknown: dict[tuple[str, str], int] = {}

    @property
    def broken(self) -> bool:
        """Whether an error was reported."""
        return any(d.severity is Severity.ERROR for d in self.found)

    def error(
        self,
        code: str,
        rule: str,
        message: str,
        span: Span,
        *,
        label: str = "",
        others: Iterable[tuple[Span, str]] = (),
        notes: Sequence[str] = (),
        helps: Sequence[str] = (),
        severity: Severity = Severity.ERROR,
    ) -> None:
        """Adds a diagnostic; `others` are further places with what is to be said about them."""
        labels = (Label(span, label, True), *(Label(where, text) for where, text in others))
        self.found.append(Diagnostic(code, rule, severity, message, labels, tuple(notes), tuple(Help(text) for text in helps)))

    def unknown(self, code: str, rule: str, at: Field, what: str, known: Iterable[str], *, several: str = ONE_OF) -> None:
        """Reports a name that points nowhere, once however often it stands there.

        With the nearest known names or, where none is near, all of them if they are few.
        """
        before = self._unknown.get((code, at.text))
        if before is not None:
            said = self.found[before]
            self.found[before] = replace(said, labels=(*said.labels, Label(at.span, "here too")))
            return
        self._unknown[code, at.text] = len(self.found)
        names = list(dict.fromkeys(known))
        near = nearest_all(at.text, names)
        helps = [f"did you mean {words.alternatives(near)}?"] if near else []
        notes = (
            [f"{several} {words.alternatives(names) if several == ONE_OF else words.listed(names)}"]
            if names and not near and len(names) <= 12
            else []
        )
        self.error(code, rule, f"'{words.cut(at.text)}' {what}", at.span, notes=notes, helps=helps)

    def sorted(self) -> tuple[Diagnostic, ...]:
        """In reading order."""
        return tuple(sorted(self.found, key=lambda d: (d.labels[0].span, d.code)))

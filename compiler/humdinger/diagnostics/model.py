"""What is wrong, where, and what to do about it: the data of a diagnostic, without words about paint.

A diagnostic says the fault in one line with its number and its limit; the cure goes into `helps`.
Exactly one label is primary. `facts` are the numbers behind the message, for machines and for waivers.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from enum import Enum
from types import MappingProxyType

from ..records import record


class Severity(Enum):
    """How bad it is. Danger: shock, fire or burn; it can never be waived and nothing is rendered."""

    DANGER = "danger"
    ERROR = "error"
    WARNING = "warning"
    INFO = "info"

    @property
    def rank(self) -> int:
        """0 for the worst."""
        return ("danger", "error", "warning", "info").index(self.value)


@dataclass(frozen=True, slots=True, order=True)
class Span:
    """A piece of a source file. Lines and columns count from 1; the end column is exclusive."""

    file: str
    line: int
    column: int
    end_line: int
    end_column: int


@record
class Label:
    """A span with what is to be said about it."""

    span: Span
    text: str = ""
    primary: bool = False


@record
class Help:
    """A cure. A replacement is proposed only when the compiler solved again with it and it passed."""

    text: str
    path: str = ""
    replacement: str = ""


@record
class Diagnostic:
    """One finding or one mistake in the source."""

    code: str
    rule: str
    severity: Severity
    message: str
    labels: tuple[Label, ...] = ()
    notes: tuple[str, ...] = ()
    helps: tuple[Help, ...] = ()
    facts: Mapping[str, float | str] = field(default_factory=lambda: MappingProxyType({}))
    element: str = ""

    @property
    def primary(self) -> Label | None:
        """The label the message points at, None when the fault has no place in the source."""
        return next((label for label in self.labels if label.primary), None)

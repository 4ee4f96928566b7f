"""Plain-text tables: the first column to the left, the others to the right, two blanks between."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence

NOTHING = "-"
SHORT = {"no-tubes": "no tubes", "no-tubes-high": "no tubes, high", "small-tubes": "small tubes"}
"""Names of conditions as a reader wants them."""


def table(head: Sequence[str], rows: Sequence[Sequence[str]], *, left: int = 1, indent: str = "  ") -> list[str]:
    """Lines of a table; `left` columns are aligned to the left. No rows: no lines."""
    if not rows:
        return []
    everything = [list(head), *(list(row) for row in rows)]
    widths = [max(len(row[k]) for row in everything) for k in range(len(head))]
    lines = []
    for row in everything:
        cells = [text.ljust(w) if k < left else text.rjust(w) for k, (text, w) in enumerate(zip(row, widths, strict=True))]
        lines.append((indent + "  ".join(cells)).rstrip())
    return lines


def section(title: str, lines: Sequence[str]) -> list[str]:
    """A titled block and a blank line after it; nothing when there are no lines."""
    return [title, "-" * len(title), *lines, ""] if lines else []


def maybe(show: Callable[[float], str], value: float | None) -> str:
    """The number, or a dash where there is none."""
    return NOTHING if value is None or math.isnan(value) else show(value)


def percent(value: float | None) -> str:
    """Percent (not a fraction) to a tenth below 10, else whole."""
    if value is None:
        return NOTHING
    return f"{value:.1f} %" if abs(value) < 10.0 else f"{value:.0f} %"

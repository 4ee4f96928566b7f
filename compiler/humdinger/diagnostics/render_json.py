"""Diagnostics as JSON, format 1: within a format keys are only added."""

from __future__ import annotations

import math
from collections.abc import Iterable
from typing import Any

from .model import Diagnostic, Label
from .order import count

FORMAT = 1


def render_json(found: Iterable[Diagnostic]) -> str:
    """One object: `format`, `counts`, `diagnostics`. ASCII only, so that no text in it can act on a terminal."""
    import json

    kept = tuple(found)
    counts = count(kept)
    whole = {
        "format": FORMAT,
        "counts": {"danger": counts.danger, "error": counts.error, "warning": counts.warning, "info": counts.info},
        "diagnostics": [as_data(diagnostic) for diagnostic in kept],
    }
    return json.dumps(whole, indent=2, ensure_ascii=True, allow_nan=False) + "\n"


def as_data(diagnostic: Diagnostic) -> dict[str, Any]:
    """One diagnostic as plain data. `file`, `line` and `column` are those of the primary label, null without one."""
    primary = diagnostic.primary
    return {
        "code": diagnostic.code,
        "rule": diagnostic.rule,
        "severity": diagnostic.severity.value,
        "message": diagnostic.message,
        "element": diagnostic.element,
        "file": primary.span.file if primary else None,
        "line": primary.span.line if primary else None,
        "column": primary.span.column if primary else None,
        "labels": [_label(label) for label in diagnostic.labels],
        "notes": list(diagnostic.notes),
        "helps": [{"text": item.text, "path": item.path, "replacement": item.replacement} for item in diagnostic.helps],
        "facts": {key: _fact(value) for key, value in sorted(diagnostic.facts.items())},
    }


def _label(label: Label) -> dict[str, Any]:
    span = label.span
    return {
        "primary": label.primary,
        "text": label.text,
        "file": span.file,
        "line": span.line,
        "column": span.column,
        "end_line": span.end_line,
        "end_column": span.end_column,
    }


def _fact(value: float | str) -> float | str | None:
    """Nine significant digits; JSON has no word for what is not finite, so that is null."""
    if isinstance(value, str | bool | int):
        return value
    value = float(value)
    return float(f"{value:.8e}") + 0.0 if math.isfinite(value) else None

"""Data as the YAML of a parts file."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

import yaml

WIDE = 110


def as_yaml(data: Mapping[str, Any]) -> str:
    """Block style, the innermost mappings and lists in flow; numbers to six digits, all that a reading of a printed curve is worth."""
    return yaml.safe_dump(_rounded(data), sort_keys=False, default_flow_style=None, allow_unicode=True, width=WIDE)


def _rounded(value: Any) -> Any:
    if isinstance(value, Mapping):
        return {key: _rounded(below) for key, below in value.items()}
    if isinstance(value, list | tuple):
        return [_rounded(below) for below in value]
    return float(f"{value:.6g}") if isinstance(value, float) else value

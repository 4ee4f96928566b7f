"""Where a stage of the signal path stands in the spec."""

from __future__ import annotations

from ..diagnostics import Span
from .model import Case


def at_stage(case: Case, id: str, key: str) -> Span:
    """The span of a key of the stage with that id; of the stage where the key is not written."""
    for block in case.spec.blocks("signal"):
        if block.get("id") == id:
            return block.span_of(key) if key in block else block.span
    return case.at("signal")

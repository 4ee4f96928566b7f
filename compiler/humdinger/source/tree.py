"""A YAML document as a tree that remembers where everything stood.

Scalars stay text: units and schema decide what a text means, so `on`, `012` and `1:30` are never
turned into something the writer did not write.
"""

from __future__ import annotations

from ..diagnostics import Span
from ..records import record


@record
class Scalar:
    """A scalar. `quoted` tells a string "no" from a bare no; `text` is what was written."""

    text: str
    span: Span
    quoted: bool = False


@record
class Sequence:
    """A list. Its span is its first item's line or its bracket, for underlining."""

    items: tuple[Node, ...]
    span: Span


@record
class Entry:
    """A key with its value."""

    key: Scalar
    value: Node


@record
class Mapping:
    """A mapping in source order; keys are unique."""

    entries: tuple[Entry, ...]
    span: Span

    def get(self, key: str) -> Node | None:
        """The value under a key, or None."""
        for entry in self.entries:
            if entry.key.text == key:
                return entry.value
        return None


Node = Scalar | Sequence | Mapping

"""The typed spec: every field is a value with the span it came from.

A `Block` is a mapping of the language (a stage, a section, the whole spec); a `Field` is one value in it.
Values are already what they mean: `Resistance`, `Capacitance`, `Quantity` ... from units/, str, int, bool,
`Block` or tuple of these. A value that could not be read is `POISON`: it satisfies nothing and raises no second message.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any, Final

from ..diagnostics import Span
from ..records import record


class Poison:
    """Stands for a value whose fault was reported already."""

    __slots__ = ()

    def __repr__(self) -> str:
        return "POISON"

    def __bool__(self) -> bool:
        return False


POISON: Final = Poison()


@record
class Field:
    """One value: where it stands, where its key stands (None for list items), its spec path ("signal/1/plate_load")."""

    path: str
    value: Any
    span: Span
    key_span: Span | None = None
    text: str = ""


@record
class Block:
    """A mapping of the language. `span` is its key or first line, for a message about the block as a whole."""

    path: str
    span: Span
    fields: tuple[tuple[str, Field], ...]

    def field(self, key: str) -> Field | None:
        """The field under a key, or None."""
        for name, found in self.fields:
            if name == key:
                return found
        return None

    def get(self, key: str, default: Any = None) -> Any:
        """The value under a key; `default` when absent or poisoned."""
        found = self.field(key)
        if found is None or found.value is POISON:
            return default
        return found.value

    def block(self, key: str) -> Block:
        """The block under a key; an empty block at this block's span when absent, so that look-ups can be chained."""
        found = self.get(key)
        return found if isinstance(found, Block) else Block(f"{self.path}/{key}".lstrip("/"), self.span, ())

    def blocks(self, key: str) -> tuple[Block, ...]:
        """The blocks of a list of mappings; one block stands for a list of one."""
        found = self.get(key)
        if isinstance(found, Block):
            return (found,)
        if isinstance(found, tuple):
            return tuple(item for item in (f.value if isinstance(f, Field) else f for f in found) if isinstance(item, Block))
        return ()

    def items(self, key: str) -> tuple[Field, ...]:
        """The fields of a list of scalars; a single scalar stands for a list of one."""
        found = self.field(key)
        if found is None or found.value is POISON:
            return ()
        if isinstance(found.value, tuple):
            return found.value
        return (found,)

    def span_of(self, key: str) -> Span:
        """Where the value under a key stands; the block's own span when it is absent."""
        found = self.field(key)
        return found.span if found else self.span

    def __iter__(self) -> Iterator[tuple[str, Field]]:
        return iter(self.fields)

    def __contains__(self, key: str) -> bool:
        return self.field(key) is not None

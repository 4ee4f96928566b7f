"""The spec together with what it includes and what the command line puts over it: one tree for the amp, one for the shop.

Every node keeps the span of the text it came from.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from ..source.tree import Entry, Mapping, Node, Scalar
from .replace import replaced

if TYPE_CHECKING:
    from ..source.load import Source

_FILE_KEYS = ("include", "humdinger")
"""Keys that speak of the file they stand in."""

_CHOICES = ("stage", "scheme", "kind", "point", "topology", "arrangement")
"""Keys that decide which others belong: two mappings that differ in one are not blended."""


def merged(source: Source) -> tuple[Mapping, Mapping | None]:
    """(the spec over its includes, the shop file or None). The command line wins over the spec, the spec over an include, a later one
    over an earlier one."""
    defaults: Mapping | None = None
    shop: Mapping | None = None
    for file in source.includes:
        if file.kind == "shop":
            shop = _over(file.root, shop)
        elif file.kind == "spec":
            body = Mapping(tuple(e for e in file.root.entries if e.key.text not in _FILE_KEYS), file.root.span)
            defaults = _over(body, defaults)
    spec = _over(source.root, defaults)
    if source.overrides:
        spec = replaced(spec, [(one.path, one.text, one.span) for one in source.overrides])
    return spec, shop


def _over(strong: Mapping, weak: Mapping | None) -> Mapping:
    """Two mappings as one: lists and values of the strong one stand for themselves, mappings are blended key by key."""
    if weak is None or any(_word(strong, key) and _word(weak, key) and _word(strong, key) != _word(weak, key) for key in _CHOICES):
        return strong
    entries = [Entry(entry.key, _value(entry.value, weak.get(entry.key.text))) for entry in strong.entries]
    known = {entry.key.text for entry in strong.entries}
    entries.extend(entry for entry in weak.entries if entry.key.text not in known)
    return Mapping(tuple(entries), strong.span)


def _value(strong: Node, weak: Node | None) -> Node:
    return _over(strong, weak) if isinstance(strong, Mapping) and isinstance(weak, Mapping) else strong


def _word(mapping: Mapping, key: str) -> str:
    found = mapping.get(key)
    return found.text if isinstance(found, Scalar) else ""

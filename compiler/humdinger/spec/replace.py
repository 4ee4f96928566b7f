"""Writing texts over a tree at spec paths: how a rule's proposal is tried."""

from __future__ import annotations

from collections.abc import Iterable

from ..diagnostics import Span
from ..source.tree import Entry, Mapping, Node, Scalar, Sequence


def replaced(root: Mapping, replacements: Iterable[tuple[str, str] | tuple[str, str, Span]]) -> Mapping:
    """The tree with each text put in at its path ("signal/1/plate_load"). A text has the span of what it stands for, or the one given.
    A key that is not there is added to its mapping,
    a mapping that is not there is made; a path that leads nowhere (a list item past the end, a key below a scalar) changes nothing.
    """
    for path, text, *span in replacements:
        changed = _put(root, path.split("/"), text, root.span, *span)
        if isinstance(changed, Mapping):
            root = changed
    return root


def _put(node: Node | None, keys: list[str], text: str, span: Span, own: Span | None = None) -> Node:
    """The node with the text at the end of the keys."""
    if not keys:
        return Scalar(text, own or (node.span if node else span))
    key, rest = keys[0], keys[1:]
    if isinstance(node, Sequence):
        if not key.isdigit() or int(key) >= len(node.items):
            return node
        items = [_put(item, rest, text, item.span, own) if number == int(key) else item for number, item in enumerate(node.items)]
        return Sequence(tuple(items), node.span)
    if isinstance(node, Scalar):
        return node
    entries = node.entries if node else ()
    if any(entry.key.text == key for entry in entries):
        changed = tuple(Entry(e.key, _put(e.value, rest, text, e.value.span, own)) if e.key.text == key else e for e in entries)
    else:
        where = node.span if node else span
        changed = (*entries, Entry(Scalar(key, own or where), _put(None, rest, text, where, own)))
    return Mapping(changed, node.span if node else span)

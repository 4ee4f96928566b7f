"""From YAML text to a tree, event by event, so that limits hold before anything large is made.

The reader's events carry the marks; scalars keep their text, aliases are put in where they stand, and the
constructs the language leaves out (tags, merge keys, several documents) are refused with their place.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from typing import Any

from ..diagnostics import Diagnostic, Label, Span, nearest
from .faults import at, fault
from .syntax import explain_error
from .text import UNFIT, split_lines
from .tree import Entry, Mapping, Node, Scalar, Sequence

DEEPEST = 32
MOST_ALIASES = 100
MOST_ALIASED_VALUES = 10_000

_PROPERTIES = re.compile(r"(?:[&!]\S*[ \t]+)+")
_HEADER = re.compile(r"[|>][0-9+\-]*")
_SURROGATE = re.compile(r"[\ud800-\udfff]")


class _Stop(Exception):
    """The rest of the file cannot be read; the diagnostics so far say why."""


def build_tree(path: str, text: str, *, pure: bool = False) -> tuple[Node | None, tuple[Diagnostic, ...]]:
    """The tree of one document. None when the text could not be read to its end. `pure` takes the reader written in Python."""
    import yaml

    loader = yaml.BaseLoader if pure or not hasattr(yaml, "CBaseLoader") else yaml.CBaseLoader
    builder = _Builder(path, text)
    try:
        return builder.document(yaml.parse(text, Loader=loader)), tuple(builder.found)
    except _Stop:
        return None, tuple(builder.found)
    except yaml.YAMLError as error:
        return None, (*builder.found, explain_error(error, path, builder.lines))


class _Builder:
    """The state of one file while its events go by."""

    def __init__(self, path: str, text: str) -> None:
        self.path = path
        self.lines = split_lines(text)
        self.found: list[Diagnostic] = []
        self.anchors: dict[str, tuple[Node, int, int]] = {}
        self.open_anchors: list[str] = []
        self.nodes = 0
        self.aliases = 0
        self.aliased_values = 0

    def document(self, events: Iterator[Any]) -> Node:
        """The one document of the stream."""
        next(events)
        event = next(events)
        if _kind(event) == "StreamEnd":
            raise self._stop("SRC-006", "the file is empty", at(self.path, 1, 1), "start with `humdinger: 1`")
        if event.tags:
            self._add("SRC-012", "a %TAG directive is not part of the language", self._start(event), "leave it out")
        root, _ = self._node(next(events), events, 1, at(self.path, 1, 1))
        next(events)
        event = next(events)
        if _kind(event) != "StreamEnd":
            raise self._stop(
                "SRC-009", "a second document begins here", self._start(event, 3), "keep one document in a file; one amp, one spec"
            )
        if isinstance(root, Scalar) and not root.text and not root.quoted:
            raise self._stop("SRC-006", "the file is empty", at(self.path, 1, 1), "start with `humdinger: 1`")
        return root

    def _node(self, event: Any, events: Iterator[Any], depth: int, owner: Span) -> tuple[Node, int]:
        """A node and its height. `owner` is what an empty value is underlined with: its key or its dash."""
        if depth > DEEPEST:
            raise self._stop(
                "SRC-014", f"lists and mappings are nested deeper than {DEEPEST}", self._start(event), "look for a bracket left open"
            )
        kind = _kind(event)
        if kind == "Alias":
            return self._alias(event, depth)
        before = self.nodes
        self.nodes += 1
        if event.tag is not None:
            self._tag(event)
        if event.anchor is not None:
            self.open_anchors.append(event.anchor)
        if kind == "Scalar":
            node, height = self._scalar(event, owner), 1
        elif kind == "SequenceStart":
            node, height = self._sequence(event, events, depth)
        else:
            node, height = self._mapping(event, events, depth)
        if event.anchor is not None:
            self._anchor(event, node, height, self.nodes - before)
        return node, height

    def _scalar(self, event: Any, owner: Span) -> Scalar:
        plain = event.style is None or event.style == ""
        if plain and event.value == "":
            return Scalar("", owner)
        span = self._scalar_span(event)
        bad = UNFIT.search(event.value) or _SURROGATE.search(event.value)
        if bad:
            message = f"an escape gives the control character U+{ord(bad[0]):04X}"
            self._add("SRC-005", message, span, "leave it out; a spec is plain text")
            return Scalar(_SURROGATE.sub("", UNFIT.sub("", event.value)), span, quoted=True)
        return Scalar(event.value, span, quoted=not plain)

    def _sequence(self, event: Any, events: Iterator[Any], depth: int) -> tuple[Sequence, int]:
        items: list[Node] = []
        height = 0
        while _kind(item := next(events)) != "SequenceEnd":
            mark = item.start_mark
            dash = at(self.path, mark.line + 1, max(mark.column, 1))
            node, tall = self._node(item, events, depth + 1, dash)
            items.append(node)
            height = max(height, tall)
        span = self._brackets(event, item)
        if not event.flow_style and items:
            span = self._to_first(span, items[0].span)
        return Sequence(tuple(items), span), height + 1

    def _mapping(self, event: Any, events: Iterator[Any], depth: int) -> tuple[Mapping, int]:
        entries: dict[str, Entry] = {}
        height = 0
        while _kind(item := next(events)) != "MappingEnd":
            mark = item.start_mark
            key, _ = self._node(item, events, depth + 1, at(self.path, mark.line + 1, max(mark.column, 1)))
            owner = key.span
            value, tall = self._node(next(events), events, depth + 1, owner)
            height = max(height, tall)
            if self._key_is_good(key, entries) and isinstance(key, Scalar):
                entries[key.text] = Entry(key, value)
        span = self._brackets(event, item)
        if not event.flow_style and entries:
            span = next(iter(entries.values())).key.span
        return Mapping(tuple(entries.values()), span), height + 1

    def _key_is_good(self, key: Node, entries: dict[str, Entry]) -> bool:
        """Whether an entry under this key is taken; what is wrong with it goes to the findings."""
        if not isinstance(key, Scalar):
            self._add("SRC-016", "a list or mapping stands where a key should be", key.span, "a key is one word")
            return False
        if not key.text:
            self._add("SRC-016", "a key is empty", key.span, "write the key before the ':'")
            return False
        if key.text == "<<" and not key.quoted:
            self._add(
                "SRC-011", "the merge key '<<' is not part of the language", key.span, "write the keys out, so that each value has a line"
            )
            return False
        first = entries.get(key.text)
        if first:
            label = Label(first.key.span, "first here")
            cure = f"keep one `{key.text}`; the first is taken here"
            self.found.append(
                fault(
                    "SRC-010", f"the key '{key.text}' stands twice in one mapping", key.span, text="again here", cure=cure, others=(label,)
                )
            )
            return False
        return True

    def _alias(self, event: Any, depth: int) -> tuple[Node, int]:
        span = self._start(event, len(event.anchor) + 1)
        if event.anchor in self.open_anchors:
            raise self._stop("SRC-015", f"the alias '*{event.anchor}' stands inside what it repeats", span, "write the value out")
        if event.anchor not in self.anchors:
            near = nearest(event.anchor, self.anchors)
            cure = f"did you mean *{near}?" if near else f"put &{event.anchor} before the value it repeats, above this line"
            raise self._stop("SRC-015", f"the alias '*{event.anchor}' has no anchor before it", span, cure)
        node, size, height = self.anchors[event.anchor]
        self.aliases += 1
        self.aliased_values += size
        self.nodes += size
        if self.aliases > MOST_ALIASES or self.aliased_values > MOST_ALIASED_VALUES:
            limit = f"{MOST_ALIASES} aliases or {MOST_ALIASED_VALUES} repeated values"
            raise self._stop("SRC-013", f"the file has more than {limit}", span, "write the values out")
        if depth + height - 1 > DEEPEST:
            raise self._stop("SRC-014", f"lists and mappings are nested deeper than {DEEPEST}", span, "write the values out")
        if isinstance(node, Scalar):
            return Scalar(node.text, span, node.quoted), height
        return node, height

    def _anchor(self, event: Any, node: Node, height: int, size: int) -> None:
        self.open_anchors.pop()
        if event.anchor in self.anchors:
            span = self._start(event, len(event.anchor) + 1)
            self._add("SRC-015", f"the anchor '&{event.anchor}' is given twice", span, "give each anchor a name of its own")
            return
        self.anchors[event.anchor] = (node, size, height)

    def _tag(self, event: Any) -> None:
        mark = event.start_mark
        rest = self.lines[mark.line][mark.column :]
        match = re.search(r"!\S*", rest)
        start = mark.column + (match.start() if match else 0)
        width = len(match[0]) if match else 1
        span = at(self.path, mark.line + 1, start + 1, start + 1 + width)
        self._add("SRC-012", "a tag is not part of the language", span, "leave it out; put a text that begins with '!' in quotes")

    def _scalar_span(self, event: Any) -> Span:
        """One line of the scalar: all of it when it is on one line, the header of a block, else to the end of its first line."""
        line, column = event.start_mark.line, event.start_mark.column
        row = self.lines[line]
        skipped = _PROPERTIES.match(row, column) if event.anchor is not None or event.tag is not None else None
        if skipped:
            column = skipped.end()
        header = _HEADER.match(row, column) if event.style in ("|", ">") else None
        if header:
            end = header.end()
        elif event.end_mark.line == line:
            end = event.end_mark.column
        else:
            end = len(row.rstrip())
        return at(self.path, line + 1, column + 1, max(end, column + 1) + 1)

    def _brackets(self, start: Any, end: Any) -> Span:
        """A flow collection that fits one line, else its first character."""
        line, column = start.start_mark.line, start.start_mark.column
        skipped = _PROPERTIES.match(self.lines[line], column) if start.anchor is not None or start.tag is not None else None
        column = skipped.end() if skipped else column
        if start.flow_style and end.end_mark.line == line:
            return at(self.path, line + 1, column + 1, end.end_mark.column + 1)
        return at(self.path, line + 1, column + 1)

    def _to_first(self, start: Span, first: Span) -> Span:
        same = start.line == first.line and first.end_column > start.column
        return at(self.path, start.line, start.column, first.end_column) if same else start

    def _start(self, event: Any, width: int = 1) -> Span:
        mark = event.start_mark
        return at(self.path, mark.line + 1, mark.column + 1, mark.column + 1 + width)

    def _add(self, code: str, message: str, span: Span, cure: str) -> None:
        self.found.append(fault(code, message, span, cure=cure))

    def _stop(self, code: str, message: str, span: Span, cure: str) -> _Stop:
        self._add(code, message, span, cure)
        return _Stop()


def _kind(event: Any) -> str:
    return type(event).__name__.removesuffix("Event")

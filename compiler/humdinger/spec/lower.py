"""Lowering: the located tree becomes the typed spec, every leaf read as what the schema's `x-type` says it is."""

from __future__ import annotations

from collections.abc import Iterable
from typing import TYPE_CHECKING, Any

from ..diagnostics import Diagnostic, Help, Label, Severity, Span
from ..records import record
from ..source.tree import Mapping, Node, Scalar, Sequence
from . import words
from .grammar import Grammar, Rule, cut_at_comma, grammar, scalar_fault, types
from .leaves import PARTS, Fault, read_leaf, read_part
from .merge import merged
from .model import POISON, Block, Field
from .replace import replaced

if TYPE_CHECKING:
    from ..source.load import Source


@record
class Spec:
    """The typed spec. `shop` is an empty block when no shop file is included.

    complete: whether every key was known and none that is needed was missing (`validate` says which).
    """

    root: Block
    shop: Block
    source: Source
    complete: bool = True


def lower(source: Source, replacements: Iterable[tuple[str, str]] = ()) -> tuple[Spec | None, tuple[Diagnostic, ...]]:
    """Reads every value of the spec as merged with its includes.

    replacements: (spec path, text) pairs written over the spec first ("signal/1/plate_load", "100k 1W"); a rule's proposals are tried so.
    A value that cannot be read becomes POISON with one UNI diagnostic; what `validate` reported becomes POISON without one.
    """
    spec, shop = merged(source)
    guide = grammar("amp")
    reader = _Reader(guide)
    root = reader.block(replaced(spec, replacements), guide.root, "", spec.span)
    found = reader.found
    house = Block("", root.span, ())
    if shop is not None:
        other = _Reader(grammar("shop"))
        house = other.block(shop, other.guide.root, "", shop.span)
        found += other.found
    return Spec(root, house, source, reader.complete), tuple(found)


class _Reader:
    """One walk over one tree."""

    def __init__(self, guide: Grammar) -> None:
        self.guide = guide
        self.found: list[Diagnostic] = []
        self.complete = True

    def block(self, node: Mapping, rule: Rule, path: str, name: Span) -> Block:
        """A mapping of the language. Keys the language does not know are left out: `validate` said so."""
        rules = self.guide.rules(rule, node)
        fields = []
        if next(self.guide.missing(rules, node), None):
            self.complete = False
        cut = cut_at_comma(node)
        for number, entry in enumerate(node.entries):
            below = self.guide.under(rules, entry.key.text)
            if below is not None and number in cut:
                fields.append((entry.key.text, Field(words.join(path, entry.key.text), POISON, entry.value.span, entry.key.span)))
                continue
            if below is not None:
                fields.append((entry.key.text, self.field(entry.value, below, words.join(path, entry.key.text), entry.key.span)))
                continue
            self.complete = False
            if path == "tubes":
                # The rule for tube names was broken; whoever names that tube is not to blame.
                fields.append((entry.key.text, Field(words.join(path, entry.key.text), POISON, entry.key.span, entry.key.span)))
            elif entry.key.text == "id" and isinstance(entry.value, Scalar):
                # A stage of unknown kind keeps its id, so that `from: id` elsewhere is not a second message.
                span = entry.value.span
                fields.append(("id", Field(words.join(path, "id"), entry.value.text, span, entry.key.span, entry.value.text)))
        return Block(path, name, tuple(fields))

    def field(self, node: Node, rule: Rule, path: str, key: Span | None) -> Field:
        """A value with where it stands."""
        text = node.text if isinstance(node, Scalar) else ""
        return Field(path, self.value(node, rule, path, key or node.span), node.span, key, text)

    def value(self, node: Node, rule: Rule, path: str, name: Span) -> Any:
        kind = rule.get("x-type", "")
        if isinstance(node, Mapping):
            if "object" not in types(rule):
                return POISON
            return self.part(node, rule, path, kind) if kind in PARTS else self.block(node, rule, path, name)
        if isinstance(node, Sequence):
            if "array" not in types(rule):
                return POISON
            below = self.guide.rule(rule["items"])
            return tuple(self.field(item, below, words.join(path, str(number)), None) for number, item in enumerate(node.items))
        if scalar_fault(self.guide, node, rule) is not None:
            return POISON
        return self.checked(read_leaf(node, rule), node.span, path)

    def part(self, node: Mapping, rule: Rule, path: str, kind: str) -> Any:
        """A component written as a mapping: its keys are read one by one and put together."""
        block = self.block(node, rule, path, node.span)
        if any(found.value is POISON for _, found in block.fields) or "value" not in block:
            return POISON
        return self.checked(read_part(block, kind), block.span_of("value"), path)

    def checked(self, read: Any, span: Span, path: str) -> Any:
        """The value, or POISON and a diagnostic."""
        if not isinstance(read, Fault):
            return read
        message = f"{words.title(path)}: {read.reason}"
        helps = (Help(read.cure),) if read.cure else ()
        self.found.append(Diagnostic(read.code, read.rule, Severity.ERROR, message, (Label(span, "", True),), (), helps))
        return POISON

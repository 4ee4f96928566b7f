"""A located tree as plain Python values typed by what the schema allows, so that the jsonschema package can judge it."""

from __future__ import annotations

from typing import Any

from humdinger.source.tree import Mapping, Node, Scalar, Sequence
from humdinger.spec.grammar import Grammar, Rule, plain


def plain_view(node: Node, rule: Rule | None, guide: Grammar) -> Any:
    """The value under a rule; without one (an unknown key) scalars stay text. An empty bare scalar is None, as YAML has it."""
    if isinstance(node, Mapping):
        rules = guide.rules(rule, node) if rule is not None else ()
        return {e.key.text: plain_view(e.value, guide.under(rules, e.key.text) if rules else None, guide) for e in node.entries}
    if isinstance(node, Sequence):
        below = guide.rule(rule["items"]) if rule is not None and "items" in rule else None
        return [plain_view(item, below, guide) for item in node.items]
    return _scalar(node, rule)


def _scalar(node: Scalar, rule: Rule | None) -> Any:
    if not node.quoted and node.text in ("", "~", "null", "Null", "NULL"):
        return None
    return node.text if rule is None else plain(node, rule)

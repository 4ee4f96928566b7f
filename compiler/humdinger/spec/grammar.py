"""The schema as a guide: which rule of it applies to which node of the tree.

Validation and lowering walk the tree with the same guide, so that what a scalar may be is decided in one place. The guide knows the
part of JSON Schema 2020-12 that `schemas/` uses (a test holds the schemas to it, and the verdicts to the jsonschema package): `$ref`,
`type`, `enum`, `const`, `pattern`, bounds, `properties`, `patternProperties`, `additionalProperties: false`, `required`, `items`,
and `allOf` of `if`/`then` on the word under one key.
"""

from __future__ import annotations

import json
import re
from collections.abc import Iterator
from dataclasses import field
from functools import cache
from itertools import pairwise
from typing import Any

from ..records import record
from ..source.data import read_data
from ..source.tree import Mapping, Node, Scalar, Sequence

Rule = dict[str, Any]

LONGEST_NUMBER = 30
"""Digits of a bare number; nothing in an amp needs more, and a longer one is a slip or an attack."""

_INTEGER = re.compile(r"[+-]?(0|[1-9][0-9]*)")
_NUMBER = re.compile(r"[+-]?(0|[1-9][0-9]*)(\.[0-9]*)?([eE][+-]?[0-9]{1,3})?|[+-]?\.[0-9]+([eE][+-]?[0-9]{1,3})?")
_BOOLEAN = {"true": True, "True": True, "TRUE": True, "false": False, "False": False, "FALSE": False}


@record
class Grammar:
    """One schema, with its references resolved on demand."""

    root: Rule
    _resolved: dict[int, Rule] = field(default_factory=dict)
    _patterns: dict[str, re.Pattern[str]] = field(default_factory=dict)

    def rule(self, raw: Rule) -> Rule:
        """A rule with its `$ref` followed; what stands beside the reference wins."""
        if "$ref" not in raw:
            return raw
        found = self._resolved.get(id(raw))
        if found is None:
            target = self.rule(self.root["$defs"][raw["$ref"].removeprefix("#/$defs/")])
            found = {**target, **{key: value for key, value in raw.items() if key != "$ref"}}
            self._resolved[id(raw)] = found
        return found

    def rules(self, rule: Rule, mapping: Mapping) -> tuple[Rule, ...]:
        """The rule and those its conditions add for this mapping."""
        added = []
        for condition in rule.get("allOf", ()):
            if all(_text(mapping, key) == want["const"] for key, want in condition["if"]["properties"].items()):
                added.append(self.rule(condition["then"]))
        return (rule, *added)

    def under(self, rules: tuple[Rule, ...], key: str) -> Rule | None:
        """The rule of the value under a key; None when the key is not known. A branch knows better than its base."""
        if any(not self._allows(rule, key) for rule in rules):
            return None
        for rule in reversed(rules):
            raw = self._named(rule, key)
            if raw is not None:
                return self.rule(raw)
        return None

    def keys(self, rules: tuple[Rule, ...]) -> tuple[str, ...]:
        """The keys that may stand in the mapping, in the schema's order."""
        names = [key for rule in reversed(rules) for key in rule.get("properties", {})]
        return tuple(dict.fromkeys(key for key in names if self.under(rules, key) is not None))

    def missing(self, rules: tuple[Rule, ...], mapping: Mapping) -> Iterator[tuple[str, str]]:
        """The required keys that are absent, each with why it is needed."""
        present = {entry.key.text for entry in mapping.entries}
        seen: set[str] = set()
        for rule in rules:
            for key in rule.get("required", ()):
                if key not in present and key not in seen:
                    seen.add(key)
                    yield key, rule.get("x-needed", {}).get(key, "")

    def matches(self, pattern: str, text: str) -> bool:
        """Whether a pattern is found in the text, as JSON Schema means it."""
        compiled = self._patterns.get(pattern)
        if compiled is None:
            # `$` of the schema ends the text; Python's would let a line break pass.
            compiled = self._patterns[pattern] = re.compile(re.sub(r"\$$", r"\\Z", pattern))
        return compiled.search(text) is not None

    def _named(self, rule: Rule, key: str) -> Rule | None:
        found = rule.get("properties", {}).get(key)
        if found is None:
            for pattern, raw in rule.get("patternProperties", {}).items():
                if self.matches(pattern, key):
                    return raw
        return found

    def _allows(self, rule: Rule, key: str) -> bool:
        return rule.get("additionalProperties", True) is not False or self._named(rule, key) is not None


@cache
def grammar(name: str) -> Grammar:
    """The grammar of one schema file: "amp" or "shop"."""
    return Grammar(json.loads(read_data("schemas", f"{name}.schema.json")))


def types(rule: Rule) -> tuple[str, ...]:
    """What the value may be, in JSON Schema's words; every type when the rule names none."""
    found = rule.get("type")
    if found is None:
        return (_type_of(rule["const"]),) if "const" in rule else ("object", "array", "string", "number", "integer", "boolean")
    return (found,) if isinstance(found, str) else tuple(found)


def plain(scalar: Scalar, rule: Rule) -> str | int | float | bool:
    """A scalar as the rule understands it: a bare number or true/false only where the rule asks for one, else its text."""
    allowed = types(rule)
    if not scalar.quoted and len(scalar.text) <= LONGEST_NUMBER:
        if "boolean" in allowed and scalar.text in _BOOLEAN:
            return _BOOLEAN[scalar.text]
        if ("integer" in allowed or "number" in allowed) and _INTEGER.fullmatch(scalar.text):
            return int(scalar.text)
        if "number" in allowed and _NUMBER.fullmatch(scalar.text):
            return float(scalar.text)
    return scalar.text


def shape(node: Node) -> str:
    """object, array or scalar."""
    return "object" if isinstance(node, Mapping) else "array" if isinstance(node, Sequence) else "scalar"


def scalar_fault(grammar: Grammar, scalar: Scalar, rule: Rule) -> str | None:
    """What is wrong with a scalar as far as a schema can tell: shape, empty, kind, word, pattern or range; None when it fits."""
    allowed = types(rule)
    if not set(allowed) & {"string", "number", "integer", "boolean"}:
        return "empty" if _empty(scalar) else "shape"
    if _empty(scalar):
        return "empty"
    value = plain(scalar, rule)
    if isinstance(value, str) and "string" not in allowed:
        return "kind"
    if "enum" in rule and value not in rule["enum"]:
        return "word"
    if "const" in rule and value != rule["const"]:
        return "word"
    if isinstance(value, str) and "pattern" in rule and not grammar.matches(rule["pattern"], value):
        return "pattern"
    if isinstance(value, int | float) and not isinstance(value, bool):
        low, high = rule.get("minimum"), rule.get("maximum")
        if (low is not None and value < low) or (high is not None and value > high):
            return "range"
    return None


def _empty(scalar: Scalar) -> bool:
    return not scalar.quoted and scalar.text in ("", "~", "null", "Null", "NULL")


def _text(mapping: Mapping, key: str) -> str | None:
    found = mapping.get(key)
    return found.text if isinstance(found, Scalar) else None


def _type_of(value: object) -> str:
    return "boolean" if isinstance(value, bool) else "number" if isinstance(value, int | float) else "string"


_WHOLE = re.compile(r"[+-]?[0-9]+")
_DECIMALS = re.compile(r"[0-9]+\s*[A-Za-zµΩ%]{0,4}")


def cut_at_comma(node: Mapping) -> frozenset[int]:
    """Entries whose number YAML has cut at a decimal comma: a whole number, then a "key" of digits and a unit without value."""
    if not any(entry.key.text[:1].isdigit() for entry in node.entries):
        return frozenset()
    return frozenset(
        number
        for number, (entry, rest) in enumerate(pairwise(node.entries))
        if isinstance(entry.value, Scalar)
        and _WHOLE.fullmatch(entry.value.text)
        and _DECIMALS.fullmatch(rest.key.text)
        and isinstance(rest.value, Scalar)
        and not rest.value.text
        and entry.value.span.end_line == rest.key.span.line
        and rest.key.span.column == entry.value.span.end_column + 1
    )

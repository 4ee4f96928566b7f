"""The schemas are valid, say something of every key, and mean to the jsonschema package what they mean to the compiler."""

from __future__ import annotations

import json
from collections.abc import Iterator
from functools import cache

import pytest
import yaml
from jsonschema import Draft202012Validator

from humdinger.source.build import build_tree
from humdinger.source.tree import Mapping, Scalar
from humdinger.spec.grammar import grammar, scalar_fault, types
from humdinger.spec.leaves import PARTS, Fault, read_leaf
from humdinger.spec.validate import _Check
from support.front import DEMOS, ROOT, SHOP, SMALLEST
from support.plain import plain_view

NAMES = ("amp", "shop", "results")
FOLLOWED = {
    "$ref", "type", "enum", "const", "pattern", "minimum", "maximum", "minItems", "maxItems", "minProperties", "properties",
    "patternProperties", "additionalProperties", "required", "items", "allOf", "if", "then",
}  # fmt: skip
SPOKEN = {"$schema", "$id", "$defs", "title", "description", "examples"}


@cache
def schema(name: str):
    return json.loads((ROOT / "schemas" / f"{name}.schema.json").read_text(encoding="utf-8"))


def rules(raw, path: str = "") -> Iterator[tuple[str, dict]]:
    """Every rule of a schema with where it stands; conditions' own `if` are not rules."""
    yield path, raw
    for key in ("properties", "patternProperties", "$defs"):
        for name, below in raw.get(key, {}).items():
            yield from rules(below, f"{path}/{key}/{name}")
    if "items" in raw:
        yield from rules(raw["items"], f"{path}/items")
    for number, condition in enumerate(raw.get("allOf", ())):
        yield from rules(condition["then"], f"{path}/allOf/{number}/then")


def keys(name: str) -> list[tuple[str, dict]]:
    """The rules a builder meets under a key."""
    return [(path, raw) for path, raw in rules(schema(name)) if path.rpartition("/")[0].endswith(("roperties", "$defs"))]


@pytest.mark.parametrize("name", NAMES)
def test_valid_by_the_metaschema(name):
    Draft202012Validator.check_schema(schema(name))
    assert schema(name)["$id"].endswith(f"/{name}.schema.json")


@pytest.mark.parametrize("name", NAMES)
def test_every_key_has_a_description_and_an_example(name):
    for path, raw in keys(name):
        assert raw.get("description", "").endswith((".", ")")), path
        assert len(raw["description"].split()) >= 4, path
        assert raw.get("examples"), path


@pytest.mark.parametrize("name", NAMES)
def test_every_required_key_is_known_and_says_why_it_is_needed(name):
    for path, raw in rules(schema(name)):
        needed = raw.get("required", [])
        if name != "results":
            assert sorted(raw.get("x-needed", {})) == sorted(needed), path
        if "properties" in raw:
            assert set(needed) <= set(raw["properties"]), path


@pytest.mark.parametrize("name", ["amp", "shop"])
def test_mappings_are_closed(name):
    for path, raw in rules(schema(name)):
        if "properties" in raw or "patternProperties" in raw:
            assert raw.get("additionalProperties") is False or "x-choice" in raw, path


@pytest.mark.parametrize("name", ["amp", "shop"])
def test_only_keywords_the_compiler_follows(name):
    for path, raw in rules(schema(name)):
        unknown = {key for key in raw if key not in FOLLOWED | SPOKEN and not key.startswith("x-")}
        assert not unknown, path
        for condition in raw.get("allOf", ()):
            assert set(condition) == {"if", "then"}, path
            assert set(condition["if"]) == {"properties", "required"}, path
            assert sorted(condition["if"]["properties"]) == sorted(condition["if"]["required"]), path
            assert all(set(want) == {"const"} for want in condition["if"]["properties"].values()), path


@pytest.mark.parametrize("name", ["amp", "shop"])
def test_patterns_say_in_words_what_they_want(name):
    for path, raw in rules(schema(name)):
        if "pattern" in raw:
            assert raw.get("x-pattern-words"), path


def tree(example):
    """An example as the compiler would read it from a file."""
    node, found = build_tree("example", yaml.safe_dump(example, sort_keys=False, allow_unicode=True))
    assert not found
    assert node is not None
    return node


@pytest.mark.parametrize("name", ["amp", "shop"])
def test_examples_fit_and_leaves_can_be_read(name):
    guide = grammar(name)
    for path, raw in keys(name):
        rule = guide.rule(raw)
        for example in rule["examples"]:
            if not path or path == "/properties" or path.endswith("heater-reference-keys"):
                continue
            node = tree(example)
            check = _Check(guide)
            check.node(node, rule, "example", node.span)
            assert not check.found, (path, check.found)
            if isinstance(node, Scalar):
                assert scalar_fault(guide, node, rule) is None, path
                value = read_leaf(node, rule)
                assert not isinstance(value, Fault), (path, value)


@pytest.mark.parametrize("name", ["amp", "shop"])
def test_every_scalar_rule_has_a_type_word(name):
    guide = grammar(name)
    for path, raw in keys(name):
        rule = guide.rule(raw)
        if "type" in rule and set(types(rule)) & {"string", "number", "integer", "boolean"}:
            assert rule.get("x-type"), path
        if rule.get("x-type") in PARTS:
            assert "object" in types(rule), path


@pytest.mark.parametrize("path", [*DEMOS, SMALLEST, SHOP], ids=lambda path: path.name)
def test_the_jsonschema_package_agrees_on_good_files(path):
    name = "shop" if path == SHOP else "amp"
    guide = grammar(name)
    node, _ = build_tree(str(path), path.read_text(encoding="utf-8"))
    assert isinstance(node, Mapping)
    errors = list(Draft202012Validator(schema(name)).iter_errors(plain_view(node, guide.root, guide)))
    assert not errors
    # What an editor makes of the same file with the YAML reader's own types; dates are texts there as here.
    loaded = json.loads(json.dumps(yaml.safe_load(path.read_text(encoding="utf-8")), default=str))
    assert not list(Draft202012Validator(schema(name)).iter_errors(loaded))


@pytest.mark.parametrize("name", ["amp", "shop"])
def test_descriptions_are_sentences_of_their_own(name):
    """A key's description speaks of that key: where a type word is used, it is not the type word's own description."""
    types_of = {f"#/$defs/{key}": raw["description"] for key, raw in schema(name)["$defs"].items() if "x-type" in raw}
    for path, raw in keys(name):
        if raw.get("$ref") in types_of:
            assert raw["description"] != types_of[raw["$ref"]], path

"""The schemas alone teach: an editor with yaml-language-server completes every key and every kind in a new file and shows what it means.

Outside reference: yaml-language-server as npm has it (package-lock.json beside this file pins it), driven over stdio as an editor does.
Every place of the language that takes keys is visited once, in a file that holds nothing but the way there.
"""

from __future__ import annotations

import json
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cache
from typing import Any

import pytest

from humdinger.circuit.elaborate import SIGNAL_KINDS
from support.front import ROOT
from support.language_server import editor, modeline

SCHEMAS = ("amp", "shop")


@cache
def schema(name: str) -> dict[str, Any]:
    return json.loads((ROOT / "schemas" / f"{name}.schema.json").read_text(encoding="utf-8"))


@dataclass(frozen=True)
class Place:
    """A mapping of the language: the lines that lead to it, how far it is indented, and key -> what the schema says of it.

    given: what stands in it already (the key that decides which others there are). filled: what keys hold that take one of several kinds of
    mapping, and what the schema says of that kind; an editor cannot know which kind an empty one will be.
    """

    name: str
    lines: tuple[str, ...]
    indent: int
    keys: dict[str, str]
    given: str
    filled: dict[str, tuple[str, str]]


@cache
def places(name: str) -> dict[str, Place]:
    return {place.name: place for place in _places(schema(name), schema(name), "", (), 0, set())}


def _rule(root: dict[str, Any], raw: dict[str, Any]) -> dict[str, Any]:
    """The rule with what it refers to beneath it."""
    while "$ref" in raw:
        below = root["$defs"][raw["$ref"].rpartition("/")[2]]
        raw = {**below, **{k: v for k, v in raw.items() if k != "$ref"}}
    return raw


def _places(root: dict[str, Any], raw: dict[str, Any], name: str, lines: tuple[str, ...], indent: int, seen: set[str]) -> Iterator[Place]:
    rule = _rule(root, raw)
    if "items" in rule:
        head = (*lines[:-1], lines[-1]) if lines else ()
        yield from _places(root, rule["items"], f"{name}[]", (*head, " " * indent + "- "), indent + 2, seen)
    if "x-choice" in rule:
        key = rule["x-choice"]
        for way in rule["allOf"]:
            kind = way["if"]["properties"][key]["const"]
            yield from _mapping(root, _rule(root, way["then"]), f"{name}={kind}", lines, indent, seen, f"{key}: {kind}")
    elif "properties" in rule or "patternProperties" in rule:
        yield from _mapping(root, rule, name, lines, indent, seen, "")


def _mapping(
    root: dict[str, Any], rule: dict[str, Any], name: str, lines: tuple[str, ...], indent: int, seen: set[str], given: str
) -> Iterator[Place]:
    keys = rule.get("properties", {})
    mark = json.dumps(rule.get("properties") or rule.get("patternProperties"), sort_keys=True)
    if mark in seen:  # the parts of one kind are the same wherever they stand
        return
    seen.add(mark)
    if keys:
        below = {key: _rule(root, rule) for key, rule in keys.items()}
        filled = {key: _first_kind(root, rule) for key, rule in below.items() if "x-choice" in rule}
        yield Place(name, lines, indent, {key: rule["description"] for key, rule in below.items()}, given, filled)
    for key, below in keys.items():
        yield from _places(root, below, f"{name}.{key}", _with(lines, indent, given, f"{key}:"), indent + 2, seen)
    for pattern, below in rule.get("patternProperties", {}).items():
        known = _rule(root, rule).get("examples", [{}])[0]
        key = next(iter(known), "") if isinstance(known, dict) else ""
        if key:
            yield from _places(root, below, f"{name}.{pattern}", _with(lines, indent, given, f"{key}:"), indent + 2, seen)


def _first_kind(root: dict[str, Any], rule: dict[str, Any]) -> tuple[str, str]:
    key, way = rule["x-choice"], rule["allOf"][0]
    kind = way["if"]["properties"][key]["const"]
    return f"{{{key}: {kind}}}", _rule(root, way["then"])["description"]


def _with(lines: tuple[str, ...], indent: int, *more: str) -> tuple[str, ...]:
    """The lines with these keys below them; the first goes behind a dash that waits for it."""
    found = list(lines)
    for text in filter(None, more):
        if found and found[-1].endswith("- ") and len(found[-1]) == indent:
            found[-1] += text
        else:
            found.append(" " * indent + text)
    return tuple(found)


def at(place: Place, *more: str) -> str:
    """A new file with the way to a place and the given lines in it."""
    return "\n".join(_with(place.lines, place.indent, place.given, *more))


CASES = [(name, place) for name in SCHEMAS for place in places(name)]


@pytest.mark.parametrize(("name", "where"), CASES, ids=[f"{name}:{where or 'top'}" for name, where in CASES])
def test_every_key_is_completed_and_explained(name: str, where: str) -> None:
    place = places(name)[where]
    text = modeline(name) + at(place)
    waits = text.endswith("- ") or not (place.lines or place.given)
    offered = editor().complete(text if waits else text + "\n" + " " * place.indent)
    given = place.given.partition(":")[0]
    for key, description in place.keys.items():
        if key != given:
            assert key in offered, f"{key} is not offered"
            assert description in offered[key], key


@pytest.mark.parametrize(("name", "where"), CASES, ids=[f"{name}:{where or 'top'}" for name, where in CASES])
def test_every_key_shows_its_description_under_the_pointer(name: str, where: str) -> None:
    place = places(name)[where]
    given = place.given.partition(":")[0]
    keys = [key for key in place.keys if key != given]
    text = modeline(name) + at(place, *(f"{key}: {place.filled.get(key, ('',))[0]}".rstrip() for key in keys))
    editor().write(text)
    rows = text.split("\n")
    for key, row in zip(keys, range(len(rows) - len(keys), len(rows)), strict=True):
        said = place.filled[key][1] if key in place.filled else place.keys[key]
        assert said in editor().hover(row, rows[row].index(key) + 1), key


def test_every_kind_of_stage_is_offered_with_what_it_is() -> None:
    offered = editor().complete(modeline("amp") + "signal:\n  - stage: ")
    assert set(offered) == set(SIGNAL_KINDS)
    for kind in SIGNAL_KINDS:
        part = schema("amp")["$defs"][f"stage-{kind}"]
        assert offered[kind] == part["properties"]["stage"]["description"]
    assert len(set(offered.values())) == len(offered), "two kinds say the same of themselves"


def _choices() -> list[tuple[str, str, list[str]]]:
    found = []
    for name, rule in schema("amp")["$defs"].items():
        if "x-choice" in rule:
            key = rule["x-choice"]
            found.append((name, key, [way["if"]["properties"][key]["const"] for way in rule["allOf"]]))
    return found


WAYS = {"network-part": "signal:\n  - stage: network\n    parts:\n      - part: ", "stage": "signal:\n  - stage: "}
WAYS |= {"bias": "bias:\n  scheme: ", "injection": "modulation:\n  injection:\n    point: "}


@pytest.mark.parametrize(("name", "key", "kinds"), _choices(), ids=lambda x: x if isinstance(x, str) else "")
def test_what_decides_the_keys_is_offered_word_by_word(name: str, key: str, kinds: list[str]) -> None:
    if name not in WAYS:
        pytest.fail(f"say in WAYS how to come to {name}")
    offered = editor().complete(modeline("amp") + WAYS[name])
    assert set(kinds) <= set(offered)
    assert len({offered[kind] for kind in kinds}) == len(kinds), f"words of {key} that say the same of themselves"


def test_what_is_not_of_the_language_is_not_offered() -> None:
    """A key that is not of the language is not offered, and shows nothing."""
    offered = editor().complete(modeline("amp") + "signal:\n  - stage: volume\n    ")
    assert "plate_load" not in offered
    editor().write(modeline("amp") + "supply:\n  rectifyer:")
    assert "rectifier" not in editor().hover(2, 4)

"""Hostile text in every string field of a spec: the pages stay valid and inert, or the spec is refused with a diagnostic."""

from __future__ import annotations

import json
import random
import re
from collections.abc import Callable, Iterator
from functools import cache
from typing import Any

import pytest
import yaml

from humdinger.compile import compiled, elaborated
from humdinger.diagnostics.render_text import render_text
from humdinger.site.render import ALLOWED_TAGS
from support.amps import demo_text, dump
from support.front import PATH, SHOP, world
from support.hostile import CONTROLS, REFERENCES, TEXTS, leaves, rules_of_style, shape, spread
from support.manuals import DEMO_NAMES, manual

FREE = {"model/name", "model/summary", "signal/1/note", "donor/description", "maker", "address"}
"""Some of the fields that must be found, so that the search itself cannot come to nothing."""

MORE: dict[str, Any] = {
    "model": {"serial": "x"},
    "donor": {"reuse": [{"part": "x", "rating": "x", "note": "x"}], "description": "x"},
    "supply": {"pilot": {"lamp": "filament", "volts": "6.3 V", "current": "0.15 A"}},
}
"""What no demo has, and a spec may."""


@cache
def base(name: str) -> Any:
    """A demo as a tree in which every block stands that the schema allows texts in."""
    tree = yaml.load(demo_text(name), yaml.BaseLoader)
    for key, more in MORE.items():
        tree.setdefault(key, {})
        tree[key] |= {k: v for k, v in more.items() if k not in tree[key]}
    for path, kind, there in list(leaves("amp", tree)):
        if there and kind in ("resistor", "capacitor", "pot"):
            put(tree, path, spread(get(tree, path)))
    return tree


def get(tree: Any, path: str) -> Any:
    for key in path.split("/"):
        tree = tree[int(key)] if isinstance(tree, list) else tree[key]
    return tree


def put(tree: Any, path: str, value: Any) -> None:
    *above, last = path.split("/")
    at = get(tree, "/".join(above)) if above else tree
    at[int(last) if isinstance(at, list) else last] = value


def texts(name: str, *, free: bool) -> list[tuple[str, str]]:
    """(file, path) of every text: the free ones, or all that stand in the base."""
    found = [("amp", path, kind, there) for path, kind, there in leaves("amp", base(name))]
    found += [("shop", path, kind, there) for path, kind, there in leaves("shop", shop())]
    if free:
        return [(file, path) for file, path, kind, _ in found if kind == "text" and not REFERENCES.fullmatch(path)]
    return [(file, path) for file, path, _, there in found if there]


def shop() -> Any:
    return yaml.load(SHOP.read_text(encoding="utf-8"), yaml.BaseLoader)


PLAIN = re.compile(r"[A-Za-z0-9.](?:[A-Za-z0-9_ .%+/-]*[A-Za-z0-9%])?")


def written(tree: Any) -> str:
    """A tree as YAML: a key or an item per line, texts bare where they can be and quoted where they must."""
    if isinstance(tree, dict):
        return "{\n" + "".join(f"{written(key)}: {written(value)},\n" for key, value in tree.items()) + "}"
    if isinstance(tree, list):
        return "[\n" + "".join(f"{written(item)},\n" for item in tree) + "]"
    return tree if PLAIN.fullmatch(tree) else json.dumps(tree, ensure_ascii=False)


def files_of(name: str, hostile: Iterator[tuple[str, str, str]]) -> tuple[Any, Any]:
    """The manual of a demo with texts put in: (file, path, text)."""
    trees = {"amp": json.loads(json.dumps(base(name))), "shop": shop()}
    for file, path, text in hostile:
        put(trees[file], path, text)
    return compiled(world(written(trees["amp"]), {"shop.yaml": written(trees["shop"])}), PATH)


def inert(files: dict[str, bytes], plain: dict[str, bytes], what: str) -> None:
    """Every file parses, and has no element, attribute or style rule that the plain manual has not."""
    assert set(files) == set(plain), what
    markdown = ALLOWED_TAGS | {"div", "dd"}
    for path, data in files.items():
        if path.endswith((".html", ".svg")):
            tags, attributes = shape(path, data)
            known, usual = shape(path, plain[path])
            assert tags <= known | (markdown if path.endswith(".html") else set()), f"{what}: {path} has {tags - known}"
            strange = {(tag, name) for tag, name in attributes - usual if (tag, name) not in (("a", "href"), ("a", "rel"))}
            assert not strange, f"{what}: {path} has {strange}"
            assert rules_of_style(data) == rules_of_style(plain[path]), f"{what}: {path}"
        elif path.endswith(".json"):
            json.loads(data)
        else:
            assert data == plain[path] or not path.endswith(".css"), f"{what}: {path}"


@cache
def plain(name: str) -> dict[str, bytes]:
    """The manual with harmless words in every free field, so that the same blocks stand on its pages."""
    made, files = files_of(name, ((file, path, "plain") for file, path in texts(name, free=True)))
    assert files is not None, [d.message for d in made.diagnostics]
    return dict(files)


@pytest.mark.parametrize("name", DEMO_NAMES)
def test_the_search_finds_the_fields(name: str) -> None:
    found = {path for _, path in texts(name, free=True)}
    assert found >= FREE
    assert len([path for path in found if path.endswith("/part")]) > 20
    assert len(texts(name, free=False)) > 140


def test_every_free_text_at_once(deep_count: Callable[[int], int]) -> None:
    """Each hostile text in all free fields of an amp, and a mixture of all in each."""
    cases = [(name, text) for name in DEMO_NAMES for text in (*TEXTS, "")]
    random.Random(5).shuffle(cases)
    for name, text in cases[: deep_count(len(cases))]:
        pick = random.Random(f"{name}{text}")
        fields = ((file, path, text or pick.choice(TEXTS)) for file, path in texts(name, free=True))
        made, files = files_of(name, fields)
        what = f"{name}: {text[:40] or 'a mixture'}"
        assert files is not None, (what, [d.message for d in made.diagnostics if d.severity.value != "info"])
        inert(dict(files), plain(name), what)


def test_every_string_field_one_by_one(deep_count: Callable[[int], int]) -> None:
    """Most fields refuse it, with the line; one that takes it must print it harmlessly."""
    cases = [(name, *field, text) for name in DEMO_NAMES for field in texts(name, free=False) for text in TEXTS]
    random.Random(6).shuffle(cases)
    taken: list[tuple[str, str, str, str]] = []
    count = deep_count(4000)
    for name, file, path, text in cases[:count]:
        trees = {"amp": json.loads(json.dumps(base(name))), "shop": shop()}
        put(trees[file], path, text)
        made = elaborated(world(written(trees["amp"]), {"shop.yaml": written(trees["shop"])}), PATH)
        if not made.blocking:
            taken.append((name, file, path, text))
            continue
        shown = render_text(made.diagnostics, made.texts)
        assert "^" in shown, (path, text)
        assert shown.replace("\n", "").isprintable() or any(not c.isprintable() for c in text), (path, text)
    assert taken
    for name, file, path, text in taken[: count // 60]:
        made, files = files_of(name, iter([(file, path, text)]))
        if files is not None:
            _, fresh = files_of(name, iter([(file, path, "plain")]))
            if fresh is not None and set(fresh) == set(files):
                inert(dict(files), {**manual(name)[1], **dict(fresh)}, f"{name}: {path}: {text[:40]}")


@pytest.mark.parametrize("text", CONTROLS)
def test_control_characters_are_refused_with_their_place(text: str) -> None:
    quoted = json.dumps(text)  # as an escape in a quoted text, and as it is
    for form in (quoted, f"'{text}'"):
        spec = demo_text("dunlin").replace("name: Dunlin", f"name: {form}")
        assert spec != demo_text("dunlin")
        made = elaborated(world(spec), PATH)
        if form == quoted and text in ("a\x85b", "a\ufeffb") and not made.blocking:
            continue
        assert made.blocking, form
        assert any(d.primary is not None and d.primary.span.line < 12 for d in made.diagnostics)
        shown = render_text(made.diagnostics, made.texts)
        assert text[1] not in shown.replace("\n", "")


def test_a_tree_of_texts_reads_back() -> None:
    tree = json.loads(json.dumps(base("dunlin")))
    assert not elaborated(world(written(tree)), PATH).blocking
    assert not elaborated(world(dump(yaml.load(demo_text("dunlin"), yaml.BaseLoader))), PATH).blocking

"""Every code of the language passes has a page, and the page's examples do what it says."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
import yaml

import humdinger.spec
from humdinger.spec.explain import PAGES
from support.front import SMALLEST, codes, front


def overlay(base, piece):
    """A piece of a spec laid over a spec: mappings key by key, list items that name an id or node there into theirs, others at the end."""
    if isinstance(base, dict) and isinstance(piece, dict):
        return {**base, **{key: overlay(base[key], value) if key in base else value for key, value in piece.items()}}
    if isinstance(base, list) and isinstance(piece, list) and piece and all(isinstance(item, dict) for item in piece):
        made = list(base)
        for item in piece:
            at = next((i for i, old in enumerate(base) for key in ("id", "node") if key in item and old.get(key) == item[key]), None)
            if at is None:
                made.append(item)
            else:
                made[at] = overlay(made[at], item)
        return made
    return piece


def run(piece: str):
    """The codes of the smallest amp with a piece laid over it."""
    base = yaml.load(SMALLEST.read_text(encoding="utf-8"), yaml.BaseLoader)
    text = yaml.dump(overlay(base, yaml.load(piece, yaml.BaseLoader)), sort_keys=False, allow_unicode=True).replace("''", "")
    return codes(front(re.sub(r"'([^'\n]*)'", r"\1", text))[1])


@pytest.mark.parametrize("code", PAGES)
def test_examples(code):
    page = PAGES[code]
    assert page.code == code
    assert page.bad
    assert page.good
    assert run(page.bad) == [code]
    assert run(page.good) == []


def test_every_code_that_is_reported_has_a_page_and_the_other_way_round():
    reported = set()
    for path in Path(humdinger.spec.__path__[0]).glob("*.py"):
        if path.name != "explain.py":
            reported |= set(re.findall(r'"((?:SCH|UNI|NAM)-[0-9]{3})"', path.read_text(encoding="utf-8")))
    assert reported == set(PAGES)


def test_rule_names_agree():
    for path in Path(humdinger.spec.__path__[0]).glob("*.py"):
        text = path.read_text(encoding="utf-8")
        for code, name in re.findall(r'"((?:SCH|UNI|NAM)-[0-9]{3})",\s*"([a-z-]+)"', text):
            assert PAGES[code].rule == name, (path.name, code)

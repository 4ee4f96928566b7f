"""Every rule is whole: registered both ways, named in both spellings, its page has all heads, and a corpus file shows it."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

import humdinger.rules
from humdinger.explain import explanation, pages
from humdinger.rules.model import Rule
from humdinger.rules.registry import ALIASES, HEADS, MODULES, all_rules, resolve_code
from support.corpus import CORPUS
from support.rule_pages import example, sections

FOLDER = Path(humdinger.rules.__path__[0])
RULES = all_rules()


def test_registry_and_folders_agree() -> None:
    files = {f"{p.parent.name}.{p.stem}" for p in FOLDER.glob("*/*.py") if p.stem != "__init__"}
    assert files == set(MODULES.values())
    assert len(set(MODULES.values())) == len(MODULES)
    assert list(MODULES) == sorted(MODULES)


def test_names_are_unique_and_spelt_as_their_files() -> None:
    names = [rule.name for rule in RULES]
    assert len(set(names)) == len(names)
    for rule in RULES:
        assert MODULES[rule.code].split(".")[1] == rule.name.replace("-", "_")


def test_aliases_lead_to_rules_and_are_none_themselves() -> None:
    for old, new in ALIASES.items():
        assert old not in MODULES
        assert new in MODULES
        assert resolve_code(old) == new


def test_no_code_is_used_twice() -> None:
    assert not set(pages()) & set(MODULES)
    assert not set(pages()) & set(ALIASES)


@pytest.mark.parametrize("rule", RULES, ids=lambda rule: rule.code)
def test_page(rule: Rule) -> None:
    found = sections(rule)
    assert tuple(found) == HEADS
    assert all(text.strip() for text in found.values())
    for head in ("Example (bad)", "Example (good)"):
        assert example(rule, head).over in ("dunlin", "curlew", "heron")
    bad = example(rule, "Example (bad)")
    assert bad.changes or bad.shop
    sources = found["Limits and sources"]
    pattern = r"common practice|from memory|as quoted|physics|computed|handbook|standard|derived"
    assert re.search(pattern, sources), f"{rule.code} names no source"
    assert rule.code in (explanation(rule.code) or "")
    assert explanation(rule.name) == explanation(rule.code)


@pytest.mark.parametrize("rule", RULES, ids=lambda rule: rule.code)
def test_corpus_file(rule: Rule) -> None:
    path = CORPUS / "rules" / f"{rule.code}.amp.yaml"
    assert path.exists(), f"no corpus file for {rule.code}"
    assert f"[{rule.code}]" in path.read_text(encoding="utf-8")

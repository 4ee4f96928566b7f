"""Every code of elaboration and of the graph checks has a page, and the page's examples do what it says."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

import humdinger.circuit
from humdinger.circuit.explain import PAGES
from support.texts import laid_over

BASES = {
    "ELB-011": "ruff",
    "ELB-013": "ruff",
    "ELB-014": "ruff",
    "ELB-021": "ruff",
    "ELB-023": "ruff",
    "ELB-024": "ruff",
    "ELB-025": "ruff",
    "ELB-026": "whimbrel",
    "ELB-027": "whimbrel",
    "ELB-043": "whimbrel",
    "ELB-055": "whimbrel",
    "ELB-070": "ruff",
    "ELB-110": "whimbrel",
    "ELB-090": "ruff",
    "NET-003": "whimbrel",
}
"""What the examples are laid over, where it is not the smallest amp."""

WITH = {
    "ELB-011": {"ELB-017", "ELB-018"},  # the output stage misses its inverter too
    "ELB-012": {"ELB-018"},  # and takes its signal from the second jack
    "ELB-017": {"ELB-018"},
}
"""Codes a bad example cannot help giving besides."""

EARLIER = {"ELB-019": "NAM-009", "ELB-020": "NAM-004", "ELB-022": "NAM-013"}
"""Name resolution sees these first; elaboration holds for designs made without it."""

ONE_NODE = "ELB-047"
"""Its example takes nodes away, which an overlay cannot do: test_supply_filter has it."""


def sources():
    return [p for p in Path(humdinger.circuit.__path__[0]).rglob("*.py") if not p.name.startswith("explain")]


@pytest.mark.parametrize("code", [code for code, page in PAGES.items() if page.bad and code not in (*EARLIER, ONE_NODE)])
def test_bad_example_gives_its_code(code):
    found = set(laid_over(BASES.get(code, "smallest"), PAGES[code].bad).codes())
    assert found - WITH.get(code, set()) == {code}


@pytest.mark.parametrize("code", [code for code, page in PAGES.items() if page.good and code not in (*EARLIER, ONE_NODE)])
def test_good_example_gives_nothing(code):
    assert laid_over(BASES.get(code, "smallest"), PAGES[code].good).codes() == []


@pytest.mark.parametrize("code", ["ELB-019", "ELB-020"])
def test_name_resolution_comes_first(code):
    assert laid_over("smallest", PAGES[code].bad).codes() == [EARLIER[code]]


def test_pages_and_reports_are_the_same_codes():
    reported = set()
    for path in sources():
        reported |= set(re.findall(r'"((?:ELB|NET)-[0-9]{3})"', path.read_text(encoding="utf-8")))
    assert reported == set(PAGES)


def test_one_code_has_one_name():
    for path in sources():
        for code, name in re.findall(r'"((?:ELB|NET)-[0-9]{3})",\s*"([a-z-]+)",', path.read_text(encoding="utf-8")):
            assert PAGES[code].rule == name, (path.name, code)


def test_numbers_are_in_order():
    assert list(PAGES) == sorted(PAGES)

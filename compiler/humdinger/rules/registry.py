"""The list of rules: code -> file. One rule, one file; its docstring is its page. Numbers are never reused."""

from __future__ import annotations

from functools import cache
from importlib import import_module

from .model import Rule

MODULES: dict[str, str] = {
    "HTR-001": "heaters.overloaded_heater_winding",
}
"""Rule code -> module below rules/. A meta test compares it with the folders."""

ALIASES: dict[str, str] = {
    "HTR-007": "TUB-008",
    "BIA-010": "TUB-011",
    "BIA-011": "BIA-001",
    "TRM-007": "TUB-011",
    "PIN-004": "TUB-008",
}
"""Merged codes -> the code that says the same."""

HEADS = (
    "What it checks",
    "Why it matters",
    "How it is computed",
    "Limits and sources",
    "Example (bad)",
    "Example (good)",
    "When to waive it",
)
"""The heads of every rule's docstring, in order."""


def load_rule(code: str) -> Rule:
    """The rule of a code. Raises KeyError for a code that is none."""
    module = import_module(f".{MODULES[code]}", __package__)
    area = MODULES[code].split(".")[0]
    aliases = tuple(old for old, new in ALIASES.items() if new == code)
    return Rule(code, module.NAME, area, module.__doc__ or "", module.check, aliases)


@cache
def all_rules() -> tuple[Rule, ...]:
    """Every rule, by code."""
    return tuple(load_rule(code) for code in sorted(MODULES))


def resolve_code(word: str) -> str:
    """A rule code, an alias or a rule name -> the code; the word itself when it is none of these."""
    word = word.strip()
    code = ALIASES.get(word.upper(), word.upper())
    if code in MODULES:
        return code
    for rule in all_rules():
        if rule.name == word.lower():
            return rule.code
    return word

"""The docstring of a rule as its parts."""

from __future__ import annotations

from typing import NamedTuple

from humdinger.rules.model import Rule
from humdinger.rules.registry import HEADS


class Example(NamedTuple):
    """An example of a rule's page: the demo it is laid over, the changes, and the codes that unavoidably come along."""

    over: str
    changes: dict[str, str]
    also: tuple[str, ...]
    shop: dict[str, str]
    """Changes of the shop file: lines whose path begins with `shop/`."""


def sections(rule: Rule) -> dict[str, str]:
    """Head -> text below it, in order of the page."""
    found: dict[str, list[str]] = {}
    head = ""
    for line in rule.document.splitlines():
        if line in HEADS:
            head = line
            found[head] = []
        elif head:
            found[head].append(line)
    return {name: "\n".join(lines).strip("\n") for name, lines in found.items()}


def example(rule: Rule, head: str) -> Example:
    """The example below a head. Raises ValueError for a line that is none of `over:`, `also:`, `path: value`."""
    over, also, changes, shop = "", (), {}, {}
    for line in sections(rule)[head].splitlines():
        key, colon, value = line.strip().partition(": ")
        if not colon:
            if line.strip():
                raise ValueError(f"{rule.code}: {line.strip()!r} is no `path: value`")
        elif key == "over":
            over = value.strip()
        elif key == "also":
            also = tuple(code.strip() for code in value.split(","))
        elif key.startswith("shop/"):
            shop[key.removeprefix("shop/")] = value
        else:
            changes[key] = value
    return Example(over, changes, also, shop)

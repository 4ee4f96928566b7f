"""How the language passes call things: places in the spec, shapes, examples."""

from __future__ import annotations

from collections.abc import Iterable

from ..source.tree import Mapping, Scalar
from .grammar import Rule

SHAPES = {"object": "a mapping of keys", "array": "a list", "scalar": "one value"}
TRUTH = {"yes": "true", "on": "true", "y": "true", "1": "true", "no": "false", "off": "false", "n": "false", "0": "false"}
LONGEST = 40


def join(path: str, key: str) -> str:
    """The path of a key under a path."""
    return f"{path}/{key}" if path else key


def cut(text: str) -> str:
    """A written text short enough for a message, line breaks shown."""
    shown = text.replace("\n", "\\n")
    return shown if len(shown) <= LONGEST else f"{shown[: LONGEST - 1]}…"


def quoted(scalar: Scalar) -> str:
    """A scalar as written, in quotes."""
    return f"'{cut(scalar.text)}'"


def title(path: str) -> str:
    """A value by its key: `plate_load`; a list item by its list and number: item 2 of `taps`."""
    head, _, last = path.rpartition("/")
    if last.isdigit() and head:
        return f"item {int(last) + 1} of {title(head)}"
    return f"`{cut(last)}`" if last else "the spec"


def owner(path: str, node: Mapping | None = None) -> str:
    """A mapping by what it is: a stage by its kind and id, a section by its key."""
    if not path:
        return "the spec"
    if node is not None and path.startswith("signal/") and path.count("/") == 1:
        kind = node.get("stage")
        if isinstance(kind, Scalar):
            return f"{article(kind.text)} {cut(kind.text)} stage"
    return title(path)


def article(word: str) -> str:
    """a or an."""
    return "an" if word[:1].lower() in ("a", "e", "i", "o", "u") else "a"


def listed(words: Iterable[str]) -> str:
    """a, b and c."""
    known = list(words)
    if len(known) < 2:
        return "".join(known)
    return f"{', '.join(known[:-1])} and {known[-1]}"


def shapes(allowed: Iterable[str]) -> str:
    """What would have been right."""
    names = dict.fromkeys(SHAPES.get(word, "one value") for word in allowed)
    return " or ".join(names)


def entries(count: int) -> str:
    """2 entries."""
    return f"{count} {'entry' if count == 1 else 'entries'}" if count else "no entry"


def amount(low: int, high: int | None) -> str:
    """The number of entries wanted."""
    if high is None:
        return f"{low} or more"
    return str(low) if low == high else f"{low} to {high}"


def example(rule: Rule) -> str:
    """The schema's first example as one would write it in YAML."""
    return _flow(rule["examples"][0]) if rule.get("examples") else ""


def example_help(path: str, rule: Rule) -> str:
    """A help that shows the value with its key; nothing when the example is longer than a line."""
    shown = example(rule)
    key = path.rpartition("/")[2]
    if not shown or len(shown) > 100:
        return ""
    return f"write {shown}" if key.isdigit() or not key else f"write `{key}: {shown}`"


def _flow(value: object) -> str:
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, dict):
        return "{" + ", ".join(f"{key}: {_flow(below)}" for key, below in value.items()) + "}"
    if isinstance(value, list):
        return "[" + ", ".join(_flow(item) for item in value) + "]"
    return str(value)


def alternatives(words: Iterable[str]) -> str:
    """a, b or c."""
    return " or ".join(words)

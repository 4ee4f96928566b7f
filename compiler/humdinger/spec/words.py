"""How the language passes call things: places in the spec, shapes, examples."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

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
    """A mapping by its kind: a common-cathode stage, else as `title`."""
    kind, _ = _stage(path, node)
    return f"{article(kind)} {cut(kind)} stage" if kind else title(path)


def this(path: str, node: Mapping) -> str:
    """One mapping: the common-cathode stage `first`, else as `title`."""
    kind, name = _stage(path, node)
    return f"the {cut(kind)} stage `{cut(name)}`" if kind and name else owner(path, node)


def _stage(path: str, node: Mapping | None) -> tuple[str, str]:
    """Kind and id of a stage; empty for anything else."""
    if node is None or not path.startswith("signal/") or path.count("/") != 1:
        return "", ""
    kind, name = node.get("stage"), node.get("id")
    return kind.text if isinstance(kind, Scalar) else "", name.text if isinstance(name, Scalar) else ""


def article(word: str) -> str:
    """a or an."""
    return "an" if word[:1].lower() in ("a", "e", "i", "o", "u") else "a"


def listed(words: Iterable[str], last: str = "and") -> str:
    """a, b and c."""
    known = list(words)
    if len(known) < 2:
        return "".join(known)
    return f"{', '.join(known[:-1])} {last} {known[-1]}"


def alternatives(words: Iterable[str]) -> str:
    """a, b or c."""
    return listed(words, "or")


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
    return str(low) if low == high else f"{low} {'or' if high == low + 1 else 'to'} {high}"


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


def other_forms(text: str) -> Iterator[str]:
    """The ways a name may have been meant: other case, without what stands between its letters, with hyphens."""
    solid = "".join(letter for letter in text if letter.isalnum())
    hyphened = "-".join(text.replace("_", " ").replace("-", " ").split())
    for form in (solid, hyphened):
        yield from (form, form.upper(), form.lower(), form[:1].upper() + form[1:].lower())

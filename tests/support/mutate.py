"""Good specs made bad at random, and what must hold whatever comes of them.

`survive(run, cases)` gives a function that reads a text nothing but mutants and fails on the first that makes it raise, say nothing of an
error, point outside the text, or say two things on two runs. Seeds are fixed, so a case has the same text in every run.
"""

from __future__ import annotations

import random
import re
from collections.abc import Callable, Iterable, Iterator
from typing import Any

import yaml

from humdinger.diagnostics import Diagnostic, Severity

from .front import DEMOS, SMALLEST

Run = Callable[[str], tuple[object | None, Iterable[Diagnostic]]]
"""Text -> (what was made of it or None, diagnostics)."""

ODD = (
    "", "~", "null", "no", "yes", "on", "-1", "0", "00", "012", "1:30", "1e3", "1e999", "-1e-999", ".nan", ".inf", "0x1F", "1_000", "+5",
    "4k7k7", "k", "M", "1M", "22", "22n", "5 %", "1/0", "9" * 400, "x" * 3000, "é" * 90, "µ", "Ω", "🎸", "½W", "V1a", "V99z", "V1", "V4",
    "B1", "B99", "level", "first", "input", "100k 1W 5% film wirewound", "T T 1A", "0-0-0 V", "220-0-220", "250 V", "4 A", "2026-99-99",
    "true", "TRUE", "False", "[]", "{}", "[[]]", "{a: {b: c}}", "[1, [2, [3]]]", "{value: 1k}", "{value: }", "{value: {value: 1k}}",
    "'", '"', "'1k'", '"4k7 \\u0007"', "|", ">-", "&a 1k", "*a", "*missing", "!!python/name:os.system x",
    "!tag", "<<", "---", "...", "%YAML",
    "#", "# error", "@", "`", ": :", "- -", "? x", "\t", "\x00", "\x1b[31m", "\u2028", "\ufeff", "\ufffd",
    "signal/1/plate_load", "../../etc/passwd", "humdinger", "single-ended", "cathode", "fixed", "bias-supply", "direct", "all", "rectifier",
)  # fmt: skip

BASES = tuple(path.read_text(encoding="utf-8") for path in (*DEMOS, SMALLEST))

_VALUE = re.compile(r"(?<=: )[^\s{\[][^,}\]\n]*")
_NUMBER = re.compile(r"(?<=[ \[])[0-9]+(?:\.[0-9]+)?(?=[kMnupm ,\]}]|$)", re.MULTILINE)
_KEY = re.compile(r"[a-z_]+(?=:)")


def survive(run: Run, cases: int, *, name: str = "mutant") -> None:
    """Runs a function on so many mutants. Raises AssertionError with the case's number and text."""
    for number, text in mutants(cases, name):
        try:
            made, found = run(text)
            found = tuple(found)
        except Exception as error:
            raise AssertionError(f"{name} {number} raised {type(error).__name__}: {error}\n{text}") from error
        wrong = _wrong(made, found, text)
        assert not wrong, f"{name} {number}: {wrong}\n{text}"
        if number % 10 == 0:
            assert tuple(run(text)[1]) == found, f"{name} {number} is judged differently the second time\n{text}"


def _wrong(made: object | None, found: tuple[Diagnostic, ...], text: str) -> str:
    """What is wrong with an answer, "" when nothing is."""
    if made is None and not any(d.severity in (Severity.ERROR, Severity.DANGER) for d in found):
        return "nothing was made of it, and no error said why"
    lines = re.split(r"\r\n|\n", text)
    for diagnostic in found:
        if diagnostic.labels and sum(label.primary for label in diagnostic.labels) != 1:
            return f"{diagnostic.code} does not have one primary label"
        for label in diagnostic.labels:
            span = label.span
            if not (1 <= span.line <= span.end_line <= len(lines) + 1 and span.column >= 1):
                return f"{diagnostic.code} points outside the text: {span}"
        if "\n" in diagnostic.message or not diagnostic.message:
            return f"{diagnostic.code} has a message of no or several lines"
    return ""


def mutants(cases: int, name: str = "mutant") -> Iterator[tuple[int, str]]:
    """(number, text) of so many mutants; the text of a number never changes."""
    for number in range(cases):
        chance = random.Random(f"{name} {number}")
        text = chance.choice(BASES)
        yield number, chance.choice((_change_tree, _change_text, _change_numbers))(text, chance)


# -- the text as a text ---------------------------------------------------------------------------------------------
def _change_text(text: str, chance: random.Random) -> str:
    for _ in range(chance.choice((1, 1, 1, 2, 3, 6))):
        text = chance.choice(_TEXT_CHANGES)(text, chance)
    return text


def _delete_line(text: str, chance: random.Random) -> str:
    lines = text.split("\n")
    del lines[chance.randrange(len(lines))]
    return "\n".join(lines)


def _repeat_line(text: str, chance: random.Random) -> str:
    lines = text.split("\n")
    at = chance.randrange(len(lines))
    lines.insert(chance.choice((at, chance.randrange(len(lines)))), lines[at])
    return "\n".join(lines)


def _indent_line(text: str, chance: random.Random) -> str:
    lines = text.split("\n")
    at = chance.randrange(len(lines))
    lines[at] = chance.choice((" ", "  ", "\t", "- ")) + lines[at] if chance.random() < 0.6 else lines[at].lstrip()
    return "\n".join(lines)


def _insert(text: str, chance: random.Random) -> str:
    at = chance.randrange(len(text) + 1)
    return text[:at] + chance.choice(ODD) + text[at:]


def _cut_out(text: str, chance: random.Random) -> str:
    at = chance.randrange(len(text) + 1)
    return text[:at] + text[at + chance.choice((1, 1, 2, 5, 40)) :]


def _truncate(text: str, chance: random.Random) -> str:
    return text[: chance.randrange(len(text) + 1)]


def _swap_values(text: str, chance: random.Random) -> str:
    found = list(_VALUE.finditer(text))
    if len(found) < 2:
        return text
    one, other = sorted(chance.sample(found, 2), key=lambda m: m.start())
    return text[: one.start()] + other[0] + text[one.end() : other.start()] + one[0] + text[other.end() :]


def _odd_value(text: str, chance: random.Random) -> str:
    found = list(_VALUE.finditer(text))
    if not found:
        return text
    one = chance.choice(found)
    return text[: one.start()] + chance.choice(ODD) + text[one.end() :]


def _rename_key(text: str, chance: random.Random) -> str:
    found = list(_KEY.finditer(text))
    if not found:
        return text
    one = chance.choice(found)
    new = chance.choice((chance.choice(found)[0], garbled(one[0], chance), chance.choice(ODD)))
    return text[: one.start()] + new + text[one.end() :]


_TEXT_CHANGES = (_delete_line, _repeat_line, _indent_line, _insert, _cut_out, _truncate, _swap_values, _odd_value, _rename_key)


def _change_numbers(text: str, chance: random.Random) -> str:
    """Other numbers in the same places: such a spec is mostly sound as a text and may be anything as an amp."""
    for _ in range(chance.choice((1, 2, 5, 15))):
        found = list(_NUMBER.finditer(text))
        one = chance.choice(found)
        number = float(one[0]) * 10 ** chance.choice((-3, -1, -0.3, 0, 0.3, 1, 3))
        new = f"{number:.3g}" if 1e-3 < number < 1e4 else one[0] + "0"
        text = text[: one.start()] + new + text[one.end() :]
    return text


# -- the text as a tree ---------------------------------------------------------------------------------------------
def _change_tree(text: str, chance: random.Random) -> str:
    root = yaml.load(text, yaml.BaseLoader)
    for _ in range(chance.choice((1, 1, 2, 3, 8))):
        places = list(_places(root))
        if not places:
            break
        chance.choice(_TREE_CHANGES)(places, chance)
    # Plain scalars as a builder would write them; what needs quotes keeps them.
    return re.sub(r"'([A-Za-z0-9][A-Za-z0-9 .%-]*)'", r"\1", yaml.safe_dump(root, sort_keys=False, allow_unicode=True, width=200))


def _places(node: Any) -> Iterator[tuple[Any, Any]]:
    """(container, key or index) of everything in a tree."""
    rows = list(node.items()) if isinstance(node, dict) else list(enumerate(node)) if isinstance(node, list) else []
    for key, below in rows:
        yield node, key
        yield from _places(below)


def _drop(places: list[tuple[Any, Any]], chance: random.Random) -> None:
    container, key = chance.choice(places)
    del container[key]


def _put_odd(places: list[tuple[Any, Any]], chance: random.Random) -> None:
    container, key = chance.choice(places)
    container[key] = chance.choice(ODD)


def _garble(places: list[tuple[Any, Any]], chance: random.Random) -> None:
    texts = [(c, k) for c, k in places if isinstance(c[k], str)]
    if texts:
        container, key = chance.choice(texts)
        container[key] = garbled(container[key], chance)


def _wrap(places: list[tuple[Any, Any]], chance: random.Random) -> None:
    container, key = chance.choice(places)
    below = container[key]
    container[key] = chance.choice(([below], {"value": below}, [below, below], {}, []))


def _swap(places: list[tuple[Any, Any]], chance: random.Random) -> None:
    # Copies, so that no part of the tree stands inside itself.
    (one, key), (other, name) = chance.choice(places), chance.choice(places)
    one[key], other[name] = _copy(other[name]), _copy(one[key])


def _repeat(places: list[tuple[Any, Any]], chance: random.Random) -> None:
    items = [(c, k) for c, k in places if isinstance(c, list)]
    if items:
        container, at = chance.choice(items)
        container.insert(chance.randrange(len(container) + 1), _copy(container[at]))


def _rename(places: list[tuple[Any, Any]], chance: random.Random) -> None:
    keys = [(c, k) for c, k in places if isinstance(c, dict)]
    if keys:
        container, key = chance.choice(keys)
        new = chance.choice((chance.choice(keys)[1], garbled(key, chance), chance.choice(ODD)))
        container[new] = container.pop(key)


_TREE_CHANGES = (_drop, _put_odd, _garble, _wrap, _swap, _repeat, _rename)


def _copy(node: Any) -> Any:
    if isinstance(node, dict):
        return {key: _copy(below) for key, below in node.items()}
    return [_copy(item) for item in node] if isinstance(node, list) else node


def garbled(text: str, chance: random.Random) -> str:
    """A text with one slip of the fingers."""
    if not text:
        return "x"
    at = chance.randrange(len(text))
    letter = chance.choice("abkmnpuKMRVWH0123456789 .,-_%µΩ")
    return chance.choice(
        (
            text[:at] + text[at + 1 :],
            text[:at] + letter + text[at:],
            text[:at] + letter + text[at + 1 :],
            text[:at] + text[at + 1 : at + 2] + text[at] + text[at + 2 :],
            text.upper(),
        )
    )

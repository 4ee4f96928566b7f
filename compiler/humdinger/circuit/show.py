"""The fully elaborated spec: every value that is written, included or filled in, and where it comes from.

`show_text` prints it as a spec again: compiled, it gives the same netlist.
"""

from __future__ import annotations

import json
import posixpath
import re
from collections.abc import Iterator
from dataclasses import dataclass, field
from typing import Any, NamedTuple

from ..records import record
from ..spec.design import Design
from ..spec.model import Block, Field
from ..units.components import default_capacitor_type, parse_capacitor, parse_resistor
from ..units.format import code_farads, code_ohms
from ..units.values import Capacitance, Potentiometer, Resistance
from .netlist import Netlist, Origin

MIDDLE = "the middle of its turn"
HEAD = "every value of the spec, and where the ones it does not write come from; resistors without a type are film, from 4 W up wirewound"
_PLAIN = re.compile(r"[A-Za-z0-9_./+µΩ^][A-Za-z0-9_ ./+%µΩ°²^()-]*")
_TRAP = re.compile(r"(?i:y|n|yes|no|on|off|true|false|null|~)|[-+.]?[0-9][0-9_.:]*(?:[eE][-+]?[0-9]+)?")


class Shown(NamedTuple):
    """A value: its spec path, its text as one would write it, and why it is what it is (kind "spec", "include" or "default")."""

    path: str
    text: str
    origin: Origin


@record
class _Leaf:
    """A value in the tree. raw: the text is YAML as it stands; words: it stands for words, which may look like something else."""

    text: str
    origin: Origin
    note: str = ""
    raw: bool = False
    words: bool = False

    def yaml(self) -> str:
        """The text as a YAML scalar that is read back as it is."""
        if self.raw:
            return self.text
        plain = _PLAIN.fullmatch(self.text) and not self.text.endswith(" ") and not (self.words and _TRAP.fullmatch(self.text))
        return self.text if plain else json.dumps(self.text, ensure_ascii=False)


@dataclass(slots=True)
class _Map:
    entries: dict[str, _Node] = field(default_factory=dict)


@dataclass(slots=True)
class _List:
    items: list[_Node] = field(default_factory=list)


_Node = _Leaf | _Map | _List


def shown(design: Design, netlist: Netlist) -> list[Shown]:
    """Every value in the order of the spec, defaults after what is written beside them; the house style of the shop file at the end."""
    rows = [Shown(path, leaf.text, leaf.origin) for path, leaf in _leaves(_tree(design, netlist), "")]
    return rows + [Shown(f"shop/{path}", leaf.text, leaf.origin) for path, leaf in _house(design)]


def show_text(design: Design, netlist: Netlist) -> str:
    """The elaborated spec as YAML with a comment on every value that is not written in the spec itself."""
    lines = [f"# {design.name}: {HEAD}"]
    for path, leaf in _house(design):
        lines.append(f"# shop {path}: {leaf.yaml()} (from {_file(design.shop)})")
    lines += _print(_tree(design, netlist), "")
    return "\n".join(lines) + "\n"


def _house(design: Design) -> Iterator[tuple[str, _Leaf]]:
    """The shop file's values: they are no keys of a spec."""
    return (row for row in _leaves(_of_block(design.shop, ""), "") if not row[0].startswith("humdinger"))


# -- the tree ---------------------------------------------------------------------------------------------------------
def _tree(design: Design, netlist: Netlist) -> _Map:
    """The spec with its defaults in place."""
    spec = design.spec
    tree = _of_block(spec, spec.span.file)
    if "frequency" not in spec:
        _insert(tree, ["frequency"], f"{netlist.mains_hertz:g} Hz", f"the mains of region {design.region.code}")
    for default in netlist.defaults:
        _insert(tree, default.path.split("/"), default.text, default.reason)
    for control in netlist.controls:
        _insert(tree, ["controls", control.name], f"{10.0 * control.position:g}", MIDDLE)
    return tree


def _of_block(block: Block, main: str) -> _Map:
    return _Map({key: _of_field(found, main) for key, found in block})


def _of_field(found: Field, main: str) -> _Node:
    """A field as a tree. main: the spec's own file; what stands elsewhere was included."""
    value = found.value
    if isinstance(value, Block):
        return _of_block(value, main)
    if isinstance(value, tuple):
        return _List([_of_field(item, main) for item in value])
    origin = Origin("spec") if found.span.file == main else Origin("include", f"from {posixpath.basename(found.span.file)}")
    if not found.text and isinstance(value, Resistance | Capacitance | Potentiometer):
        return _Map({key: _Leaf(text, origin, words=key == "part") for key, text in _component(value) if text})
    note = ""
    if isinstance(value, Capacitance) and value.technology is None:
        note = f"{default_capacitor_type(value)} by default"
    return _Leaf(found.text, origin, note, words=isinstance(value, str))


def _component(value: Resistance | Capacitance | Potentiometer) -> Iterator[tuple[str, str]]:
    """A component written as a mapping, key by key; figures exact, so that they are read back to the bit."""
    if isinstance(value, Capacitance):
        yield "value", _exact(value.farads, code_farads(value.farads), "F", parse_capacitor(code_farads(value.farads)))
        yield "rating", _unit(value.volts, "V")
        yield "ripple", _unit(value.ripple_amps, "A")
    else:
        yield "value", _exact(value.ohms, code_ohms(value.ohms), "Ω", parse_resistor(code_ohms(value.ohms)))
        yield "power", _unit(value.watts, "W")
    if isinstance(value, Resistance):
        yield "volts", _unit(value.volts, "V")
    if isinstance(value, Potentiometer):
        yield "taper", value.taper
    elif value.tolerance is not None:
        yield "tolerance", f"{round(100.0 * value.tolerance, 9):g} %"
    yield "type", value.technology or ""
    yield "part", value.part


def _exact(value: float, code: str, unit: str, read: Any) -> str:
    back = getattr(read, "farads", None) if unit == "F" else getattr(read, "ohms", None)
    return code if back == value else f"{value!r} {unit}"


def _unit(value: float | None, unit: str) -> str:
    return "" if value is None else f"{value:.12g} {unit}"


def _insert(tree: _Map, keys: list[str], text: str, reason: str) -> None:
    """Puts a default at its path. What is written already stands; a path through something that is no mapping leads nowhere."""
    node: _Node = tree
    for key in keys[:-1]:
        if isinstance(node, _Map):
            node = node.entries.setdefault(key, _Map())
        elif isinstance(node, _List) and key.isdigit() and int(key) < len(node.items):
            node = node.items[int(key)]
        else:
            return
    if isinstance(node, _Map):
        node.entries.setdefault(keys[-1], _Leaf(text, Origin("default", reason), raw=text.startswith(("[", "{"))))


def _leaves(node: _Node, path: str) -> Iterator[tuple[str, _Leaf]]:
    """Every leaf with its path."""
    if isinstance(node, _Leaf):
        yield path, node
        return
    below = node.entries.items() if isinstance(node, _Map) else ((str(at), item) for at, item in enumerate(node.items))
    for key, child in below:
        yield from _leaves(child, f"{path}/{key}".lstrip("/"))


# -- printing ---------------------------------------------------------------------------------------------------------
def _print(node: _Map, pad: str) -> Iterator[str]:
    for key, child in node.entries.items():
        head = f"{pad}{key}:"
        if isinstance(child, _Map):
            yield from (head, *_print(child, f"{pad}  ")) if child.entries else (f"{head} {{}}",)
        elif isinstance(child, _List) and any(not isinstance(item, _Leaf) for item in child.items):
            yield head
            for item in child.items:
                yield from _item(item, f"{pad}  ")
        else:
            yield _scalar(head, child)


def _item(item: _Node, pad: str) -> Iterator[str]:
    """An item of a list of mappings: its first line carries the dash."""
    if isinstance(item, _Map) and item.entries:
        first, *rest = _print(item, f"{pad}  ")
        yield f"{pad}- {first.lstrip()}"
        yield from rest
    else:
        yield _scalar(f"{pad}-", item) if not isinstance(item, _Map) else f"{pad}- {{}}"


def _scalar(head: str, node: _Leaf | _List) -> str:
    """A value, or a list of values, on one line with its comment."""
    leaves = [node] if isinstance(node, _Leaf) else [item for item in node.items if isinstance(item, _Leaf)]
    text = node.yaml() if isinstance(node, _Leaf) else f"[{', '.join(leaf.yaml() for leaf in leaves)}]"
    comments = dict.fromkeys(said for leaf in leaves for said in (_said(leaf.origin), leaf.note) if said)
    return f"{head} {text}" + (f"  # {'; '.join(comments)}" if comments else "")


def _said(origin: Origin) -> str:
    if origin.kind == "default":
        return f"default: {origin.reason}"
    return origin.reason if origin.kind == "include" else ""


def _file(block: Block) -> str:
    return posixpath.basename(block.span.file)

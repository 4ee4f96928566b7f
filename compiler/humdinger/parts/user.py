"""A builder's own parts, from files the spec includes, as library types.

Such a file has `tubes-library:` and `diodes-library:`, name -> the same keys as the built-in files, plus `like: NAME`, which takes
everything not said from a built-in part. Whatever is wrong becomes a diagnostic at its line; a part with a fault still stands under its
name, so that the spec that uses it draws no second message.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import TYPE_CHECKING, Any

from ..diagnostics import Diagnostic, Help, Label, Severity, Span, nearest
from ..source.tree import Mapping as TreeMapping
from ..source.tree import Node, Scalar, Sequence
from .block import Fault, Path
from .faults import PARTS_CODES
from .library import load
from .model import DiodeType, TubeType
from .reader import read_tube
from .tables import read_diode

if TYPE_CHECKING:
    from .library import Library

TUBES, DIODES, HEADER = "tubes-library", "diodes-library", "humdinger-parts"
NOT_STATED = "source not stated"
KEY = "(key)"
"""Ends the path of a key itself, where a path without it is that of the value."""


def read_user_parts(
    library: Library, trees: Iterable[TreeMapping]
) -> tuple[dict[str, TubeType], dict[str, DiodeType], tuple[Diagnostic, ...]]:
    """Tubes and diodes of all files by name, and what is wrong with them. A later file wins over an earlier one."""
    reader = _Reader(library)
    for tree in trees:
        reader.file(tree)
    return reader.tubes, reader.diodes, tuple(reader.found)


class _Reader:
    def __init__(self, library: Library) -> None:
        self.library = library
        self.tubes: dict[str, TubeType] = {}
        self.diodes: dict[str, DiodeType] = {}
        self.found: list[Diagnostic] = []

    def file(self, tree: TreeMapping) -> None:
        """One file; anything but parts in it is somebody else's business, unless it says that it is a parts file."""
        header = tree.get(HEADER)
        if header is not None:
            if not (isinstance(header, Scalar) and header.text == "1"):
                self.say("SCH-064", "this version of the parts file is not known", header.span, "write humdinger-parts: 1")
            for entry in tree.entries:
                if entry.key.text not in (HEADER, TUBES, DIODES, "include"):
                    self.say(
                        "SCH-066",
                        f"unknown key '{entry.key.text}' in a parts file",
                        entry.key.span,
                        _meant(entry.key.text, (TUBES, DIODES)),
                    )
        for key, read in ((TUBES, self.tube), (DIODES, self.diode)):
            parts = tree.get(key)
            if isinstance(parts, TreeMapping):
                for entry in parts.entries:
                    read(entry.key, entry.value)
            elif parts is not None:
                self.say("SCH-061", f"{key} must be a mapping of names to parts", parts.span)

    def tube(self, key: Scalar, node: Node) -> None:
        """One tube."""
        name, spans = key.text, {(): key.span}
        data, like = self.body(key, node, spans, self.library.tube_names(aliases=True))
        if like is None:
            return
        like = self.library.built_in_name(like) or like
        data = merged(load(f"tubes/{like}"), data) if like else data
        faults: list[Fault] = []
        tube = read_tube(
            name,
            data,
            faults,
            self.library.base,
            self.library.base_names,
            lambda model: load(f"models/{model}"),
            user=True,
            model_name=like or name,
        )
        self.report(faults, spans)
        if tube is not None:
            for own in (name, *tube.aliases):
                if own in self.tubes or self.library.built_in_name(own):
                    self.say("NAM-043", f"{own} is taken from {key.span.file}, not from the built-in library", key.span)
            self.tubes[name] = tube

    def diode(self, key: Scalar, node: Node) -> None:
        """One diode."""
        name, spans = key.text, {(): key.span}
        data, like = self.body(key, node, spans, self.library.diode_names())
        if like is None:
            return
        if like:
            data = merged(load("diodes")[like], data)
        faults: list[Fault] = []
        diode = read_diode(name, {k: v for k, v in data.items() if k != "like"}, faults, user=True)
        self.report(faults, spans)
        if name in self.diodes or name in load("diodes"):
            self.say("NAM-043", f"{name} is taken from {key.span.file}, not from the built-in library", key.span)
        self.diodes[name] = diode

    def body(self, key: Scalar, node: Node, spans: dict[Path, Span], known: Iterable[str]) -> tuple[dict[str, Any], str | None]:
        """The data of a part and the built-in part it is like: "" for none, None for one that does not exist."""
        data = plain(node, (), spans)
        spans[()] = key.span
        if not isinstance(data, dict):
            self.say("SCH-061", f"{key.text} must be a mapping", key.span)
            data = {}
        if not str(data.get("source", "")):
            self.say(
                "SCH-065",
                f"{key.text} has no source: every number must say where it was read",
                key.span,
                "write source: at the top of the part",
            )
            data = {**data, "source": NOT_STATED}
        like = str(data.get("like", ""))
        if like and like not in set(known):
            self.say("NAM-042", f"the library has no {like}", spans.get(("like",), key.span), _meant(like, known))
            return data, None
        return data, like

    def report(self, faults: Iterable[Fault], spans: Mapping[Path, Span]) -> None:
        """Faults as diagnostics, each once, at the nearest place the file has."""
        for fault in dict.fromkeys(faults):
            path = (*fault.path, KEY) if fault.code == "SCH-066" else fault.path
            while path not in spans:
                path = path[:-1]
            self.say(fault.code, fault.message, spans[path], fault.help)

    def say(self, code: str, message: str, span: Span, cure: str = "") -> None:
        """Add a diagnostic."""
        severity = Severity.INFO if code == "NAM-043" else Severity.ERROR
        helps = (Help(cure),) if cure else ()
        self.found.append(Diagnostic(code, PARTS_CODES[code].rule, severity, message, (Label(span, primary=True),), helps=helps))


def plain(node: Node, path: Path, spans: dict[Path, Span]) -> Any:
    """The tree as plain data, scalars as their text; an unquoted empty value is None. Notes where everything stood."""
    spans[path] = node.span
    if isinstance(node, Scalar):
        return node.text if node.text or node.quoted else None
    if isinstance(node, Sequence):
        return [plain(item, (*path, i), spans) for i, item in enumerate(node.items)]
    found = {}
    for entry in node.entries:
        below = (*path, entry.key.text)
        spans[(*below, KEY)] = entry.key.span
        found[entry.key.text] = plain(entry.value, below, spans)
        if not isinstance(entry.value, Scalar):
            # a block begins at its first item, which is no place to point at for the block as a whole
            spans[below] = entry.key.span
    return found


def merged(base: Any, own: Any) -> Any:
    """`own` on top of `base`: mappings are merged key by key, everything else is replaced."""
    if isinstance(base, Mapping) and isinstance(own, Mapping):
        keys = dict.fromkeys([*base, *own])
        return {k: merged(base[k], own[k]) if k in base and k in own else own.get(k, base.get(k)) for k in keys}
    return own


def _meant(word: str, known: Iterable[str]) -> str:
    found = nearest(word, known)
    return f"did you mean {found}?" if found else ""

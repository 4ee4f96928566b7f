"""`--region` and `--tube`: reads what was asked of the command line against a spec, and lays it over the source.

Another region takes the market along, and the mains frequency where the region has one; an argument that is not understood is a diagnostic
that underlines it. Whether a word is a region and a tube's type a type of the library is judged where the spec's own words are.
"""

from __future__ import annotations

import re
from collections.abc import Iterable
from typing import TYPE_CHECKING

from ..diagnostics import Diagnostic, Help, Label, Severity, Span
from ..parts.library import Library
from ..records import replace
from ..source.override import COMMAND_LINE, Asked, Override
from ..source.tree import Mapping, Node, Scalar
from . import words
from .merge import merged
from .override_explain import PAGES

if TYPE_CHECKING:
    from ..source.load import Source

SPACES = re.compile(r"\s+")


def overridden(source: Source, asked: Asked) -> tuple[Source, tuple[Diagnostic, ...]]:
    """The source with its overrides, and what is wrong with the arguments. A value that the spec has already is no override."""
    if not asked:
        return source, ()
    reader = _Reader(merged(source)[0])
    if asked.region:
        reader.region(asked.region)
    for text in asked.tubes:
        reader.tube(text)
    if asked.fuse:
        reader.fuse(asked.fuse)
    texts = {**source.texts, COMMAND_LINE: "\n".join(reader.lines)}
    return replace(source, overrides=tuple(reader.made), texts=texts), tuple(reader.found)


def pointed(found: tuple[Diagnostic, ...], overrides: Iterable[Override]) -> tuple[Diagnostic, ...]:
    """The diagnostics, those that underline an argument with the line of the spec it stands for."""
    by_span = {override.span: override for override in overrides}
    return tuple(_pointed(diagnostic, by_span) for diagnostic in found) if by_span else found


def _pointed(diagnostic: Diagnostic, by_span: dict[Span, Override]) -> Diagnostic:
    here = [by_span[label.span] for label in diagnostic.labels if label.span in by_span]
    spans = {label.span for label in diagnostic.labels}
    more = tuple(Label(one.replaced, f"{one.text} stands for this") for one in here if one.replaced and one.replaced not in spans)
    return replace(diagnostic, labels=(*diagnostic.labels, *more)) if more else diagnostic


class _Reader:
    """The command line as a text that grows by a line per override."""

    def __init__(self, spec: Mapping) -> None:
        self.spec = spec
        self.lines: list[str] = []
        self.made: list[Override] = []
        self.found: list[Diagnostic] = []

    def region(self, text: str) -> None:
        """`us`, or `jp:50` where a region has two frequencies."""
        text = SPACES.sub(" ", text)
        code, colon, hertz = text.partition(":")
        line = self.line(f"--region {text}")
        start = len("--region ") + 1
        if not code or (colon and hertz not in ("50", "60")):
            at = self.span(line, start, text or " ")
            self.wrong("OVR-001", f"'{words.cut(text)}' is no region", at, "write --region eu, or jp:50 for a frequency")
            return
        argument = f"--region {text}"
        region = Library().region(code)
        if region and region.hertz is None and not hertz and self.at("frequency") is None:
            message, cure = f"region {code} has two mains frequencies", f"write --region {code}:50 or --region {code}:60"
            self.wrong("OVR-001", message, self.span(line, start, code), cure)
            return
        self.put(argument, "region", code, self.span(line, start, code))
        if region is None:
            return  # the schema says so
        market = self.at("model/market")
        if isinstance(market, Scalar) and market.text != "none":
            self.follow(argument, "model/market", code, f"the market goes with {argument}")
        own = f"{region.hertz.value:g} Hz" if region.hertz else ""
        if hertz:
            self.follow(argument, "frequency", f"{hertz} Hz", f"{argument} says so")
        elif own and self.at("frequency") is not None:
            self.follow(argument, "frequency", own, f"the mains of region {code} has it")

    def fuse(self, text: str) -> None:
        """The mains fuse that what was asked for needs."""
        argument = " ".join(dict.fromkeys(one.argument for one in self.made))
        self.follow(argument, "supply/mains/fuse", text, "1.5 to 2 times the current that the amp then takes, solved with it")

    def tube(self, text: str) -> None:
        """`V4,V5=6V6GT`."""
        text = SPACES.sub(" ", text)
        argument = f"--tube {text}"
        line = self.line(argument)
        names, equals, kind = text.partition("=")
        start = len("--tube ") + 1
        refs = [name.strip() for name in names.split(",")]
        if not equals or not kind.strip() or not all(refs):
            at = self.span(line, start, text or " ")
            self.wrong("OVR-001", f"'{words.cut(text)}' does not say which tube becomes what", at, "write --tube V4,V5=6V6GT")
            return
        tubes = self.at("tubes")
        known = [entry.key.text for entry in tubes.entries] if isinstance(tubes, Mapping) else []
        at = self.span(line, start + len(names) + 1 + len(kind) - len(kind.lstrip()), kind.strip())
        column = start
        for piece, ref in zip(names.split(","), refs, strict=True):
            here = self.span(line, column + len(piece) - len(piece.lstrip()), ref)
            column += len(piece) + 1
            if ref not in known:
                cure = f"listed are {words.listed(known)}" if known else ""
                self.wrong("OVR-002", f"'{words.cut(ref)}' is not listed under `tubes`", here, cure)
            elif any(made.path == f"tubes/{ref}" for made in self.made):
                self.wrong("OVR-003", f"{ref} is replaced twice", here, "say it once")
            else:
                self.put(argument, f"tubes/{ref}", kind.strip(), at)

    def put(self, argument: str, path: str, text: str, span: Span, why: str = "") -> bool:
        """Notes an override, unless the spec says the same already."""
        old = self.at(path)
        was = old.text if isinstance(old, Scalar) else ""
        if was != text:
            # One argument may stand for several lines of the spec: each has its own span of the same words.
            if any(made.span == span for made in self.made):
                line = self.line(argument)
                span = replace(span, line=line, end_line=line)
            self.made.append(Override(argument, path, text, span, was, old.span if old else None, why))
        return was != text

    def follow(self, argument: str, path: str, text: str, why: str) -> None:
        """Notes an override that another brings along, on a line of its own."""
        key = path.rpartition("/")[2]
        line = self.line(f"{argument} ({key}: {text})")
        if not self.put(argument, path, text, self.span(line, len(argument) + 3, f"{key}: {text}"), why):
            self.lines.pop()

    def line(self, text: str) -> int:
        """Adds a line to the text of the command line; its number."""
        self.lines.append(text)
        return len(self.lines)

    def span(self, line: int, column: int, text: str) -> Span:
        return Span(COMMAND_LINE, line, column, line, column + len(text))

    def at(self, path: str) -> Node | None:
        node: Node | None = self.spec
        for key in path.split("/"):
            node = node.get(key) if isinstance(node, Mapping) else None
        return node

    def wrong(self, code: str, message: str, span: Span, cure: str) -> None:
        helps = (Help(cure),) if cure else ()
        self.found.append(Diagnostic(code, PAGES[code].rule, Severity.ERROR, message, (Label(span, "", True),), (), helps))

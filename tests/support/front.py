"""Text to Design, as the compiler's first passes do it, in a world of memory."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from pathlib import Path

from humdinger.diagnostics import Diagnostic, Severity
from humdinger.parts.library import Library
from humdinger.source.load import load
from humdinger.source.world import MemoryWorld
from humdinger.spec.design import Design
from humdinger.spec.lower import lower
from humdinger.spec.resolve import resolve
from humdinger.spec.validate import validate

ROOT = Path(__file__).resolve().parents[2]
DEMOS = tuple(sorted((ROOT / "specs_demo").glob("*/*.amp.yaml")))
SHOP = ROOT / "specs_demo" / "shop.yaml"
SMALLEST = ROOT / "tests" / "corpus" / "base" / "smallest.amp.yaml"
LIBRARY = Library()

PATH = "amps/amp.amp.yaml"
"""Where a text under test stands in its world; `include: [../shop.yaml]` finds the demos' shop file."""


def world(text: str | bytes, files: Mapping[str, str | bytes] | None = None) -> MemoryWorld:
    """A world with the text as its spec, the demos' shop file above it, and what else is given."""
    return MemoryWorld({"shop.yaml": SHOP.read_text(encoding="utf-8"), PATH: text, **(files or {})})


def front(
    text: str | bytes, files: Mapping[str, str | bytes] | None = None, replacements: Iterable[tuple[str, str]] = ()
) -> tuple[Design | None, tuple[Diagnostic, ...]]:
    """Load, validate, lower, resolve: the Design, None past a pass that gave nothing or with any error, and all diagnostics."""
    source, found = load(world(text, files), PATH)
    if source is None:
        return None, found
    valid, said = validate(source)
    found += said
    if valid is None:
        return None, found
    spec, said = lower(valid, replacements)
    found += said
    if spec is None:
        return None, found
    design, said = resolve(spec, LIBRARY)
    found += said
    if any(d.severity in (Severity.ERROR, Severity.DANGER) for d in found):
        return None, found
    return design, found


def codes(diagnostics: Iterable[Diagnostic]) -> list[str]:
    """The codes, in order."""
    return [d.code for d in diagnostics]

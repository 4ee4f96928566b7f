"""Text to netlist, and pieces of spec laid over whole amps."""

from __future__ import annotations

from pathlib import Path
from typing import Any, NamedTuple, TypeVar

import yaml

from humdinger.circuit.elaborate import elaborate
from humdinger.circuit.netlist import Netlist, Part
from humdinger.diagnostics import Diagnostic, Severity
from humdinger.spec.design import Design
from support.front import ROOT, SMALLEST, front

P = TypeVar("P", bound=Part)
FROZEN = Path(__file__).resolve().parents[1] / "circuit" / "amps"
"""Amps that stay as they are while the demos are tuned: ruff (push-pull, cathode bias), whimbrel (fixed bias, rectifier tube), pipit
(single-ended)."""


class Made(NamedTuple):
    """What the passes up to the netlist made of a text."""

    design: Design | None
    netlist: Netlist | None
    diagnostics: tuple[Diagnostic, ...]

    @property
    def good(self) -> Netlist:
        """The netlist of a text that must have no fault."""
        assert not self.diagnostics, [f"{d.code} {d.message}" for d in self.diagnostics]
        assert self.netlist is not None
        return self.netlist

    def codes(self) -> list[str]:
        """The codes of all diagnostics, in order."""
        return [d.code for d in self.diagnostics]

    def lines(self) -> list[int]:
        """The line of each diagnostic's primary label; 0 where it has none."""
        return [d.primary.span.line if d.primary else 0 for d in self.diagnostics]


def one(netlist: Netlist, kind: type[P], **wanted: object) -> P:
    """The one part of a kind with these attributes."""
    found = [p for p in netlist.of(kind) if all(getattr(p, key) == value for key, value in wanted.items())]
    assert len(found) == 1, [p.ref for p in found]
    return found[0]


def made(text: str, files: dict[str, str | bytes] | None = None) -> Made:
    """A text through load, validate, lower, resolve, elaborate."""
    design, said = front(text, files)
    if design is None or any(d.severity in (Severity.ERROR, Severity.DANGER) for d in said):
        return Made(None, None, said)
    netlist, found = elaborate(design)
    return Made(design, netlist, said + found)


def path_of(name: str) -> Path:
    """A frozen amp, a demo, or "smallest"."""
    if name == "smallest":
        return SMALLEST
    frozen = FROZEN / f"{name}.amp.yaml"
    return frozen if frozen.exists() else ROOT / "specs_demo" / name / f"{name}.amp.yaml"


def text_of(name: str) -> str:
    """The text of an amp."""
    return path_of(name).read_text(encoding="utf-8")


def edited(name: str, *pairs: tuple[str, str]) -> Made:
    """An amp with pieces of its text replaced; each piece must be there exactly once."""
    return made(edit(name, *pairs))


def edit(name: str, *pairs: tuple[str, str]) -> str:
    """The text of an amp with pieces replaced."""
    text = text_of(name)
    for old, new in pairs:
        assert text.count(old) == 1, (old, text.count(old))
        text = text.replace(old, new)
    return text


def line_of(text: str, piece: str) -> int:
    """The number of the one line that holds a piece."""
    found = [number for number, line in enumerate(text.split("\n"), 1) if piece in line]
    assert len(found) == 1, (piece, found)
    return found[0]


def laid_over(name: str, piece: str) -> Made:
    """An amp with a piece of spec laid over it: mappings key by key, list items by id or node, else by their place."""
    base = yaml.load(text_of(name), yaml.BaseLoader)
    return made(_dump(_overlay(base, yaml.load(piece, yaml.BaseLoader))))


def _overlay(base: Any, piece: Any) -> Any:
    if isinstance(base, dict) and isinstance(piece, dict):
        return {**base, **{key: _overlay(base[key], value) if key in base else value for key, value in piece.items()}}
    if isinstance(base, list) and isinstance(piece, list) and all(isinstance(item, dict) for item in (*base, *piece)):
        laid = list(base)
        for place, item in enumerate(piece):
            name = next((key for key in ("id", "node") if key in item), None)
            at = place if name is None else next((i for i, old in enumerate(base) if old.get(name) == item[name]), len(laid))
            laid[at : at + 1] = [_overlay(laid[at], item) if at < len(laid) else item]
        return laid
    return piece


def _dump(value: Any, pad: str = "") -> str:
    """YAML with every scalar plain unless it cannot be: quotes would make words of numbers."""
    if isinstance(value, dict):
        return "".join(f"{pad}{key}:{_below(below, pad)}" for key, below in value.items())
    return "".join(f"{pad}-{_below(below, pad)}" for below in value)


def _below(value: Any, pad: str) -> str:
    if isinstance(value, dict | list) and value:
        return "\n" + _dump(value, pad + "  ")
    text = " ".join(str(value).split())
    return f' "{text}"\n' if ": " in text or " #" in text else f" {text}\n"

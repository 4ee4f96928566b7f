"""Amps for the tests of the signal path: frozen texts with pieces replaced, and short ways to ask a netlist what stands where."""

from __future__ import annotations

from humdinger.circuit.netlist import Netlist, Part
from humdinger.compile import elaborated
from humdinger.diagnostics import Span
from support.front import PATH, ROOT, world

AMPS = ROOT / "tests" / "circuit" / "amps"
"""pipit: one 6V6GT. ruff: a cathode-biased EL84 pair with tremolo at the grids. whimbrel: an EL34 pair in fixed bias with feedback."""


def text_of(name: str, *pairs: tuple[str, str]) -> str:
    """The text of a frozen amp with pieces replaced; each piece must be there exactly once."""
    text = (AMPS / f"{name}.amp.yaml").read_text(encoding="utf-8")
    for old, new in pairs:
        assert text.count(old) == 1, (old, text.count(old))
        text = text.replace(old, new)
    return text


def netlist_of(text: str) -> Netlist:
    """The netlist of a text that must have no fault."""
    made = elaborated(world(text), PATH)
    assert made.netlist is not None, [f"{d.code} {d.message}" for d in made.diagnostics]
    return made.netlist


def codes_of(text: str) -> list[str]:
    """The codes a text gives up to elaboration, sorted."""
    return sorted(d.code for d in elaborated(world(text), PATH).diagnostics)


def part(netlist: Netlist, stage: str, role: str) -> Part:
    """The part with a role in a stage."""
    return netlist.by_ref[netlist.stage(stage).parts[role]]


def ends(netlist: Netlist, stage: str, role: str) -> tuple[str, ...]:
    """The nets of a part, in pin order."""
    return tuple(pin.net for pin in part(netlist, stage, role).pins)


def spelled(text: str, span: Span) -> str:
    """What stands in the source under a span of one line."""
    assert span.line == span.end_line
    return text.split("\n")[span.line - 1][span.column - 1 : span.end_column - 1]

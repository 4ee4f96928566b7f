"""Reads a schematic back as a person would: what touches is joined, what bears one name is one net. Compares that with the netlist.

This is what makes the drawing trustworthy: it is checked against the netlist by its geometry, not by what the cells meant to draw.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field

from ..circuit.netlist import Coupler, Netlist, PowerTransformer, Tube
from .geometry import EPS, Bins, Line, Point, on_line, span
from .sheet import Sheet

NAMES = ("ground", "earth", "arrow", "flag", "name")


@dataclass
class Piece:
    """A conductor or a point, with the net the cell says it is on."""

    net: str
    line: Line
    name: str = ""
    terminals: list[tuple[str, str]] = field(default_factory=list)

    @property
    def ends(self) -> tuple[Point, ...]:
        return self.line


Groups = Sequence[tuple[str, list[Piece]]]
"""(sheet, pieces that hang together)."""


def read_back(netlist: Netlist, sheets: Sequence[Sheet]) -> list[str]:
    """Where drawing and netlist differ, in words; empty when they agree."""
    found = [(sheet.name, group) for sheet in sheets for group in groups(sheet)]
    return [*_shorts(found), *_names(sheets), *_pieces(found), *_terminals(netlist, sheets), *_units(netlist, sheets)]


def groups(sheet: Sheet) -> list[list[Piece]]:
    """What hangs together on one sheet."""
    pieces = _all(sheet)
    parent = list(range(len(pieces)))

    def root(i: int) -> int:
        while parent[i] != i:
            i = parent[i]
        return i

    boxes = [span(piece.line).grown(EPS) for piece in pieces]
    bins = Bins(boxes)
    for i, a in enumerate(pieces):
        for j in bins.near(boxes[i]):
            if j < i and boxes[i].meets(boxes[j]) and root(i) != root(j) and touch(a, pieces[j]):
                parent[root(i)] = root(j)
    first: dict[tuple[str, str], int] = {}
    for i, piece in enumerate(pieces):
        for terminal in piece.terminals:  # one terminal drawn in two places, like the tip of a jack and its tag
            parent[root(i)] = root(first.setdefault(terminal, i))
    found: dict[int, list[Piece]] = defaultdict(list)
    for i, piece in enumerate(pieces):
        found[root(i)].append(piece)
    return list(found.values())


def touch(a: Piece, b: Piece) -> bool:
    """Whether an end of one lies on the other."""
    return any(on_line(p, b.line) for p in a.ends) or any(on_line(p, a.line) for p in b.ends)


def _all(sheet: Sheet) -> list[Piece]:
    content = sheet.content
    pieces = [Piece(w.net, line) for w in content.wires for line in w.lines]
    pieces += [Piece(t.net, t.lead or (t.at, t.at), "", [(t.ref, t.pin)]) for t in content.terminals]
    pieces += [Piece(m.net, (m.at, m.at), f"{m.kind} {m.text}".strip()) for m in content.marks if m.kind in NAMES]
    return pieces


def _shorts(groups: Groups) -> Iterator[str]:
    for sheet, group in groups:
        nets = sorted({p.net for p in group})
        if len(nets) > 1:
            yield f"{sheet}: {' and '.join(nets)} touch"


def _names(sheets: Sequence[Sheet]) -> Iterator[str]:
    """One name, one net."""
    nets: dict[str, set[str]] = defaultdict(set)
    for sheet in sheets:
        for mark in sheet.content.marks:
            if mark.kind in NAMES:
                nets[mark.text.partition(" → ")[0] or mark.kind].add(mark.net)
    for text, found in sorted(nets.items()):
        if len(found) > 1:
            yield f"the name {text!r} stands for {' and '.join(sorted(found))}"


def _pieces(groups: Groups) -> Iterator[str]:
    """A net in several places bears its name in each."""
    found: dict[str, list[tuple[str, bool]]] = defaultdict(list)
    for sheet, group in groups:
        found[group[0].net].append((sheet, any(p.name for p in group)))
    for net, places in sorted(found.items()):
        if len(places) > 1:
            for name, named in places:
                if not named:
                    yield f"{name}: a piece of {net} bears no name"


def _terminals(netlist: Netlist, sheets: Sequence[Sheet]) -> Iterator[str]:
    """Every terminal of every part is drawn, on its net, and none that the part does not have."""
    drawn: dict[tuple[str, str], set[str]] = defaultdict(set)
    for sheet in sheets:
        for terminal in sheet.content.terminals:
            drawn[terminal.ref, terminal.pin].add(terminal.net)
    for part in netlist.parts:
        for pin in part.pins:
            nets = drawn.pop((part.ref, pin.name), set())
            if nets != {pin.net}:
                yield f"terminal {pin.name} of {part.ref} is on {pin.net}, drawn on {', '.join(sorted(nets)) or 'nothing'}"
    for ref, pin in sorted(drawn):
        yield f"{ref} has no terminal {pin}"


def units(netlist: Netlist) -> list[str]:
    """What must be drawn: every part once; of tubes each section and the heater, of power transformers each winding, of couplers
    both halves."""
    wanted: list[str] = []
    for part in netlist.parts:
        if isinstance(part, Tube):
            sections = [s.ref for s in netlist.sections if s.tube == part.ref]
            wanted += sections or [part.ref]
            wanted += [f"{part.ref}:heater"] if part.heater else []
        elif isinstance(part, PowerTransformer):
            wanted += [f"{part.ref}:primary", *(f"{part.ref}:{w.name}" for w in part.windings)]
        elif isinstance(part, Coupler):
            wanted += [f"{part.ref}:led", f"{part.ref}:photocell"]
        else:
            wanted.append(part.ref)
    return wanted


def _units(netlist: Netlist, sheets: Sequence[Sheet]) -> Iterator[str]:
    drawn = sorted(unit for sheet in sheets for unit in sheet.content.drawn)
    wanted = sorted(units(netlist))
    for unit in sorted(set(drawn) | set(wanted)):
        times = (drawn.count(unit), wanted.count(unit))
        if times[0] != times[1]:
            yield f"{unit} is drawn {times[0]} times, not {times[1]}"

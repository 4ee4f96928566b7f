"""Which wire of the one amp is which of the other.

A wire is the same when both its ends are: the same terminal of the same part, or board terminals that hold a lead in common. So a board
that grows by a part keeps its wires, though its terminals count on.
"""

from __future__ import annotations

from collections.abc import Mapping

from ..layout import Layout, Terminal, Wire
from .model import Amp, WireChange

Ends = tuple[frozenset[Terminal], frozenset[Terminal]]


def compared(old: Amp, new: Amp, refs: Mapping[str, str]) -> tuple[tuple[WireChange, ...], int]:
    """Every wire that is new, gone or made up otherwise, in working order; and how many are the same."""
    then, now = _ends(old.layout, refs), _ends(new.layout)
    left: dict[str, list[Wire]] = {}
    for wire in old.layout.wires:
        left.setdefault(wire.net, []).append(wire)
    changes: list[WireChange] = []
    same = 0
    for wire in new.layout.wires:
        pool = left.get(wire.net, [])
        before = next((one for one in pool if _meet(then[one.number], now[wire.number])), None)
        if before is None:
            changes.append(WireChange("new", None, wire))
            continue
        pool.remove(before)
        if what := _what(before, wire):
            changes.append(WireChange("changed", before, wire, what))
        else:
            same += 1
    gone = sorted((wire for pool in left.values() for wire in pool), key=lambda wire: wire.number)
    return (*changes, *(WireChange("gone", wire, None) for wire in gone)), same


def _ends(layout: Layout, refs: Mapping[str, str] | None = None) -> dict[int, Ends]:
    """Number of a wire -> what is at its two ends: leads, by the designators of the new amp where `refs` leads there."""
    leads = {turret.terminal: frozenset(turret.leads) for board in layout.boards for turret in board.turrets}
    joined: dict[Terminal, list[Terminal]] = {}
    for link in (link for board in layout.boards for link in board.links):
        joined.setdefault(link.start, []).append(link.end)
        joined.setdefault(link.end, []).append(link.start)
    for tie in [terminal for terminal, held in leads.items() if not held]:  # a terminal that only helps its neighbour out
        leads[tie] = frozenset(lead for other in joined.get(tie, ()) for lead in leads.get(other, ()))
    held: dict[Terminal, set[Terminal]] = {}
    for lead, terminal in layout.joints.items():
        held.setdefault(terminal, set()).add(lead)

    def at(end: Terminal) -> frozenset[Terminal]:
        found = leads.get(end) or frozenset((end, *held.get(end, ())))
        return frozenset(Terminal(refs.get(one.ref, f"old {one.ref}"), one.pin) for one in found) if refs is not None else found

    return {wire.number: (at(wire.start), at(wire.end)) for wire in layout.wires}


def _meet(old: Ends, new: Ends) -> bool:
    return bool((old[0] & new[0] and old[1] & new[1]) or (old[0] & new[1] and old[1] & new[0]))


def _what(old: Wire, new: Wire) -> tuple[str, ...]:
    """What of its making differs."""
    a, b = old.make_up, new.make_up
    said = {
        "colour": old.colour != new.colour,
        "size": (a.area_mm2 if a else None) != (b.area_mm2 if b else None),
        "insulation": (a.insulation_volts if a else None) != (b.insulation_volts if b else None),
        "screen": old.screened != new.screened,
        "twist": bool(a and a.twist) != bool(b and b.twist),
    }
    return tuple(word for word, differs in said.items() if differs)

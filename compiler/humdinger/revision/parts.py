"""Which part of the one amp is which of the other, and what of it changed.

A part is first known by its place (the lock file's word: stage, B+ node and key), then by a designator that both lock files give to the
same key of another stage (a stage that was renamed, and in the lock file too), or that both specs pin by `refs`. Tubes are known by their
designators, which the spec writes.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import fields, is_dataclass
from typing import Any

from ..circuit.lock import number_order
from ..circuit.netlist import Part, Pin, PowerTransformer, Tube
from ..parts.model import DiodeType, TubeType
from .model import Amp, PartChange, Rewired

PLACED = ("ref", "path", "stage", "role", "span", "pins", "origin", "label", "note", "heater", "position")
"""Fields that say where a part is and not what it is. A tube's heater and a pot's position are compared elsewhere."""

CROSSED = frozenset({"1", "2"})
"""Leads without a mark: turned around the part is the same."""


def matched(old: Amp, new: Amp) -> dict[str, str]:
    """Designator in the old amp -> in the new one."""
    found = {ref: new.netlist.places[place] for place, ref in old.netlist.places.items() if place in new.netlist.places}
    olds, news = old.netlist.by_ref, new.netlist.by_ref
    found = {a: b for a, b in found.items() if type(olds[a]) is type(news[b])}
    taken = set(found.values())
    keys = [{ref: place.rpartition("/")[2] for place, ref in one.netlist.places.items()} if one.lock.exists else {} for one in (old, new)]
    for ref, part in olds.items():
        other = news.get(ref)
        if ref in found or other is None or ref in taken or type(other) is not type(part):
            continue
        renamed = ref in keys[0] and keys[0][ref] == keys[1].get(ref)
        if isinstance(part, Tube) or renamed or _pinned(old, new, ref):
            found[ref] = ref
            taken.add(ref)
    return found


def _pinned(old: Amp, new: Amp, ref: str) -> bool:
    return all(any(value.value == ref for _, value in one.design.spec.block("refs")) for one in (old, new))


def compared(old: Amp, new: Amp, refs: Mapping[str, str]) -> tuple[tuple[PartChange, ...], int]:
    """Every part that is new, gone or changed, in designator order; and how many are the same."""
    changes: list[PartChange] = []
    same = 0
    back = {b: a for a, b in refs.items()}
    for part in new.netlist.parts:
        before = old.netlist.by_ref[back[part.ref]] if part.ref in back else None
        if before is None:
            changes.append(PartChange("new", None, part))
            continue
        change = PartChange("changed", before, part, _values(before, part), _rewired(before, part))
        if change.values or change.rewired or change.renumbered:
            changes.append(change)
        else:
            same += 1
    changes += [PartChange("gone", part, None) for part in old.netlist.parts if part.ref not in refs]
    return tuple(sorted(changes, key=lambda c: number_order((c.new or c.old).ref))), same  # type: ignore[union-attr]


def _values(old: Part, new: Part) -> tuple[str, ...]:
    """The fields that say what the part is and differ."""
    return tuple(f.name for f in fields(new) if f.name not in PLACED and _bare(getattr(old, f.name)) != _bare(getattr(new, f.name)))


def _bare(value: Any) -> Any:
    """A value without the lines it was written on."""
    if isinstance(value, (TubeType, DiodeType)):
        return value
    if isinstance(value, tuple):
        return tuple(_bare(item) for item in value)
    if is_dataclass(value) and not isinstance(value, type):
        return tuple(_bare(getattr(value, f.name)) for f in fields(value) if f.name not in ("span", "pins", "origin"))
    return value


def _rewired(old: Part, new: Part) -> tuple[Rewired, ...]:
    """Terminals on other nets. A part turned around is not rewired, nor is a tube with another pinning: its electrodes are."""
    if isinstance(old, Tube) and isinstance(new, Tube) and old.type.name != new.type.name:
        return ()
    if isinstance(new, PowerTransformer):
        return ()  # its terminals are named after windings, which are compared as values
    before, after = _nets(old.pins), _nets(new.pins)
    if set(before) == set(after) == CROSSED and sorted(before.values()) == sorted(after.values()):
        return ()
    pins = sorted({*before, *after}, key=lambda pin: (not pin.isdigit(), int(pin) if pin.isdigit() else 0, pin))
    return tuple(Rewired(pin, before.get(pin, ""), after.get(pin, "")) for pin in pins if before.get(pin) != after.get(pin))


def _nets(pins: tuple[Pin, ...]) -> dict[str, str]:
    return {pin.name: pin.net for pin in pins}

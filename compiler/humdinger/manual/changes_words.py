"""A comparison in words: shared by the page, by `humdinger diff` as text and as JSON."""

from __future__ import annotations

import posixpath
from collections.abc import Callable, Iterator
from dataclasses import fields
from typing import Any

from ..circuit.netlist import Netlist, Part, Winding
from ..layout import Wire
from ..parts.model import DiodeType, TubeType
from ..revision.model import Amp, Difference, FindingChange, NumberChange, PartChange, Side, WireChange
from ..units import show, show_volts
from ..units.values import Quantity
from . import words
from .describe import describe, job
from .terminals import terminal_text

STATES = {"": "no such subject", "passed": "passes", "info": "for information"}
MARKS = {"new": "+", "gone": "-", "changed": "~"}


def state_words(state: str) -> str:
    """A state as a reader says it."""
    return STATES.get(state, state)


def changed_words(change: PartChange) -> tuple[list[str], list[str]]:
    """What a changed part was and is: in one line if that tells them apart, else the fields that differ."""
    old, new = change.old, change.new
    assert old is not None
    assert new is not None
    if not change.values:
        return ([], []) if change.rewired else ([describe(old)], ["the same part"])
    said = describe(old), describe(new)
    if said[0] != said[1]:
        return [said[0]], [said[1]]
    return ([_field(one, name) for name in change.values] for one in (old, new))  # type: ignore[return-value]


def _field(part: Part, name: str) -> str:
    return f"{name.replace('_', ' ')} {_plain(getattr(part, name))}"


def _plain(value: Any) -> str:
    if value is None or value == "":
        return "not said"
    if isinstance(value, (TubeType, DiodeType)):
        return f"{value.name}, other data"
    if isinstance(value, Winding):
        return f"{value.name} ({', '.join(f'{f.name} {_plain(getattr(value, f.name))}' for f in fields(value) if f.name not in ('span', 'name'))})"
    if isinstance(value, tuple):
        return ", ".join(_plain(item) for item in value)
    if isinstance(value, bool):
        return "yes" if value else "no"
    return f"{value:.4g}" if isinstance(value, float) else str(value)


def made_of(wire: Wire) -> str:
    """Colour, size, screen."""
    make_up = wire.make_up
    size = f" {make_up.area_mm2:g} mm² (AWG {make_up.gauge})" if make_up else ""
    rated = f" {show_volts(make_up.insulation_volts)}" if make_up and make_up.insulation_volts else ""
    extra = "".join(word for word, there in ((", screened", wire.screened), (", twisted", make_up and make_up.twist)) if there)
    return f"{wire.colour}{size}{rated}{extra}"


def wire_ends(wire: Wire, netlist: Netlist) -> tuple[str, str]:
    """Both ends in the words of the wiring page. netlist: of the amp that the wire belongs to."""
    return terminal_text(wire.start.ref, wire.start.pin, netlist), terminal_text(wire.end.ref, wire.end.pin, netlist)


def rewired_words(change: PartChange, changes: Difference) -> tuple[str, str]:
    """The nets that terminals of a part were on, and are on."""
    assert change.old is not None
    assert change.new is not None
    olds = (f"{_pin(change.old.ref, one.pin, changes.amps[0])} on {one.old_net or 'nothing'}" for one in change.rewired)
    news = (f"{_pin(change.new.ref, one.pin, changes.amps[1])} on {one.new_net or 'nothing'}" for one in change.rewired)
    return ", ".join(olds), ", ".join(news)


def _pin(ref: str, pin: str, amp: Amp) -> str:
    return terminal_text(ref, pin, amp.netlist).removeprefix(f"{ref} ")


def number_text(value: float, unit: str) -> str:
    """A computed number with its unit, three digits."""
    return f"{words.computed(value):g} dB" if unit == "dB" else show(Quantity(words.computed(value), unit))


def percent_text(change: NumberChange) -> str:
    """How far it moved; decibels by their difference."""
    if change.unit == "dB" and change.old is not None and change.new is not None:
        return f"{change.new - change.old:+.1f} dB"
    percent = change.percent
    if percent is None:
        return ""
    return f"{percent:+.1f} %" if abs(percent) < 1000 else "more than tenfold"


# -- as text ----------------------------------------------------------------------------------------------------------
def changes_text(changes: Difference) -> str:
    """The whole comparison: one line per change, `+` new, `-` gone, `~` changed."""
    lines = [f"{_named(changes.old)} -> {_named(changes.new)}", *(f"  ({note})" for note in changes.notes)]
    if changes.empty:
        return "\n".join([*lines, "nothing changed", ""])
    sections = (
        ("the amp as a whole", [f"~ {s.what}: {s.old or '–'} -> {s.new or '–'}" for s in changes.settings], ""),
        ("parts", [_part_line(c, changes) for c in changes.parts], f"{changes.same_parts} the same"),
        ("wires", [_wire_line(c, changes) for c in changes.wires], f"{changes.same_wires} the same"),
        ("volts at nominal mains", [_number_line(c, words.chart_volts) for c in changes.volts], f"{changes.same_volts} within 1 %"),
        ("figures", [_number_line(c) for c in changes.figures], ""),
        ("findings", [_finding_line(c) for c in changes.findings], f"{changes.same_findings} the same"),
    )
    for title, rows, rest in sections:
        count = f"{len(rows)} changed{', ' + rest if rest else ''}" if rows else f"none changed{', ' + rest if rest else ''}"
        lines += ["", f"{title}: {count}", *(f"  {row}" for row in rows)]
    return "\n".join(lines) + "\n"


def _named(side: Side) -> str:
    return f"{side.path} ({side.name}{f', revision {side.revision}' if side.revision else ''})"


def _part_line(change: PartChange, changes: Difference) -> str:
    mark = MARKS[change.kind]
    part = change.new or change.old
    assert part is not None
    if change.kind != "changed":
        return f"{mark} {part.ref}  {describe(part)}  ({job(part)})"
    assert change.old is not None
    was, now = changed_words(change)
    name = f"{change.old.ref} -> {part.ref}" if change.renumbered else part.ref
    nets = [" -> ".join(rewired_words(change, changes))] if change.rewired else []
    values = [f"{', '.join(was)} -> {', '.join(now)}"] if was else []
    return f"{mark} {name}  {'; '.join([*values, *nets])}  ({job(part)})"


def _wire_line(change: WireChange, changes: Difference) -> str:
    wire = change.new or change.old
    assert wire is not None
    start, end = wire_ends(wire, changes.amps[change.new is not None].netlist)
    was = f", was {made_of(change.old)}" if change.kind == "changed" and change.old else ""
    return f"{MARKS[change.kind]} {wire.number}  {wire.net}: {start} to {end}  {made_of(wire)}{was}"


def _number_line(change: NumberChange, show_it: Callable[[float], str] | None = None) -> str:
    told = show_it or (lambda value: number_text(value, change.unit))
    was, now = ("–" if value is None else told(value) for value in (change.old, change.new))
    moved = percent_text(change)
    return f"{MARKS[change.kind]} {change.what}  {was} -> {now}{f'  ({moved})' if moved else ''}"


def _finding_line(change: FindingChange) -> str:
    message = change.new_message if change.kind != "gone" else change.old_message
    return f"{MARKS[change.kind]} {change.code} {change.element}  {state_words(change.old_state)} -> {state_words(change.new_state)}: {message}"


# -- as data ----------------------------------------------------------------------------------------------------------
FORMAT = 1


def changes_json(changes: Difference, *, folders: bool = True) -> dict[str, Any]:
    """The comparison as plain data, format 1; schemas/diff.schema.json says what each name means.

    folders: with the paths of the specs as they were given; a manual names the files only, so that it is the same wherever it was made.
    """
    return {
        "format": FORMAT,
        "old": _side(changes.old, folders),
        "new": _side(changes.new, folders),
        "notes": list(changes.notes) if folders else [],
        "settings": [{"what": s.what, "old": s.old, "new": s.new} for s in changes.settings],
        "parts": list(_parts(changes)),
        "wires": [
            {"kind": c.kind, "old": _wire(c.old, changes.amps[0]), "new": _wire(c.new, changes.amps[1]), "what": list(c.what)}
            for c in changes.wires
        ],
        "volts": [{"kind": c.kind, "net": c.what, "old_volts": _number(c.old), "new_volts": _number(c.new)} for c in changes.volts],
        "figures": [
            {"kind": c.kind, "what": c.what, "unit": c.unit, "old_value": _number(c.old), "new_value": _number(c.new)}
            for c in changes.figures
        ],
        "findings": [{f.name: getattr(c, f.name) for f in fields(c)} for c in changes.findings],
        "same": {
            "parts": changes.same_parts,
            "wires": changes.same_wires,
            "volts": changes.same_volts,
            "findings": changes.same_findings,
        },
    }


def _side(side: Side, folders: bool) -> dict[str, str]:
    return {f.name: getattr(side, f.name) for f in fields(side)} | ({} if folders else {"path": posixpath.basename(side.path)})


def _parts(changes: Difference) -> Iterator[dict[str, Any]]:
    for c in changes.parts:
        yield {
            "kind": c.kind,
            "old_ref": c.old.ref if c.old else "",
            "new_ref": c.new.ref if c.new else "",
            "old": describe(c.old) if c.old else "",
            "new": describe(c.new) if c.new else "",
            "job": "".join(job(part) for part in (c.new or c.old,) if part),
            "values": list(c.values),
            "rewired": [{"pin": one.pin, "old_net": one.old_net, "new_net": one.new_net} for one in c.rewired],
        }


def _wire(wire: Wire | None, amp: Amp) -> dict[str, Any] | None:
    if wire is None:
        return None
    start, end = wire_ends(wire, amp.netlist)
    return {"number": wire.number, "net": wire.net, "from": start, "to": end, "made_of": made_of(wire)}


def _number(value: float | None) -> float | None:
    return None if value is None else float(f"{value:.9g}") + 0.0

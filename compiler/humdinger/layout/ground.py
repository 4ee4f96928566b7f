"""Circuit ground as the grounding plan says.

bus-with-local-stars: what a stage returns goes to the minus of the capacitor of the B+ node that feeds the stage; those stars are
strung on one bus from the reservoir towards the input. star: every star goes straight to the reservoir's minus. One joint to the
chassis, at the input jack or at the reservoir. The charging loop stands alone: transformer tap or rectifier to the reservoir's minus by
a wire of its own, and the speaker's return goes to its jack first. Within a star the returns are a chain, so that no lug takes more
than a few wires; what the output tubes return is a chain of its own. The foot of a feedback divider belongs to the star of the stage it
feeds back to (all common practice).
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from itertools import pairwise

from ..circuit.netlist import (
    GROUND,
    Bond,
    Capacitor,
    Diode,
    Fuse,
    Jack,
    Netlist,
    OutputTransformer,
    Part,
    PowerTransformer,
    StageInstance,
    Tube,
)
from .model import Hop, Terminal
from .trees import Row, is_outside, leaves, stage_order, terminal

RESERVOIR = "reservoir"
ELSEWHERE = (1000, 0)
"""Stands for no board, behind every board."""
DIRECT, BIAS, HEATER, SPEAKER, BOND = "direct", "bias return", "heater return", "speaker return", "chassis joint"
"""Returns that belong to no star."""


def ground(netlist: Netlist, rows_of: Mapping[Terminal, tuple[int, int]] | None = None) -> Iterator[Hop]:
    """The wires of circuit ground, a tree over all its terminals.

    rows_of: board and row of a lead; within a star the leads of one board are wired in turn, down its rows.
    """
    at = rows_of or {}
    rows = [row for row in netlist.on_net.get(GROUND, ()) if not is_outside(row[0])]
    hubs = _hubs(netlist, rows)
    if not hubs:
        yield from pairwise(terminal(row) for row in sorted(rows, key=lambda row: at.get(terminal(row), ELSEWHERE)))
        yield from leaves(list(netlist.on_net.get(GROUND, ())), rows)
        return
    names = list(hubs)
    kinds = _kinds(netlist, rows, hubs)
    first = hubs[names[0]]
    order = stage_order(netlist)
    yield from _own(_of(kinds, DIRECT), first)
    for name in names:
        home = at.get(terminal(hubs[name]), ELSEWHERE)

        def key(row: Row, home: tuple[int, int] = home) -> tuple[int, int, int, int]:
            board, place = at.get(terminal(row), ELSEWHERE)
            return (-1 if board == home[0] else board, _current(netlist, row), place, order.get(row[0].stage, 0))

        star = sorted((row for row in _of(kinds, name) if row is not hubs[name]), key=key)
        loud = [row for row in star if _loud(netlist, row)]
        # what the output tubes return passes nothing else on its way
        yield from pairwise([terminal(hubs[name]), *map(terminal, loud)])
        yield from pairwise([terminal(hubs[name]), *(terminal(row) for row in star if row not in loud)])
    yield from _runs(netlist, hubs, names)
    home = next((row for row in rows if isinstance(row[0], Capacitor) and row[0].stage == "bias"), first)
    yield from ((terminal(row), terminal(home)) for row in _of(kinds, BIAS))
    yield from _speaker_return(_of(kinds, SPEAKER), first)
    if heater := _of(kinds, HEATER):
        yield terminal(first), terminal(heater[0])
        yield from pairwise(map(terminal, heater))
    yield from _joint(netlist, _of(kinds, BOND), rows, first)
    yield from leaves(list(netlist.on_net.get(GROUND, ())), rows)


def returns(netlist: Netlist) -> dict[Terminal, str]:
    """Each terminal on circuit ground -> what it belongs to: a star (its B+ node) or one of the returns that go a way of their own."""
    rows = [row for row in netlist.on_net.get(GROUND, ()) if not is_outside(row[0])]
    return {terminal(row): kind for row, kind in _kinds(netlist, rows, _hubs(netlist, rows))}


def charging(netlist: Netlist) -> set[Terminal]:
    """The terminals whose wire to the reservoir's minus carries the charging current, and nothing else may share."""
    return {lead for lead, kind in returns(netlist).items() if kind == DIRECT}


def _of(kinds: list[tuple[Row, str]], kind: str) -> list[Row]:
    return [row for row, found in kinds if found == kind]


def _kinds(netlist: Netlist, rows: list[Row], hubs: dict[str, Row]) -> list[tuple[Row, str]]:
    names = list(hubs)
    at_hub = {id(row): name for name, row in hubs.items()}
    return [(row, at_hub.get(id(row)) or _kind(netlist, row, names)) for row in rows]


def _kind(netlist: Netlist, row: Row, names: list[str]) -> str:
    part = row[0]
    if not names:
        return ""
    if isinstance(part, Bond):
        return BOND
    if _charges(netlist, row):
        return DIRECT
    if isinstance(part, PowerTransformer) and any(row[1] in w.pins for w in part.windings if w.kind == "bias"):
        return BIAS
    if _is_heater(row):
        return HEATER
    if isinstance(part, OutputTransformer) or part.stage in ("speaker", "line-out"):
        return SPEAKER
    return _star(netlist, part, names)


def _hubs(netlist: Netlist, rows: list[Row]) -> dict[str, Row]:
    """B+ node -> minus of its filter capacitor, reservoir first."""
    found: dict[str, Row] = {}
    for node in netlist.b_plus:
        for row in rows:
            part = row[0]
            if isinstance(part, Capacitor) and row[1] == "-" and part.stage == "filter" and part.role.startswith(f"{node}-"):
                found[node] = row
                break
    return found


def _charges(netlist: Netlist, row: Row) -> bool:
    """Whether a terminal carries the reservoir's charging current: the winding, a fuse or a rectifier in its lead."""
    part, pin = row
    if isinstance(part, PowerTransformer):
        return any(pin in winding.pins for winding in part.windings if winding.kind == "high-tension")
    return (isinstance(part, Fuse) and part.where == "high-tension") or (isinstance(part, Diode) and part.stage == "rectifier")


def _is_heater(row: Row) -> bool:
    part, pin = row
    if isinstance(part, PowerTransformer):
        return any(pin in winding.pins for winding in part.windings if winding.kind == "heater")
    if isinstance(part, Tube):
        return any(int(pin) in (*h.side_a_pins, *h.side_b_pins) for h in part.type.heaters)
    return False


def _star(netlist: Netlist, part: Part, names: list[str]) -> str:
    """The B+ node whose star a part returns to: that of its stage, else that of the next stage on the signal's way that has one."""
    if part.stage == "filter":
        return next((name for name in names if part.role.startswith(f"{name}-")), names[0])
    stages = list(netlist.stages)
    at = next((i for i, stage in enumerate(stages) if stage.id == part.stage), None)
    if at is None or (stages[at].section not in ("preamp", "inverter", "tremolo") and stages[at].kind not in ("feedback", "presence")):
        return names[0]
    target = str(stages[at].facts.get("to", "")) or part.stage
    at = next((i for i, stage in enumerate(stages) if stage.id == target), at)
    for stage in (*stages[at:], *reversed(stages[:at])):
        node = _node(netlist, stage)
        if node in names:
            return node
    return names[0]


def _node(netlist: Netlist, stage: StageInstance) -> str:
    """The B+ node that feeds a stage, "" when none does."""
    if (port := stage.ports.get("supply", "")) in netlist.b_plus:
        return port
    for ref in stage.parts.values():
        for pin in netlist.by_ref[ref].pins:
            if pin.net in netlist.b_plus:
                return pin.net
    return ""


def _own(rows: list[Row], hub: Row) -> Iterator[Hop]:
    """Terminals that go straight to the reservoir's minus; diodes of a bridge as one chain, its end at the capacitor."""
    diodes = [row for row in rows if isinstance(row[0], Diode)]
    yield from pairwise([*map(terminal, diodes), terminal(hub)] if diodes else [])
    yield from ((terminal(row), terminal(hub)) for row in rows if row not in diodes)


def _runs(netlist: Netlist, hubs: dict[str, Row], names: list[str]) -> Iterator[Hop]:
    """The bus from the reservoir outwards, or the spokes of one star."""
    plan = next(iter(netlist.stages_of("grounding")), None)
    if plan is not None and plan.facts.get("scheme") == "star":
        yield from ((terminal(hubs[names[0]]), terminal(hubs[name])) for name in names[1:])
    else:
        yield from pairwise(terminal(hubs[name]) for name in names)


def _speaker_return(rows: list[Row], hub: Row) -> Iterator[Hop]:
    """Transformer to the jack's sleeve, and from there one joint to the reservoir; the load resistor is a branch of the sleeve.

    Without a jack the load resistor takes its place.
    """
    jacks = [row for row in rows if isinstance(row[0], Jack) and row[0].purpose == "speaker"] or [
        row for row in rows if row[0].role == "load-resistor"
    ]
    loop = [*(row for row in rows if isinstance(row[0], OutputTransformer)), *jacks]
    rest = [row for row in rows if row not in loop]
    if not loop:
        loop, rest = rest[:1], rest[1:]
    if loop:
        yield from pairwise([*map(terminal, loop), terminal(hub)])
        yield from ((terminal(loop[-1]), terminal(row)) for row in rest)


def _loud(netlist: Netlist, row: Row) -> bool:
    """Whether it returns the current of an output tube."""
    others = {pin.net for pin in row[0].pins} - {GROUND}
    return any(netlist.by_section[ref].cathode in others for ref in netlist.power_sections)


def _current(netlist: Netlist, row: Row) -> int:
    """Returns that carry a tube's current lie next to the star's capacitor, then what hangs on B+, then what carries next to none."""
    others = {pin.net for pin in row[0].pins} - {GROUND}
    if any(section.cathode in others for section in netlist.sections):
        return 0
    return 1 if others & set(netlist.b_plus) else 2


def _joint(netlist: Netlist, bond: list[Row], rows: list[Row], hub: Row) -> Iterator[Hop]:
    """The one joint to the chassis, where the plan says."""
    plan = next(iter(netlist.stages_of("grounding")), None)
    where = str(plan.facts.get("chassis_joint", "input")) if plan else "input"
    sleeve = next((r for r in rows if isinstance(r[0], Jack) and r[0].purpose == "input" and r[1] == "sleeve"), None)
    start = hub if where == RESERVOIR or sleeve is None else sleeve
    yield from ((terminal(start), terminal(row)) for row in bond)

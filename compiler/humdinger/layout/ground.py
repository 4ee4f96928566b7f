"""Circuit ground as the grounding plan says.

bus-with-local-stars: what a stage returns goes to the minus of the capacitor of the B+ node that feeds the stage; those stars are
strung on one bus from the reservoir towards the input. star: every star goes straight to the reservoir's minus. One joint to the
chassis, at the input jack or at the reservoir. The charging loop stands alone: transformer tap or rectifier to the reservoir's minus by
a wire of its own, and the speaker's return goes to its jack first. Within a star the returns are a chain, so that no lug takes more
than a few wires (all common practice).
"""

from __future__ import annotations

from collections.abc import Iterator
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
from .model import Hop
from .trees import Row, is_outside, leaves, stage_order, terminal

RESERVOIR = "reservoir"


def ground(netlist: Netlist) -> Iterator[Hop]:
    """The wires of circuit ground, a tree over all its terminals."""
    rows = [row for row in netlist.on_net.get(GROUND, ()) if not is_outside(row[0])]
    hubs = _hubs(netlist, rows)
    if not hubs:
        yield from pairwise(terminal(row) for row in rows)
        yield from leaves(list(netlist.on_net.get(GROUND, ())), rows)
        return
    names = list(hubs)
    stars: dict[str, list[Row]] = {name: [] for name in names}
    direct: list[Row] = []
    placed = {id(row) for row in hubs.values()}
    speaker: list[Row] = []
    heater: list[Row] = []
    bond: list[Row] = []
    bias: list[Row] = []
    for row in rows:
        part = row[0]
        if id(row) in placed:
            continue
        if isinstance(part, Bond):
            bond.append(row)
        elif _charges(netlist, row):
            direct.append(row)
        elif isinstance(part, PowerTransformer) and any(row[1] in w.pins for w in part.windings if w.kind == "bias"):
            bias.append(row)
        elif _is_heater(row):
            heater.append(row)
        elif isinstance(part, OutputTransformer) or part.stage == "speaker":
            speaker.append(row)
        else:
            stars[_star(netlist, part, names)].append(row)
    first = hubs[names[0]]
    yield from _own(direct, first)
    for name in names:
        star = sorted(stars[name], key=lambda row: (_current(netlist, row), stage_order(netlist).get(row[0].stage, 0)))
        yield from pairwise([terminal(hubs[name]), *map(terminal, star)])
    yield from _runs(netlist, hubs, names)
    home = next((row for row in rows if isinstance(row[0], Capacitor) and row[0].stage == "bias"), first)
    yield from ((terminal(row), terminal(home)) for row in bias)
    yield from _speaker_return(speaker, first)
    if heater:
        yield terminal(first), terminal(heater[0])
        yield from pairwise(map(terminal, heater))
    yield from _joint(netlist, bond, rows, first)
    yield from leaves(list(netlist.on_net.get(GROUND, ())), rows)


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
    if at is None or stages[at].section not in ("preamp", "inverter", "tremolo"):
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
    """Transformer to the jack's sleeve, and from there one joint to the reservoir; the load resistor is a branch of the sleeve."""
    loop = sorted((row for row in rows if isinstance(row[0], OutputTransformer | Jack)), key=lambda row: isinstance(row[0], Jack))
    rest = [row for row in rows if row not in loop]
    if not loop:
        loop, rest = rest[:1], rest[1:]
    if loop:
        yield from pairwise([*map(terminal, loop), terminal(hub)])
        yield from ((terminal(loop[-1]), terminal(row)) for row in rest)


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

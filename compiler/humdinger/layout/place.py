"""Places what can be placed from netlist and volts: boards and one tree of wires per net."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from itertools import zip_longest

from ..circuit.netlist import EARTH, GROUND, Bond, Netlist, OutputTransformer, PowerTransformer, Tube
from ..records import replace
from .boards import Boarded, States, boarded
from .colouring import colour_of, coloured, ringed_nets
from .colours import HOUSE
from .model import Hop, Isolated, Layout, Terminal, Wire
from .trees import earth, is_outside, tree

WORK_ORDER = ("mains", "earth", "heater", "ground", "high-tension-ac", "supply", "bias", "speaker", "signal")
"""Mains first, then heaters, ground and high tension, the signal last (common practice)."""


def place(netlist: Netlist, house: Mapping[str, str] | None = None, states: States = ()) -> Layout:
    """house: colours of the shop file over those of HOUSE. states: volts of every net, state by state, to space terminals by."""
    colours = {**HOUSE, **(house or {})}
    trees = {net: tuple(_tree(netlist, net)) for net in netlist.nets if net != GROUND}
    made = boarded(netlist, trees, states)
    hops, bonds, ends = _bonds(netlist, made.hops)
    rows = wires(netlist, colours, hops)
    inside = [wire for wire in rows if not wire.outside]
    bond = tuple(_bond_wires(netlist, bonds, len(inside)))
    cables = (replace(wire, number=wire.number + len(bond)) for wire in rows[len(inside) :])
    return Layout(
        _screened((*inside, *bond, *cables), made),
        coloured(netlist, house),
        tuple(_isolated(netlist)),
        made.boards,
        made.seats,
        {**made.joints, **ends},
        strips=made.strips,
    )


def _bonds(
    netlist: Netlist, hops: Mapping[str, tuple[Hop, ...]]
) -> tuple[dict[str, tuple[Hop, ...]], dict[str, Hop], dict[Terminal, Terminal]]:
    """The hops without those to the ends of a bond; bond -> where its one wire runs from and to; its ends -> those terminals.

    A bond is a wire, not a part with two leads: what the trees hang on an end of it goes to the terminal that the end itself goes to.
    """
    left, runs, ends = dict(hops), {}, {}
    for bond in netlist.of(Bond):
        places: list[Terminal] = []
        for pin in bond.pins:
            end = Terminal(bond.ref, pin.name)
            at = next((b if a == end else a for a, b in left.get(pin.net, ()) if end in (a, b)), None)
            if at is None:
                break
            moved = [(at if a == end else a, at if b == end else b) for a, b in left[pin.net]]
            left[pin.net] = tuple(hop for hop in moved if hop[0] != hop[1])
            ends[end] = at
            places.append(at)
        if len(places) == len(bond.pins):
            runs[bond.ref] = (places[0], places[1])
        else:
            left, ends = dict(hops), {}
    return left, runs, ends


def _bond_wires(netlist: Netlist, runs: Mapping[str, Hop], count: int) -> Iterator[Wire]:
    """The last wires in the chassis: from the ground plan's joint to the stud, in earth's colour, for it keeps every sleeve safe."""
    for k, (ref, (start, end)) in enumerate(runs.items(), count + 1):
        yield Wire(k, "bond", GROUND, start, end, netlist.region.earth_colours[0], bond=ref)


def _tree(netlist: Netlist, net: str) -> Iterator[Hop]:
    return earth(netlist, netlist.on_net.get(net, ())) if net == EARTH else tree(netlist, net)


# -- wires ----------------------------------------------------------------------------------------------------------
def wires(netlist: Netlist, colours: Mapping[str, str], hops: Mapping[str, tuple[Hop, ...]]) -> tuple[Wire, ...]:
    """Every wire in working order; the two nets of a heater winding hop by hop, as the pair is laid. What is in a cable comes last."""
    rows: list[tuple[str, str, Hop, str]] = []
    for group in WORK_ORDER:
        names = [name for name, net in netlist.nets.items() if net.domain == group]
        names.sort(key=lambda name: netlist.b_plus.index(name) if name in netlist.b_plus else len(netlist.b_plus))
        for name, hop, pair in _paired(netlist, names, hops) if group == "heater" else _plain(names, hops):
            rows.append((group, name, hop, pair or _heater_pair(netlist, *hop)))
    made: list[Wire] = []
    ringed = ringed_nets(netlist)
    for group, name, (start, end), pair in sorted(_mated(rows), key=lambda row: _in_cable(netlist, row[2])):
        outside = _in_cable(netlist, (start, end))
        colour = colour_of(netlist, name, colours)
        made.append(Wire(len(made) + 1, group, name, start, end, colour, pair, outside, ring=name in ringed and not outside))
    return tuple(made)


def _in_cable(netlist: Netlist, hop: Hop) -> bool:
    return any(end.ref in netlist.by_ref and is_outside(netlist.by_ref[end.ref]) for end in hop)


def _screened(rows: tuple[Wire, ...], made: Boarded) -> tuple[Wire, ...]:
    """The wires with their screens: where each is drained, or which ground wire it is."""
    numbers = {(w.net, (w.start, w.end)): w.number for w in rows}
    partners: dict[int, int] = {}
    for own, back in made.braids.items():
        a, b = numbers[own], numbers[GROUND, back]
        partners |= {a: b, b: a}
    found: list[Wire] = []
    for wire in rows:
        at, start = made.drains.get((wire.net, (wire.start, wire.end)), (None, False))
        drained = None if at is None else wire.start if start else wire.end
        found.append(replace(wire, drain=at, drained=drained, braid=partners.get(wire.number, 0)))
    return tuple(found)


def _mated(rows: list[tuple[str, str, Hop, str]]) -> list[tuple[str, str, Hop, str]]:
    """Puts the lead of a heater winding that is B+ beside the lead it is twisted with: a pair is laid once, in one step."""
    found = [row for row in rows if not row[3] or row[0] == "heater"]
    for row in rows:
        if row not in found:
            at = [k for k, other in enumerate(found) if other[3] == row[3] and other[0] == "heater"]
            found.insert(at[-1] + 1 if at else rows.index(row), ("heater", *row[1:]) if at else row)
    return found


def _plain(names: list[str], hops: Mapping[str, tuple[Hop, ...]]) -> Iterator[tuple[str, Hop, str]]:
    for name in names:
        yield from ((name, hop, "") for hop in hops.get(name, ()))


def _paired(netlist: Netlist, names: list[str], hops: Mapping[str, tuple[Hop, ...]]) -> Iterator[tuple[str, Hop, str]]:
    """Hops of one winding's nets in turn: a, b, a, b."""
    windings: dict[str, list[list[tuple[str, Hop]]]] = {}
    for name in names:
        windings.setdefault(name.split(".")[0], []).append([(name, hop) for hop in hops.get(name, ())])
    for winding, sides in windings.items():
        runs = [[one for one in side if one[1][0].ref != one[1][1].ref and _is_run(netlist, one[1])] for side in sides]
        rest = [one for side, run in zip(sides, runs, strict=True) for one in side if one not in run]
        pair = winding.upper() if len(sides) > 1 else ""
        for step in zip_longest(*runs):
            yield from ((name, hop, pair) for name, hop in (one for one in step if one is not None))
        yield from ((name, hop, "") for name, hop in rest)


def _heater_pair(netlist: Netlist, start: Terminal, end: Terminal) -> str:
    """The winding whose lead goes to a socket: both its leads are laid as one pair, also where one of them is B+."""
    part = netlist.by_ref.get(start.ref)
    if not isinstance(part, PowerTransformer) or not isinstance(netlist.by_ref.get(end.ref), Tube):
        return ""
    return next((w.name for w in part.windings if w.kind == "heater" and start.pin in w.pins), "")


def _is_run(netlist: Netlist, hop: Hop) -> bool:
    """Whether a hop belongs to the twisted run: it ends at a socket."""
    return isinstance(netlist.by_ref.get(hop[1].ref), Tube)


def _isolated(netlist: Netlist) -> Iterator[Isolated]:
    """Transformer leads that go nowhere: taps not used, windings not used, primary taps of other mains."""
    for net, rows in netlist.on_net.items():
        if len(rows) == 1 and isinstance(rows[0][0], OutputTransformer | PowerTransformer):
            part, pin = rows[0]
            yield Isolated(part.ref, pin, f"{netlist.nets[net].label}: not used, and live when the amp plays")
    for stage in netlist.stages_of("power-transformer"):
        taps = stage.facts.get("primary_taps_volts")
        picked = stage.facts.get("primary_tap_volts")
        for volts in taps if isinstance(taps, tuple) else ():
            if volts != picked:
                ref = stage.parts.get("power-transformer", "")
                yield Isolated(ref, f"{volts:g} V primary", "primary tap for other mains: its end is at mains potential")

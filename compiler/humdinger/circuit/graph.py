"""Checks on the netlist as a graph, before anything is solved: what no solver can answer and no builder should wire.

NET-001 a net without a DC path to ground, NET-002 a floating winding, NET-003 a shorted source, NET-004 a part with both ends on one net,
NET-005 a dead end. A DC path runs through resistors, pots, chokes, windings, diodes, fuses, closed switches, lamps, the voice coil, the
bond, and plate or screen to cathode of a tube; never through a capacitor, a control grid or a heater-to-cathode gap: the solver would
show a node reached only through those at 0 V instead of telling the truth.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from itertools import pairwise

from ..diagnostics import Diagnostic, Help, Label, Severity, Span
from ..records import replace
from .heating import heater_feed, series_pairs
from .netlist import (
    EARTH,
    GROUND,
    Bond,
    Choke,
    Coupler,
    Diode,
    Fuse,
    InterstageTransformer,
    Lamp,
    Netlist,
    OutputTransformer,
    Part,
    Pot,
    PowerTransformer,
    Resistor,
    Speaker,
    Switch,
    Tube,
)

Edge = tuple[str, str]
BLOCKS_ITSELF = ("three-knob-tone",)
"""Kinds every way through which has a capacitor: a coupling capacitor before one leaves what is between without a DC path."""
WITHOUT_GROUND = ("mains", "earth")
"""Domains that have no DC path to circuit ground, or whose path is judged by a rule."""


class Groups:
    """Nets in groups that are joined step by step."""

    def __init__(self) -> None:
        self._above: dict[str, str] = {}

    def find(self, net: str) -> str:
        """The net that stands for a group."""
        while (above := self._above.get(net, net)) != net:
            net = above
        return net

    def join(self, edges: Iterable[Edge]) -> Groups:
        """Joins the two ends of every edge."""
        for one, two in edges:
            self._above[self.find(one)] = self.find(two)
        return self


def check(netlist: Netlist) -> tuple[Diagnostic, ...]:
    """Every fault of the graph, with the spec line that caused the part at fault."""
    dead = tuple(_dead_ends(netlist))
    skip = {str(d.facts["net"]) for d in dead}
    return (*_looped(netlist), *dead, *_shorted(netlist), *_floating(netlist, skip))


# -- what conducts ----------------------------------------------------------------------------------------------------
def dc_edges(netlist: Netlist) -> Iterator[tuple[str, str, str]]:
    """(net, net, designator) of everything that carries DC."""
    for part in netlist.parts:
        for one, two in _part_edges(part):
            yield one, two, part.ref
    for pair in series_pairs(netlist):  # the joint of two heaters in series hangs on the winding by them
        feeds = [feed for ref in pair.refs if isinstance(tube := netlist.by_ref[ref], Tube) and (feed := heater_feed(tube))]
        yield from ((*nets, ref) for ref, (nets, _) in zip(pair.refs, feeds, strict=True))
    for section in netlist.sections:
        for electrode in (section.plate, section.screen):
            if electrode and section.cathode:
                yield electrode, section.cathode, section.tube
    for rectifier in netlist.rectifiers:
        for ref in rectifier.devices:
            if isinstance(tube := netlist.by_ref.get(ref), Tube):
                yield from ((net, rectifier.plus, ref) for net in rectifier_plates(tube))


def rectifier_plates(tube: Tube) -> Iterator[str]:
    """Nets of a rectifier tube's plates."""
    on = {pin.name: pin.net for pin in tube.pins}
    for section in tube.type.sections:
        for electrode in ("plate1", "plate2"):
            yield from (on[str(n)] for n in section.pins.get(electrode, ()) if str(n) in on)


def _part_edges(part: Part) -> list[Edge]:
    """Pairs of nets a part joins for DC. A heater joins nothing here: its winding does."""
    nets = [pin.net for pin in part.pins]
    if isinstance(part, Resistor | Choke | Diode | Fuse | Lamp | Speaker | Bond):
        return [(nets[0], nets[1])]
    if isinstance(part, Coupler):
        return [(part.net("a"), part.net("k")), (part.net("1"), part.net("2"))]
    if isinstance(part, Pot):
        return [(nets[0], nets[1]), (nets[1], nets[2])]
    if isinstance(part, Switch):
        return list(zip(nets[::2], nets[1::2], strict=True)) if part.closed else []
    if isinstance(part, PowerTransformer | OutputTransformer | InterstageTransformer):
        return [pair for winding in windings(part).values() for pair in pairwise(winding)]
    return []


def windings(part: PowerTransformer | OutputTransformer | InterstageTransformer) -> Mapping[str, tuple[str, ...]]:
    """Winding name -> the nets of its ends and taps, in order."""
    if isinstance(part, PowerTransformer):
        found: dict[str, tuple[str, ...]] = {"primary": (part.net("L"), part.net("N"))}
        for winding in part.windings:
            found[winding.name] = tuple(part.net(pin) for pin in winding.pins if pin)
        return found
    if isinstance(part, InterstageTransformer):
        return {"primary": (part.net("P"), part.net("B")), "secondary": tuple(part.net(pin) for pin in ("S1", "CT", "S2"))}
    taps = [tap.pin for tap in part.taps]
    primary = [pin.net for pin in part.pins if pin.name not in ("0", *taps)]
    return {"primary": tuple(primary), "secondary": (part.net("0"), *(part.net(tap) for tap in taps))}


def _zero_ohm_edges(part: Part) -> list[Edge]:
    """Pairs of nets a part joins as good as a wire does."""
    if isinstance(part, Fuse | Bond) or (isinstance(part, Resistor) and part.ohms == 0.0):
        return [(part.pins[0].net, part.pins[1].net)]
    return _part_edges(part) if isinstance(part, Switch) else []


# -- the checks -------------------------------------------------------------------------------------------------------
def _looped(netlist: Netlist) -> Iterator[Diagnostic]:
    """Parts with both ends on one net. A pot may have its wiper on an end: it is a rheostat then."""
    for part in netlist.parts:
        nets = [pin.net for pin in part.pins]
        if isinstance(part, Pot):
            same = nets[0] == nets[2]
        elif isinstance(part, Switch):
            same = any(one == two for one, two in zip(nets[::2], nets[1::2], strict=True))
        else:
            same = len(nets) == 2 and nets[0] == nets[1]
        if same:
            yield _fault("NET-004", "both-ends-on-one-net", f"both ends of {part.ref} are on {nets[0]}", part.span, part.ref, part.role)
    for section in netlist.sections:
        if not section.unused and section.plate and section.plate == section.cathode:
            span = netlist.by_ref[section.tube].span
            yield _fault(
                "NET-004", "both-ends-on-one-net", f"plate and cathode of {section.ref} are both on {section.plate}", span, section.ref
            )


def _dead_ends(netlist: Netlist) -> Iterator[Diagnostic]:
    """Nets with a single connection that nobody declared open."""
    for name, rows in netlist.on_net.items():
        net = netlist.nets.get(name)
        if len(rows) != 1 or name in (GROUND, EARTH) or (net and net.open):
            continue  # an earth that leads nowhere is danger, which is for the rules to say
        part, pin = rows[0]
        message = f"{_at(part, pin)} is connected to nothing"
        yield _fault("NET-005", "dead-end", message, _owner_span(netlist, part, name), part.ref, f"net {name} ends here", net=name)


def _shorted(netlist: Netlist) -> Iterator[Diagnostic]:
    """Windings and B+ nodes with no resistance across them."""
    wires = Groups().join(edge for part in netlist.parts for edge in _zero_ohm_edges(part))
    for part in netlist.parts:
        if not isinstance(part, PowerTransformer | OutputTransformer | InterstageTransformer):
            continue
        for name, nets in windings(part).items():
            ends = [wires.find(net) for net in nets]
            if len(set(ends)) < len(ends):
                span = _winding_span(part, name)
                yield _fault(
                    "NET-003", "shorted-source", f"winding {name} of {part.ref} is shorted: its ends are one net", span, part.ref, "shorted"
                )
    for rectifier in netlist.rectifiers:
        if wires.find(rectifier.plus) == wires.find(rectifier.minus):
            message = f"the rectifier's plus and minus are one net, {rectifier.plus}"
            yield _fault("NET-003", "shorted-source", message, rectifier.span, rectifier.id, "shorted")
    for node in netlist.b_plus:
        if wires.find(node) == wires.find(GROUND):
            yield _fault(
                "NET-003", "shorted-source", f"B+ node {node} is tied to circuit ground", _net_span(netlist, node), node, "tied to ground"
            )


def _floating(netlist: Netlist, skip: set[str]) -> Iterator[Diagnostic]:
    """Groups of nets with no DC path to ground: one finding for each group, as a winding's where it holds one."""
    groups = Groups().join((one, two) for one, two, _ in dc_edges(netlist))
    ground = groups.find(GROUND)
    loose: dict[str, list[str]] = {}
    for name, net in netlist.nets.items():
        if net.domain not in WITHOUT_GROUND and groups.find(name) != ground and not net.open and name not in skip:
            loose.setdefault(groups.find(name), []).append(name)
    at = {
        net: (part, name)
        for part in netlist.parts
        if isinstance(part, PowerTransformer | OutputTransformer | InterstageTransformer)
        for name, ns in windings(part).items()
        for net in ns
    }
    for nets in loose.values():
        winding = next((at[net] for net in nets if net in at), None)
        if winding is not None and winding[1] != "primary":
            yield _floating_winding(*winding, nets)
        else:
            yield _no_path(netlist, nets)


def _floating_winding(part: PowerTransformer | OutputTransformer | InterstageTransformer, name: str, nets: list[str]) -> Diagnostic:
    message = f"winding {name} of {part.ref} floats: nothing ties it to circuit ground"
    helps: tuple[str, ...] = ()
    if name.startswith("H"):
        message = f"heater winding {name} floats: nothing refers it to circuit ground"
        helps = (
            f"one entry of supply/heater_reference per winding: - {{kind: artificial-centre-tap, winding: {name}, resistors: 100 0.5W}}",
            f"for a winding that feeds a rectifier tube alone: - {{kind: to-cathode, winding: {name}}}",
        )
    found = _fault("NET-002", "floating-winding", message, _winding_span(part, name), part.ref, "floats", net=nets[0])
    return replace(found, helps=tuple(Help(text) for text in helps))


def _no_path(netlist: Netlist, nets: list[str]) -> Diagnostic:
    """A net only capacitors and grids reach; a grid's own stage is where the leak is missing."""
    name = nets[0]
    grid = next((s for s in netlist.sections if s.grid in nets), None)
    if grid is not None:
        stage = next((s for s in netlist.stages if s.id == grid.stage), None)
        span = stage.span if stage else netlist.by_ref[grid.tube].span
        message = f"the control grid of {grid.ref} has no DC path to ground"
        found = _fault("NET-001", "no-dc-path", message, span, grid.ref, "no grid leak", net=grid.grid, nets=nets)
        return replace(found, helps=(Help("a grid leak (grid_leak) at that stage, or a volume control before it"),))
    message = f"{name} has no DC path to ground"
    behind = next((s for s in netlist.stages if s.kind in BLOCKS_ITSELF and s.ports.get("in") in nets), None)
    before = next((p for p, _ in netlist.on_net[behind.ports["in"]] if p.stage != behind.id), None) if behind else None
    if behind is not None and before is not None:
        label = f"{behind.id} has capacitors of its own"
        found = _fault("NET-001", "no-dc-path", message, before.span, name, label, net=name, nets=nets)
        return replace(found, helps=(Help(f"`coupling: direct` here: what feeds {behind.id} gives it its direct volts"),))
    found = _fault("NET-001", "no-dc-path", message, _net_span(netlist, name), name, "reached through capacitors only", net=name, nets=nets)
    return replace(found, helps=(Help("a resistor from there to ground, or to what its volts should come from"),))


# -- words ------------------------------------------------------------------------------------------------------------
def _at(part: Part, pin: str) -> str:
    return f"pin {pin} of {part.ref}" if isinstance(part, Tube) else f"end {pin} of {part.ref} ({part.role})"


def _winding_span(part: PowerTransformer | OutputTransformer | InterstageTransformer, name: str) -> Span:
    if isinstance(part, PowerTransformer) and name != "primary":
        return part.winding(name).span
    return part.span


def _owner_span(netlist: Netlist, part: Part, net: str) -> Span:
    """A tube's pin is the fault of the stage that uses the section, anything else of its own line."""
    section = next((s for s in netlist.sections if s.tube == part.ref and net in (s.plate, s.grid, s.cathode, s.screen)), None)
    stage = next((s for s in netlist.stages if section and s.id == section.stage), None)
    return stage.span if stage else part.span


def _net_span(netlist: Netlist, net: str) -> Span:
    """The line of the last part put on a net that is no tube."""
    rows = netlist.on_net.get(net, ())
    spans = [part.span for part, _ in rows if not isinstance(part, Tube)] or [part.span for part, _ in rows]
    return max(spans) if spans else netlist.parts[0].span


def _fault(
    code: str, rule: str, message: str, span: Span, element: str, label: str = "", *, net: str = "", nets: Iterable[str] = ()
) -> Diagnostic:
    others = [name for name in nets if name != net]
    notes = (f"with it: {', '.join(others)}",) if others else ()
    facts = {"net": net} if net else {}
    return Diagnostic(code, rule, Severity.ERROR, message, (Label(span, label, True),), notes, (), facts, element)


# -- mains ------------------------------------------------------------------------------------------------------------
def mains_paths(netlist: Netlist) -> tuple[tuple[str, str, str], ...]:
    """Every part that leads DC out of the mains: (designator, mains net, net outside), by designator order of the parts.

    Resistors, chokes, diodes, lamps, switches and the like conduct; capacitors and the transformer's isolation do not. Empty for a sound
    amp: rule MNS-009 reads it. Protective earth counts as outside: nothing but a class-Y capacitor may lie between it and the mains.
    """
    inside = {name for name, net in netlist.nets.items() if net.domain == "mains"}
    found = []
    for one, two, ref in dc_edges(netlist):
        if (one in inside) != (two in inside):
            found.append((ref, one, two) if one in inside else (ref, two, one))
    return tuple(found)

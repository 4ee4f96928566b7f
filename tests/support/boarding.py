"""What must hold of any layout with boards, whatever the amp: checks that tests run over demos and random amps."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from itertools import pairwise

from humdinger.circuit.netlist import GROUND, Jack, Netlist, Stud
from humdinger.layout import Layout, Terminal, Wire
from humdinger.layout.ground import charging, returns


def faults(netlist: Netlist, layout: Layout) -> list[str]:
    """Everything wrong with a layout, in words."""
    return [
        *_seated(netlist, layout),
        *_trees(netlist, layout),
        *_room(netlist, layout),
        *_names(netlist, layout),
        *_mounted(netlist, layout),
        *_landed(netlist, layout),
        *_screens(netlist, layout),
    ]


def edges(layout: Layout, net: str) -> list[tuple[Terminal, Terminal]]:
    """Links and wires of a net."""
    return [(e.start, e.end) for e in (*layout.links_of(net), *layout.wires_of(net))]


def _seated(netlist: Netlist, layout: Layout) -> Iterator[str]:
    """Every part of the netlist has one seat."""
    seats = Counter(seat.ref for seat in layout.seats)
    if seats != Counter(part.ref for part in netlist.parts):
        yield f"seats and parts differ: {seats - Counter(p.ref for p in netlist.parts)}"
    on_board = Counter(mount.ref for board in layout.boards for mount in board.mounts)
    if on_board != Counter(seat.ref for seat in layout.seats if seat.kind == "board"):
        yield "a part of a board is not there once"
    for seat in layout.seats:
        if seat.kind == "board" and not any(seat.at == b.name and seat.ref in {m.ref for m in b.mounts} for b in layout.boards):
            yield f"{seat.ref} is not on board {seat.at}"
        if seat.kind == "tag" and seat.at and seat.at not in netlist.by_ref:
            yield f"{seat.ref} stands on {seat.at}, which is no part"
        if not seat.why:
            yield f"{seat.ref} stands without a reason"


def _trees(netlist: Netlist, layout: Layout) -> Iterator[str]:
    """Shared terminals, links and wires join all leads of a net, and without a loop; each terminal is of one net."""
    net_of: dict[Terminal, str] = {}
    for net, rows in netlist.on_net.items():
        nodes = {layout.joint(part.ref, pin) for part, pin in rows}
        nodes |= {t.terminal for board in layout.boards for t in board.turrets if t.net == net}
        nodes |= {lug for strip in layout.strips for lug, other in zip(strip.lugs, strip.nets, strict=True) if other == net}
        for node in nodes:
            if net_of.setdefault(node, net) != net:
                yield f"{node} is on {net} and on {net_of[node]}"
        parent = {node: node for node in nodes}

        def root(node: Terminal, parent: dict[Terminal, Terminal] = parent) -> Terminal:
            while parent[node] != node:
                node = parent[node]
            return node

        for a, b in edges(layout, net):
            if a not in nodes or b not in nodes:
                yield f"{net}: {a} to {b} is not between its terminals"
            elif root(a) == root(b):
                yield f"{net}: {a} to {b} closes a loop"
            else:
                parent[root(a)] = root(b)
        if len({root(node) for node in nodes}) != 1:
            yield f"{net} falls apart"
    known = set(netlist.on_net)
    for net in {w.net for w in layout.wires} | {link.net for b in layout.boards for link in b.links}:
        if net not in known:
            yield f"a wire of {net}, which joins nothing"


def _room(netlist: Netlist, layout: Layout) -> Iterator[str]:
    """Three leads on a terminal of a board, three link ends below it."""
    wires = Counter(t for w in layout.wires for t in (w.start, w.end))
    for board in layout.boards:
        below = Counter(t for link in board.links for t in (link.start, link.end))
        for turret in board.turrets:
            top = len(turret.leads) + wires[turret.terminal]
            if top > 3:
                yield f"{top} leads on {turret.terminal}"
            if below[turret.terminal] > 3:
                yield f"{below[turret.terminal]} links on {turret.terminal}"
            if top + below[turret.terminal] < 1 or (not turret.leads and not turret.tie):
                yield f"nothing on {turret.terminal}"


def places(netlist: Netlist, layout: Layout) -> set[Terminal]:
    """Every terminal that there is: turrets, lugs of strips, tags of what has tags of its own (a part that hangs on others has none)."""
    made = {turret.terminal for board in layout.boards for turret in board.turrets} | {lug for s in layout.strips for lug in s.lugs}
    own = {seat.ref for seat in layout.seats if seat.kind in ("chassis", "cable")}
    return made | {Terminal(part.ref, pin.name) for part in netlist.parts if part.ref in own for pin in part.pins}


def _landed(netlist: Netlist, layout: Layout) -> Iterator[str]:
    """Every end of a wire and every lead of a part is on a terminal that exists; three leads on one, screens among them."""
    real = places(netlist, layout)
    count: Counter[Terminal] = Counter()
    bonds = {wire.bond for wire in layout.wires}
    for part in netlist.parts:
        for pin in part.pins:
            own, at = Terminal(part.ref, pin.name), layout.joint(part.ref, pin.name)
            if at not in real:
                yield f"{own} ends at {at}, which is nowhere"
            if at != own and part.ref not in bonds:
                count[at] += 1
    for wire in layout.wires:
        for end in (wire.start, wire.end):
            if end not in real:
                yield f"wire {wire.number} ends at {end}, which is nowhere"
            count[end] += not wire.outside
        if wire.drain is not None:
            count[wire.drain] += 1
    studs = {stud.ref for stud in netlist.of(Stud)}
    for at, leads in count.items():
        if leads > 3 and at.ref not in studs:
            yield f"{leads} leads on {at}"
    lugs = [(lug, net, leads) for s in layout.strips for lug, net, leads in zip(s.lugs, s.nets, s.leads, strict=True)]
    for lug, net, leads in lugs:
        if any(layout.joint(lead.ref, lead.pin) != lug or netlist.by_ref[lead.ref].net(lead.pin) != net for lead in leads):
            yield f"{lug} does not hold what it says"


def _screens(netlist: Netlist, layout: Layout) -> Iterator[str]:
    """A screen is soldered once, to circuit ground, at the place of one of its wire's ends; or it is the one return of that wire's jack."""
    ground = {layout.joint(part.ref, pin) for part, pin in netlist.on_net.get(GROUND, ())}
    ground |= {turret.terminal for board in layout.boards for turret in board.turrets if turret.net == GROUND}
    ground |= {lug for strip in layout.strips for lug, net in zip(strip.lugs, strip.nets, strict=True) if net == GROUND}
    wires = {wire.number: wire for wire in layout.wires}

    def place(at: Terminal) -> str:
        return layout.host(at.ref) or at.ref

    for wire in layout.wires:
        if wire.drain is not None:
            if wire.drain not in ground:
                yield f"the screen of wire {wire.number} is at {wire.drain}, which is no ground"
            if wire.drained not in (wire.start, wire.end) or place(wire.drained) != place(wire.drain):
                yield f"the screen of wire {wire.number} is at {wire.drain}, away from {wire.drained}"
            if wire.braid or wire.outside:
                yield f"the screen of wire {wire.number} is there twice"
        if wire.braid:
            other = wires[wire.braid]
            if other.braid != wire.number or {wire.net, other.net} - {GROUND} not in ({wire.net}, {other.net}):
                yield f"wires {wire.number} and {other.number} are no core and screen"
            if {place(wire.start), place(wire.end)} != {place(other.start), place(other.end)}:
                yield f"wires {wire.number} and {other.number} part on their way"
    for wire in layout.wires:  # a screened wire to a jack beside its own return
        ends = {place(wire.start), place(wire.end)}
        jack = any(isinstance(netlist.by_ref.get(end), Jack) for end in ends)
        if wire.drain is not None and jack:
            beside = [
                w for w in layout.wires if w.net == GROUND and not w.outside and not w.bond and {place(w.start), place(w.end)} == ends
            ]
            bonded = {w.start for w in layout.wires if w.bond}
            if any(not ({w.start, w.end} & bonded) and not w.braid and not _charging(netlist, w) for w in beside):
                yield f"wire {wire.number} has a screen beside its own return"


def _charging(netlist: Netlist, wire: Wire) -> bool:
    return bool({wire.start, wire.end} & charging(netlist))


def _names(netlist: Netlist, layout: Layout) -> Iterator[str]:
    """A terminal's name is no designator and no net."""
    names = [t.terminal.ref + t.terminal.pin for board in layout.boards for t in board.turrets]
    for name, count in Counter(names).items():
        if count > 1:
            yield f"{name} is there {count} times"
    for name in {*names, *(b.name for b in layout.boards)} & {*netlist.by_ref, *netlist.nets, *(n.label for n in netlist.nets.values())}:
        yield f"{name} is a terminal and something else"


def _mounted(netlist: Netlist, layout: Layout) -> Iterator[str]:
    """Leads are on terminals of their net, one row below the other, bodies clear of each other and inside the board."""
    for board in layout.boards:
        turrets = {t.terminal: t for t in board.turrets}
        for mount in board.mounts:
            part = netlist.by_ref[mount.ref]
            if {mount.left_pin, mount.right_pin} != {pin.name for pin in part.pins}:
                yield f"{mount.ref} has other leads"
            for pin, terminal, side in ((mount.left_pin, mount.left, "left"), (mount.right_pin, mount.right, "right")):
                turret = turrets[terminal]
                if turret.net != part.net(pin) or turret.side != side or Terminal(mount.ref, pin) not in turret.leads:
                    yield f"lead {pin} of {mount.ref} is on {terminal}, of {turret.net}"
        rows = sorted(board.mounts, key=lambda m: m.y_mm)
        for a, b in pairwise(rows):
            if b.y_mm - b.body.diameter_mm / 2 < a.y_mm + a.body.diameter_mm / 2 + 1.0:
                yield f"{a.ref} and {b.ref} touch"
        for mount in rows:
            if mount.y_mm - mount.body.diameter_mm / 2 < 1.0 or mount.y_mm + mount.body.diameter_mm / 2 > board.height_mm - 1.0:
                yield f"{mount.ref} hangs over the edge"


def stars_apart(netlist: Netlist, layout: Layout) -> list[str]:
    """Returns of two stars that meet before the bus between their capacitors."""
    groups = returns(netlist)
    of_node: dict[Terminal, set[str]] = {}
    hubs: set[Terminal] = set()
    for lead, group in groups.items():
        node = layout.joint(lead.ref, lead.pin)
        of_node.setdefault(node, set()).add(group)
        part = netlist.by_ref[lead.ref]
        if part.stage == "filter" and lead.pin == "-" and part.role == f"{group}-capacitor":
            hubs.add(node)
    found = [f"{node}: {sorted(names)}" for node, names in of_node.items() if len(names & set(netlist.b_plus)) > 1]
    for a, b in edges(layout, GROUND):
        for x, y in ((a, b), (b, a)):
            mine, other = of_node.get(x, set()) & set(netlist.b_plus), of_node.get(y, set()) & set(netlist.b_plus)
            if mine and other and mine != other and not (x in hubs and y in hubs):
                found.append(f"{x} of {sorted(mine)} meets {y} of {sorted(other)}")
    return found

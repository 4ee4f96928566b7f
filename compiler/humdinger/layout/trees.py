"""One tree of wires per net, in electrical order: from what feeds the net to what it feeds.

Parts outside the chassis (the speaker, the contact in the pedal) hang on their jack as leaves: pulling a plug must not break a chain.
A speaker without a jack hangs on the load resistor, else on the transformer.
A B+ node runs from the rectifier to the plus of its capacitor and from there to everything else. A heater pair leaves the transformer,
passes the output tubes first and ends at the input tube, where the current and so the hum is smallest (common practice).
"""

from __future__ import annotations

from collections.abc import Iterator
from itertools import pairwise

from ..circuit.netlist import (
    Capacitor,
    Choke,
    Diode,
    Fuse,
    Inlet,
    Jack,
    Netlist,
    OutputTransformer,
    Part,
    PowerTransformer,
    Resistor,
    Speaker,
    Stud,
    Switch,
    Tube,
)
from .model import Hop, Terminal

Row = tuple[Part, str]


def terminal(row: Row) -> Terminal:
    """A part and its pin as a terminal."""
    return Terminal(row[0].ref, row[1])


def is_outside(part: Part) -> bool:
    """Whether a part is on the far end of a cable."""
    return isinstance(part, Speaker) or (isinstance(part, Switch) and part.where == "footswitch")


def stage_order(netlist: Netlist) -> dict[str, int]:
    """Stage id -> its place along the signal."""
    return {stage.id: i for i, stage in enumerate(netlist.stages)}


def tree(netlist: Netlist, net: str) -> Iterator[Hop]:
    """The wires of a net that is neither circuit ground nor earth."""
    rows = list(netlist.on_net.get(net, ()))
    if netlist.nets[net].domain == "heater":
        yield from _heater(netlist, rows)
        return
    inside = [row for row in rows if not is_outside(row[0])]
    branches = [row for row in inside if isinstance(row[0], Jack) and row[0].purpose == "footswitch" and len(inside) > 1]
    flying = [row for row in inside if isinstance(row[0], OutputTransformer) and netlist.nets[net].domain == "supply" and len(inside) > 1]
    chain = sorted((row for row in inside if row not in branches + flying), key=lambda row: _rank(netlist, net, row))
    screens = [row for row in chain if netlist.nets[net].domain == "supply" and row[0].role.startswith("screen-stopper")]
    plus = next((row for row in chain if isinstance(row[0], Capacitor) and row[1] == "+"), None) if screens else None
    if plus is not None:  # what the preamplifier lives on passes no socket of an output tube
        chain = [row for row in chain if row not in screens]
        yield from pairwise(terminal(row) for row in (plus, *screens))
    yield from pairwise(terminal(row) for row in chain)
    for row in branches:
        yield terminal(_neighbour(chain)), terminal(row)
    for row in flying:
        yield terminal(_reservoir(chain)), terminal(row)
    yield from leaves(rows, inside)


def leaves(rows: list[Row], inside: list[Row]) -> Iterator[Hop]:
    """Parts outside, each on its jack, else on the output transformer, else on whatever is there."""
    outside = [row for row in rows if is_outside(row[0])]
    if not inside:  # from speaker to speaker, in the cabinet
        yield from pairwise(terminal(row) for row in outside)
    for row in outside:
        purpose = "speaker" if isinstance(row[0], Speaker) else "footswitch"
        jack = [r for r in inside if isinstance(r[0], Jack) and r[0].purpose == purpose and r[0].role != "extension-jack"]
        load = [r for r in inside if r[0].role == "load-resistor"]
        other = [r for r in inside if isinstance(r[0], OutputTransformer)]
        at = (jack or load or other or inside)[:1]
        if at:
            yield terminal(at[0]), terminal(row)


def _neighbour(chain: list[Row]) -> Row:
    """Where a branch leaves a chain: a resistor before anything else, never the tube's pin."""
    return next((row for row in reversed(chain) if isinstance(row[0], Resistor)), chain[0])


def _reservoir(chain: list[Row]) -> Row:
    """Where the lead of an output transformer ends, which is a wire itself and passes nothing on: at the plus of the node's capacitor."""
    return next((row for row in chain if isinstance(row[0], Capacitor) and row[1] == "+"), chain[0])


def _rank(netlist: Netlist, net: str, row: Row) -> tuple[int, int, int]:
    """Place in the chain: class by what the net is, then stage, then order of designators (the sort is stable)."""
    part = row[0]
    order = stage_order(netlist).get(part.stage, 0)
    domain = netlist.nets[net].domain
    if domain == "mains":
        return _first(part, (Inlet, Fuse, Switch), last=PowerTransformer), order, 0
    if domain in ("supply", "high-tension-ac"):
        return _supply_rank(row), order, 0
    if domain == "speaker":
        return _first(part, (OutputTransformer, Jack)), order, 0
    if isinstance(part, Tube):
        # a plate or cathode starts its net; a grid ends it
        grid = any(net == section.grid for section in netlist.sections)
        return (0, 10_000, 0) if grid else (-1, order, 0)
    return 0, order, 0


def _supply_rank(row: Row) -> int:
    """Winding, rectifier, what feeds the node, the plus of its capacitor, then what the node feeds, tubes last."""
    part, pin = row
    if isinstance(part, Tube):
        return 1 if part.type.is_rectifier else 7
    if isinstance(part, PowerTransformer | Diode):
        return 0 if isinstance(part, PowerTransformer) else 2
    series = isinstance(part, Fuse | Switch | Choke) or part.role.endswith("-through")
    if series and pin in ("2", "1b"):
        return 3
    return 4 if isinstance(part, Capacitor) and pin == "+" else 5


def _first(part: Part, kinds: tuple[type[Part], ...], last: type[Part] | None = None) -> int:
    if last is not None and isinstance(part, last):
        return 100
    return next((i for i, kind in enumerate(kinds) if isinstance(part, kind)), len(kinds))


def heater_run(netlist: Netlist, net: str) -> list[str]:
    """The tubes on one side of a heater winding in the order the pair passes them."""
    tubes = [part for part, _ in netlist.on_net.get(net, ()) if isinstance(part, Tube)]
    return list(dict.fromkeys(part.ref for part in sorted(tubes, key=lambda part: _heater_place(netlist, part))))


def _heater(netlist: Netlist, rows: list[Row]) -> Iterator[Hop]:
    """One side of a heater winding: a run past the tubes by one pin each; second pins are branches of it.

    What else hangs on the winding is a chain from the first tube, where the pair arrives with the whole current.
    """
    start = [row for row in rows if isinstance(row[0], PowerTransformer)]
    tubes = sorted((row for row in rows if isinstance(row[0], Tube)), key=lambda row: _heater_place(netlist, row[0]))
    firsts = {row[0].ref: row for row in reversed(tubes)}
    run = start[:1] + [row for row in tubes if firsts[row[0].ref] is row]
    rest = [row for row in rows if row not in run and row not in tubes]
    if not run:
        run, rest = rest[:1], rest[1:]
    yield from pairwise(map(terminal, run))
    yield from ((terminal(firsts[row[0].ref]), terminal(row)) for row in tubes if firsts[row[0].ref] is not row)
    yield from pairwise(map(terminal, [run[min(1, len(run) - 1)], *rest] if run else rest))


def _heater_place(netlist: Netlist, part: Part) -> tuple[int, int]:
    """Rectifier and output tubes first, then against the way of the signal: the input tube comes last."""
    power = any(ref.startswith(part.ref) for ref in netlist.power_sections)
    order = stage_order(netlist)
    earliest = min((order.get(s.stage, 0) for s in netlist.sections if s.tube == part.ref and not s.unused), default=0)
    return (0 if power or (isinstance(part, Tube) and part.type.is_rectifier) else 1), -earliest


def earth(netlist: Netlist, rows: tuple[Row, ...]) -> Iterator[Hop]:
    """Protective earth: inlet straight to the stud, everything else from the stud, each by a wire of its own."""
    hub = next((row for row in rows if isinstance(row[0], Stud)), None) or next(iter(rows), None)
    if hub is None:
        return
    for row in sorted(rows, key=lambda row: not isinstance(row[0], Inlet)):
        if row is not hub:
            yield (terminal(row), terminal(hub)) if isinstance(row[0], Inlet) else (terminal(hub), terminal(row))

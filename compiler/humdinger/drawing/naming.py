"""Names for the nets of a block that a network or the tremolo reaches from elsewhere: beside a wire of the net, where there is room."""

from __future__ import annotations

from collections.abc import Iterator

from ..circuit.netlist import Netlist
from .block import Block, Text, mark_box
from .connect import conductors
from .geometry import Line, Point, span
from .labels import net_text

GAP = 0.16
"""Between the name and what else is written."""
STEP = 0.25
"""From one place that is tried to the next along a wire."""
OFFSETS = ((0.12, 0.14, "start"), (-0.12, 0.14, "end"), (0.12, -0.4, "start"), (-0.12, -0.4, "end"))


def reached(netlist: Netlist) -> frozenset[str]:
    """Nets of other stages that networks name, and that the tremolo goes into."""
    ports = (item for stage in netlist.stages_of("network") for item in stage.ports.items())
    named = {net for name, net in ports if name.startswith("net-") and "." in name}
    moved = {
        net for stage in netlist.stages if stage.section == "tremolo" for name, net in stage.ports.items() if name.startswith("target")
    }
    return frozenset(named | moved) - set(netlist.b_plus)


def name_nets(block: Block, netlist: Netlist, nets: frozenset[str]) -> None:
    """Writes the name of each of these nets beside one of its wires, unless it leaves the block by a port or bears its name already."""
    known = {port.net for port in block.ports.values()} | {mark.net for mark in block.marks if mark.kind != "open"}
    pieces = conductors(block)
    for net in sorted(nets & pieces.keys() - known):
        text = net_text(netlist, net)
        places = (place for place in _places(pieces[net], net, text) if _clear(block, place[0]))
        found = next((place for place in places if _free(block, pieces, place[1])), None)
        if found:
            at, written = found
            block.mark("name", net, at, text)
            block.texts.append(written)


def _places(lines: list[Line], net: str, text: str) -> Iterator[tuple[Point, Text]]:
    """Points on the wires of a net with the name beside each, level wires first."""
    for line in sorted(lines, key=lambda found: abs(found[0][1] - found[1][1]) > 1e-6):
        (ax, ay), (bx, by) = line
        steps = max(1, int((abs(bx - ax) + abs(by - ay)) / STEP))
        for index in range(steps + 1):
            share = index / steps
            at = (ax + (bx - ax) * share, ay + (by - ay) * share)
            for dx, dy, anchor in OFFSETS:
                yield at, Text(("net", net), (at[0] + dx, at[1] + dy), text, "flag", anchor)


def _clear(block: Block, at: Point) -> bool:
    """Whether a point is on no symbol's edge."""
    return not any(span((at,)).meets(body, 0.05) for symbol in block.symbols for body in symbol.bodies)


def _free(block: Block, pieces: dict[str, list[Line]], text: Text) -> bool:
    """Whether nothing is drawn or written there."""
    box = text.box
    if any(other.box.meets(box, GAP) for other in block.texts):
        return False
    solids = [*(body for symbol in block.symbols for body in symbol.bodies), *(mark_box(mark) for mark in block.marks)]
    if any(body.meets(box, 0.05) for body in solids):
        return False
    return not any(span(line).meets(box, 0.07) for lines in pieces.values() for line in lines)

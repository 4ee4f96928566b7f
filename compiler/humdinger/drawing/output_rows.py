"""Output tubes in parallel, drawn upright in rows, those of a side on one drive line, one plate wire and one screen feed."""

from __future__ import annotations

from collections.abc import Mapping

from ..circuit.netlist import StageInstance
from ..records import record
from .common import other_net
from .geometry import SIDE, Point
from .output_parts import (
    FOOT,
    NODE,
    Seat,
    bias_parts,
    name_node,
    own_cathode,
    screen_feed,
    seat,
    suppressor,
    tube_left,
)
from .pen import Pen, role

CLOSE, OWN = 4.9, 6.7
"""From row to row: with the cathodes on one wire or on ground, and with a network under each tube."""
ASIDE = 0.35
"""The wire of shared cathodes keeps this far from what stands beside it."""


@record
class Rows:
    """Placed tubes: seat -> tube, its grid line, its section; column: where the wire of shared cathodes runs."""

    seats: Mapping[str, Seat]
    lines: Mapping[str, float]
    sections: Mapping[str, str]
    column: float


def shares_cathode(stage: StageInstance) -> bool:
    """Whether all cathodes are on one net."""
    return len({net for port, net in stage.ports.items() if port.startswith("cathode-")}) == 1


def row_pitch(stage: StageInstance) -> float:
    """From row to row of a side."""
    return CLOSE if shares_cathode(stage) else OWN


def rows_of(pen: Pen, stage: StageInstance, lines: Mapping[str, float], stop: float, clear: float) -> Rows:
    """Stoppers and tubes on their grid lines, which begin at `stop`. clear: how far right the grid leaks reach."""
    refs = [s.ref for s in pen.netlist.sections if s.stage == stage.id and not s.unused]
    sections = dict(zip(lines, refs, strict=True))
    stoppers = [r for name in lines if (r := role(stage, f"grid-stopper-{name}"))]
    wide = max((pen.width(r, level=True) + 0.2 for r in stoppers), default=0.0)
    beside = tube_left(pen, refs)
    shared = shares_cathode(stage)
    if shared:
        volts = max(pen.volts_width(stage.ports[f"grid-{name}"]) for name in lines)
        axis = stop + max(wide, 1.9) + beside + volts + 2 * ASIDE
        column = axis - beside - volts - ASIDE
        axis = max(axis, clear + axis - column + ASIDE)
        column = axis - beside - volts - ASIDE
    else:
        drawn = [r for name in lines if (r := bias_parts(pen, name)[0])]
        left = max((pen.width(r) for r in drawn), default=0.0) + SIDE + 0.36
        axis, column = max(stop + max(wide, 1.9) + beside, stop + 0.3 + left, clear + 0.3 + left), 0.0
    made = {name: seat(pen, stage, name, sections[name], (stop, y), axis) for name, y in lines.items()}
    return Rows(made, lines, sections, column)


def cathodes(pen: Pen, stage: StageInstance, rows: Rows) -> float:
    """Each over its own network or its own ground, or all on one wire to one network at its foot. Returns how far right they reach."""
    first = next(iter(rows.seats))
    net = stage.ports[f"cathode-{first}"]
    resistor, bypass = bias_parts(pen, first)
    if not shares_cathode(stage) or resistor is None:
        each = [own_cathode(pen, rows.seats[x], rows.sections[x], x, stage.ports[f"cathode-{x}"], y) for x, y in rows.lines.items()]
        return max(each)
    nodes = []
    for name, found in rows.seats.items():
        leg = found.shape.lead("cathode")
        suppressor(pen, found, rows.sections[name], net)
        node = (rows.column, rows.lines[name] - NODE)
        pen.wire(net, leg, (leg[0], node[1]), node)
        nodes.append(node)
    pen.wire(net, *nodes)
    low = nodes[-1]
    foot = min(rows.lines.values()) - FOOT
    pen.node_volts(net, (low[0] - 0.2, low[1] - 0.08))
    pen.two(resistor, low, (low[0], foot), start=net, label="left")
    pen.ground((low[0], foot), other_net(pen, resistor, net))
    right = max(found.right for found in rows.seats.values())
    if bypass is None:
        return max(right, name_node(pen, net, (rows.seats[first].shape.lead("cathode")[0], low[1]), right))
    far = rows.seats[first].shape.lead("cathode")[0]
    pen.two(bypass, (far, low[1]), (far, foot), start=net, label="right")
    pen.ground((far, foot), other_net(pen, bypass, net))
    return max(right, name_node(pen, net, (far, low[1]), far + SIDE + pen.width(bypass)))


def join_outer(
    pen: Pen, stage: StageInstance, rows: Rows, names: tuple[str, str], ends: Mapping[str, Point], bus: float, join: float
) -> None:
    """The outer tube of a side joins the inner one: its plate at `join`, its screen on the bus where that is no B+ node's."""
    inner, outer = names
    plate, feed = stage.ports[f"plate-{outer[0]}"], screen_feed(stage, outer)
    level, other = rows.seats[inner].plate[1], rows.seats[outer].plate
    pen.wire(plate, other, *(((bus, other[1]),) if feed == plate else ()), (join, other[1]), (join, level))
    if feed == plate:
        for name in names:
            pen.wire(feed, ends[name], (bus, rows.seats[name].plate[1]))
    elif "screens" not in stage.ports:
        pen.wire(feed, ends[outer], ends[inner])

"""Push-pull output: two tubes one above the other, the output transformer on the right.

With one cathode node for both tubes the lower one stands on its head and the cathodes meet in the middle; with cathode parts of their
own both tubes stand upright, each over its own network; so do four tubes, two on each side. The cathode parts belong to the bias stage
and are drawn here.
"""

from __future__ import annotations

from ...circuit.netlist import GROUND, StageInstance
from ..common import other_net
from ..geometry import SIDE, Point
from ..magnetics import ACROSS, coil, core, open_end, output_secondary, phase_dot, tag
from ..output_parts import (
    Seat,
    bias_parts,
    leak_reach,
    name_node,
    own_cathode,
    screen,
    screen_feed,
    screens_room,
    seat,
    secondary_ports,
    supply_beside,
    suppressor,
    tube_left,
)
from ..output_rows import cathodes, join_outer, row_pitch, rows_of
from ..pen import Pen, role
from ..shapes import BUMP

HIGH = 9.4
"""Upper grid line."""
UPRIGHT, HEAD_TO_HEAD = 6.7, 5.4
"""From the upper grid line to the lower one."""
LEAK = 0.5
TURNS = 8
TAPPED_TURNS = 12
"""Of a primary with screen taps: their leads need room above and below the centre tap's arrow."""
SCREEN_TAP = 1.57
"""A screen tap stands this far from the centre tap."""


def draw(pen: Pen, stage: StageInstance) -> None:
    """drive-a and drive-b on the left, the speaker's tap on the right."""
    if "grid-a1" in stage.ports:
        _draw_four(pen, stage)
        return
    shared = stage.ports["cathode-a"] == stage.ports["cathode-b"]
    low = HIGH - (HEAD_TO_HEAD if shared else UPRIGHT)
    _grids(pen, stage, low)
    sections = [s.ref for s in pen.netlist.sections if s.stage == stage.id and not s.unused]
    stop = LEAK + max(0.6, *(leak_reach(pen, stage.parts[f"grid-leak-{x}"], LEAK) - LEAK + 0.25 for x in "ab"))
    wide = max((pen.width(r, level=True) + 0.2 for x in "ab" if (r := role(stage, f"grid-stopper-{x}"))), default=0.0)
    resistor, _ = bias_parts(pen, "a")
    left = (pen.width(resistor) if resistor and not shared else 0.0) + SIDE + 0.36
    axis = max(stop + max(wide, 1.9) + tube_left(pen, sections), leak_reach(pen, stage.parts["grid-leak-a"], LEAK) + 0.3 + left)
    seats = []
    for letter, section, y in (("a", sections[0], HIGH), ("b", sections[1], low)):
        pen.wire(stage.ports[f"drive-{letter}"], (LEAK, y), (stop, y))
        seats.append(seat(pen, stage, letter, section, (stop, y), axis, flip=shared and letter == "b"))
    right = _shared_cathodes(pen, stage, seats, sections) if shared else _own_cathodes(pen, stage, seats, sections, low)
    bus, ends = _screens(pen, stage, seats, right, shared)
    _transformer(pen, stage, seats, bus, ends)


def _draw_four(pen: Pen, stage: StageInstance) -> None:
    """Two tubes on each side: the inner ones stand where a pair stands, the outer ones above and below join them."""
    low = HIGH - UPRIGHT
    _grids(pen, stage, low)
    stop = LEAK + max(0.6, *(leak_reach(pen, stage.parts[f"grid-leak-{x}"], LEAK) - LEAK + 0.25 for x in "ab"))
    pitch = row_pitch(stage)
    rows = rows_of(
        pen, stage, {"a1": HIGH + pitch, "a2": HIGH, "b1": low, "b2": low - pitch}, stop, leak_reach(pen, stage.parts["grid-leak-a"], LEAK)
    )
    for side, inner, outer in (("a", "a2", "a1"), ("b", "b1", "b2")):
        drive = stage.ports[f"drive-{side}"]
        pen.wire(drive, (LEAK, rows.lines[inner]), (stop, rows.lines[inner]), (stop, rows.lines[outer]))
    right = cathodes(pen, stage, rows)
    bus = max(right + 0.4, rows.seats["a1"].shape.lead("screen")[0] + screens_room(pen, stage, rows.seats))
    ends = {name: screen(pen, stage, name, found, bus) for name, found in rows.seats.items()}
    join = bus + 0.3
    for inner, outer in (("a2", "a1"), ("b1", "b2")):
        join_outer(pen, stage, rows, (inner, outer), ends, bus, join)
    inside = [rows.seats["a2"], rows.seats["b1"]]
    if "screens" in stage.ports:
        node, middle = stage.ports["screens"], _centre(inside)
        pen.wire(node, ends["a1"], ends["a2"], (bus, middle), ends["b1"], ends["b2"])
        supply_beside(pen, node, (bus, middle), 0.6)
    _transformer(pen, stage, inside, bus, [ends["a2"], ends["b1"]], join)


def _grids(pen: Pen, stage: StageInstance, low: float) -> None:
    """Drive lines and the grid leaks that meet half way."""
    middle = (HIGH + low) / 2
    back = other_net(pen, stage.parts["grid-leak-a"], stage.ports["drive-a"])
    for letter, y in (("a", HIGH), ("b", low)):
        drive = stage.ports[f"drive-{letter}"]
        pen.block.port(f"drive-{letter}", drive, (0.0, y), "left")
        pen.wire(drive, (0.0, y), (LEAK, y))
        pen.two(stage.parts[f"grid-leak-{letter}"], (LEAK, y), (LEAK, middle), start=drive, label="right")
    end = (LEAK - 0.55, middle)
    if back == GROUND:
        pen.wire(back, (LEAK, middle), end, (end[0], middle - 0.45))
        pen.ground((end[0], middle - 0.45))
    else:
        pen.wire(back, (LEAK, middle), end)
        pen.flag(back, end, "left")
        pen.node_volts(back, (LEAK - 0.2, middle + 0.34))


def _own_cathodes(pen: Pen, stage: StageInstance, seats: list[Seat], sections: list[str], low: float) -> float:
    reach = [
        own_cathode(pen, found, section, letter, stage.ports[f"cathode-{letter}"], y)
        for found, section, letter, y in zip(seats, sections, "ab", (HIGH, low), strict=True)
    ]
    return max(reach)


def _shared_cathodes(pen: Pen, stage: StageInstance, seats: list[Seat], sections: list[str]) -> float:
    """Cathodes meet in the middle; resistor and bypass to the right of the node, or ground."""
    cathode = stage.ports["cathode-a"]
    legs = [s.shape.lead("cathode") for s in seats]
    x, middle = legs[0][0], (legs[0][1] + legs[1][1]) / 2
    pen.wire(cathode, legs[0], (x, middle), legs[1])
    for found, section in zip(seats, sections, strict=True):
        suppressor(pen, found, section, cathode)
    resistor, bypass = bias_parts(pen, "a")
    far = x + 1.7
    pen.wire(cathode, (x, middle), (far, middle))
    pen.node_volts(cathode, (x - 0.2, middle - 0.08))
    if resistor is None:
        pen.wire(cathode, (far, middle), (far, middle - 0.45))
        pen.ground((far, middle - 0.45), cathode)
        return far + 0.4
    foot = middle - 1.55
    pen.two(resistor, (far, middle), (far, foot), start=cathode, label="right")
    pen.ground((far, foot), other_net(pen, resistor, cathode))
    right, last = far + SIDE + pen.width(resistor), far
    if bypass:
        at = right + 0.55
        pen.wire(cathode, (far, middle), (at, middle))
        pen.two(bypass, (at, middle), (at, foot), start=cathode, label="right")
        pen.ground((at, foot), other_net(pen, bypass, cathode))
        right, last = at + SIDE + pen.width(bypass), at
    return name_node(pen, cathode, (last, middle), right)


def _screens(pen: Pen, stage: StageInstance, seats: list[Seat], right: float, shared: bool) -> tuple[float, list[Point]]:
    """Screen stoppers: to a common bus with its B+ arrow, or each to its own plate's wire. Returns the bus's x and their far ends."""
    room = screens_room(pen, stage, "ab")
    bus = max(right + 0.4, seats[0].shape.lead("screen")[0] + room)
    ends = [
        screen(pen, stage, letter, found, bus, label="below" if shared and letter == "b" else "above")
        for letter, found in zip("ab", seats, strict=True)
    ]
    if "screens" in stage.ports:
        node = stage.ports["screens"]
        middle = _centre(seats)
        pen.wire(node, ends[0], (bus, middle), ends[1])
        supply_beside(pen, node, (bus, middle), 0.6)
    for letter, found, end in zip("ab", seats, ends, strict=True):
        if screen_feed(stage, letter) == stage.ports[f"plate-{letter}"]:
            pen.wire(screen_feed(stage, letter), end, (bus, found.plate[1]))
    return bus, ends


def _centre(seats: list[Seat]) -> float:
    return (seats[0].plate[1] + seats[1].plate[1]) / 2


def _transformer(pen: Pen, stage: StageInstance, seats: list[Seat], bus: float, ends: list[Point], join: float | None = None) -> None:
    """Plates to the ends of the primary, screens to their taps, the centre tap to B+, the secondary to the right.

    join: where another tube's plate meets the wire of each.
    """
    ref = stage.parts["transformer"]
    supply = stage.ports["supply"]
    pins = {pin.net: pin.name for pin in pen.part(ref).pins if pin.name in ("P1", "P2", "S1", "S2")}
    tapped = "S1" in pins.values()
    x = bus + _room(pen, stage, tapped)
    middle = _centre(seats)
    turns = TAPPED_TURNS if tapped else TURNS
    top = middle + turns * BUMP / 2
    bottom = coil(pen, ref, x, top, turns, "right")
    for found, letter, end in zip(seats, "ab", (top, bottom), strict=True):
        plate = stage.ports[f"plate-{letter}"]
        joined = ((bus, found.plate[1]),) if screen_feed(stage, letter) == plate else ()
        joined += () if join is None else ((join, found.plate[1]),)
        pen.wire(plate, found.plate, *joined, (x, found.plate[1]), (x, end))
        pin = pins[plate]
        tag(pen, ref, pin, (x, end), side="left")
        if pin == "P1":
            phase_dot(pen, ref, (x + 0.3, end + (0.08 if end == top else -0.08)))
    if tapped:
        # level with the upper screen where that is on the coil
        off = ends[0][1] - middle if 1.2 < ends[0][1] - middle < top - middle - 0.4 else SCREEN_TAP
        for letter, end, y in zip("ab", ends, (middle + off, middle - off), strict=True):
            _screen_tap(pen, stage, ref, letter, end, (x, y))
    tag(pen, ref, "CT", (x, middle), side="left")
    supply_beside(pen, supply, (x, middle), -(0.75 + pen.volts_width(supply)))
    core(pen, ref, x, top + 0.1, bottom - 0.1)
    taps = output_secondary(pen, ref, x + ACROSS, middle)
    pen.drawn(ref)
    pen.block.lines(("part", ref), (x + 0.2, top + 0.35), pen.rows(ref), "above-left")
    secondary_ports(pen, stage, ref, taps)


def _room(pen: Pen, stage: StageInstance, tapped: bool) -> float:
    """From the screens' bus to the primary: the arrows of the screens' node and of the plates', with their volts."""
    own = 0.35 + 0.75 + pen.volts_width(stage.ports["supply"]) + 0.35
    if "screens" not in stage.ports:
        return own + 0.3
    return own + 0.6 + 0.35 + pen.volts_width(stage.ports["screens"]) + (1.3 if tapped else 0.0)


def _screen_tap(pen: Pen, stage: StageInstance, ref: str, letter: str, end: Point, at: Point) -> None:
    """From a screen stopper to its tap of the primary; a short open lead where the screens hang elsewhere."""
    plate = {pin.net: pin.name for pin in pen.part(ref).pins}[stage.ports[f"plate-{letter}"]]
    pin = plate.replace("P", "S")
    tag(pen, ref, pin, at, side="left")
    net = pen.net(ref, pin)
    if net == screen_feed(stage, letter):
        pen.wire(net, end, (end[0], at[1]), at) if end[1] != at[1] else pen.wire(net, end, at)
    else:
        open_end(pen, net, at, "left")

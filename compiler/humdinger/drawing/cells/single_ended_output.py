"""Single-ended output: one tube or two, their cathode networks, the primary standing on the plates with B+ on top.

The cathode parts belong to the bias stage and are drawn here.
"""

from __future__ import annotations

from ...circuit.netlist import StageInstance
from ..common import other_net
from ..geometry import SIDE, Point
from ..magnetics import ACROSS, coil, core, open_end, output_secondary, phase_dot, tag
from ..output_parts import (
    FOOT,
    Seat,
    bias_parts,
    has_screen_taps,
    leak_reach,
    own_cathode,
    screen,
    screen_feed,
    screens_room,
    seat,
    secondary_ports,
    tube_left,
)
from ..output_rows import cathodes, join_outer, row_pitch, rows_of
from ..pen import Pen, role
from ..shapes import BUMP

LINE = 5.0
LEAK = 0.5
TURNS = 8
TAPPED_TURNS = 12
"""Of a push-pull primary with screen taps: the open one needs room above the arrow at the centre tap."""


def draw(pen: Pen, stage: StageInstance) -> None:
    """drive-a on the left, the speaker's tap on the right."""
    if "grid-a1" in stage.ports:
        _draw_two(pen, stage)
        return
    drive, leak = stage.ports["drive-a"], stage.parts["grid-leak-a"]
    pen.block.port("drive-a", drive, (0.0, LINE), "left")
    stop = LEAK + 0.5
    pen.wire(drive, (0.0, LINE), (LEAK, LINE), (stop, LINE))
    pen.two(leak, (LEAK, LINE), (LEAK, LINE - FOOT), start=drive, label="right")
    pen.ground((LEAK, LINE - FOOT), other_net(pen, leak, drive))
    section = next(s.ref for s in pen.netlist.sections if s.stage == stage.id and not s.unused)
    stopper = role(stage, "grid-stopper-a")
    resistor, _ = bias_parts(pen, "a")
    left = (pen.width(resistor) if resistor else 0.0) + SIDE + 0.36
    axis = max(
        stop + (max(1.9, pen.width(stopper, level=True) + 0.2) if stopper else 0.0) + tube_left(pen, [section]),
        leak_reach(pen, leak, LEAK) + 0.3 + left,
    )
    found = seat(pen, stage, "a", section, (stop, LINE), axis)
    right = own_cathode(pen, found, section, "a", stage.ports["cathode-a"], LINE)
    end = max(right + 0.2, found.shape.lead("screen")[0] + screens_room(pen, stage, "a"))
    at = screen(pen, stage, "a", found, end)
    _feed(pen, stage, found, at)


def _draw_two(pen: Pen, stage: StageInstance) -> None:
    """Two tubes: the upper one stands where one alone stands, the lower one joins it."""
    drive, leak = stage.ports["drive-a"], stage.parts["grid-leak-a"]
    pen.block.port("drive-a", drive, (0.0, LINE), "left")
    clear = leak_reach(pen, leak, LEAK)
    stop = max(LEAK + 0.5, clear + 0.25)
    lower = LINE - row_pitch(stage)
    pen.wire(drive, (0.0, LINE), (LEAK, LINE), (stop, LINE), (stop, lower))
    pen.two(leak, (LEAK, LINE), (LEAK, LINE - FOOT), start=drive, label="right")
    pen.ground((LEAK, LINE - FOOT), other_net(pen, leak, drive))
    rows = rows_of(pen, stage, {"a1": LINE, "a2": lower}, stop, clear)
    right = cathodes(pen, stage, rows)
    bus = max(right + 0.4, rows.seats["a1"].shape.lead("screen")[0] + screens_room(pen, stage, rows.seats))
    ends = {name: screen(pen, stage, name, found, bus) for name, found in rows.seats.items()}
    join = bus + 0.3
    if "screens" in stage.ports:
        node = stage.ports["screens"]
        pen.wire(node, ends["a2"], ends["a1"])
        join = bus + 1.0 + pen.volts_width(node)  # beyond the arrow of the screens' node
    join_outer(pen, stage, rows, ("a1", "a2"), ends, bus, join)
    _feed(pen, stage, rows.seats["a1"], ends["a1"], join)


def _feed(pen: Pen, stage: StageInstance, found: Seat, at: Point, join: float | None = None) -> None:
    """What the screen's stopper ends on, and the transformer. join: where another tube's plate meets the wire of this one."""
    if "screens" not in stage.ports:
        _transformer(pen, stage, found, at, at[0] + 0.9, join)
        return
    node = stage.ports["screens"]
    up = (at[0] + 0.35, at[1] + 0.45)
    pen.wire(node, at, (up[0], at[1]), up)
    pen.supply(node, up)
    spare = (1.2 if has_screen_taps(pen, stage.parts["transformer"]) else 0.0) + (0.3 if join else 0.0)
    _transformer(pen, stage, found, at, up[0] + 0.5 + pen.volts_width(node) + spare, join)


def _transformer(pen: Pen, stage: StageInstance, found: Seat, screen_end: Point, left: float, join: float | None) -> None:
    """Primary from the plate's wire up to B+; of a push-pull transformer one half is used and one end left open."""
    ref = stage.parts["transformer"]
    x = left + 0.5
    bottom = found.plate[1]
    plate, supply = stage.ports["plate-a"], stage.ports["supply"]
    pins = {pin.net: pin.name for pin in pen.part(ref).pins if pin.name in ("P", "B", "P1", "P2", "CT")}
    open_pin = next((p for p in pen.part(ref).pins if p.name == "P2" and p.net not in (plate, supply)), None)
    turns = TAPPED_TURNS if open_pin is not None and has_screen_taps(pen, ref) else TURNS
    top = bottom + turns * BUMP
    coil(pen, ref, x, top, turns, "right")
    feed = screen_feed(stage, "a")
    joined = ((screen_end[0], bottom),) if feed == plate else ()
    joined += () if join is None else ((join, bottom),)
    if feed == plate and join is None:
        pen.wire(plate, screen_end, (screen_end[0], bottom))
    pen.wire(plate, found.plate, *joined, (x, bottom))
    tag(pen, ref, pins[plate], (x, bottom), side="left")
    hot = top if open_pin is None else bottom + turns * BUMP / 2
    tag(pen, ref, pins[supply], (x, hot), side="left")
    if open_pin is not None:
        tag(pen, ref, "P2", (x, top), side="left")
        open_end(pen, open_pin.net, (x, top), "left")
        up = (x - 1.0, hot + 0.4)
        pen.wire(supply, (x, hot), (up[0], hot), up)
        pen.supply(supply, up, volts="left")
    else:
        pen.wire(supply, (x, top), (x, top + 0.45))
        pen.supply(supply, (x, top + 0.45), volts="left")
    _screen_taps(pen, ref, feed, screen_end, (x, bottom), hot, top)
    dotted = "P" if "P" in pins.values() else "P1"
    at_top = pins.get(supply) == dotted
    phase_dot(pen, ref, (x + 0.3, (top + 0.08) if at_top else (bottom - 0.08)))
    core(pen, ref, x, top + 0.1, bottom - 0.1)
    middle = (top + bottom) / 2
    taps = output_secondary(pen, ref, x + ACROSS, middle)
    pen.drawn(ref)
    pen.block.lines(("part", ref), (x + 0.55, max(top, *(y for _, y in taps.values())) + 0.35), pen.rows(ref), "above-left")
    secondary_ports(pen, stage, ref, taps)


def _screen_taps(pen: Pen, ref: str, feed: str, end: Point, foot: Point, hot: float, top: float) -> None:
    """Screen taps of the primary: the one in use half way up, from the stopper's end; others open."""
    x, bottom = foot
    for pin in pen.part(ref).pins:
        if pin.name not in ("S", "S1", "S2"):
            continue
        y = hot + 0.65 * (top - hot) if pin.name == "S2" else (bottom + hot) / 2
        tag(pen, ref, pin.name, (x, y), side="left")
        if pin.net == feed:
            pen.wire(pin.net, end, (end[0], y), (x, y))
        else:
            open_end(pen, pin.net, (x, y), "left")

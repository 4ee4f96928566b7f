"""What single-ended and push-pull outputs have in common: one tube with its resistors, and the secondary of the transformer."""

from __future__ import annotations

from collections.abc import Iterable

from ..circuit.netlist import GROUND, StageInstance
from ..records import record
from .common import chain_stopper, other_net
from .geometry import SIDE, Point
from .magnetics import open_end
from .pen import Pen, role
from .shapes import RADIUS, TubeShape

NODE = 1.45
"""The cathode node lies this far under the grid line."""
FOOT = 4.1
"""Local ground under the grid line."""
PLATE = 1.85
"""The plate's wire runs this far above the grid line."""

SUPPRESSOR = 1.45
"""The wire of a suppressor with a pin of its own runs this far left of the tube's axis, hopping over the grid's."""


READS = 0.1
"""A grid below this many volts reads as nothing on a meter, and its voltage is not printed."""


@record
class Seat:
    """A placed output tube: its shape, where the plate's wire turns right, and how far right its parts reach."""

    shape: TubeShape
    plate: Point
    right: float


def bias_parts(pen: Pen, letter: str) -> tuple[str | None, str | None]:
    """Cathode resistor (or test resistor) and bypass of one output tube, from the bias stage that owns them."""
    parts = pen.netlist.stage("bias").parts
    for name in (f"resistor-{letter}", f"test-resistor-{letter}", "resistor"):
        if name in parts:
            return parts[name], parts.get(f"bypass-{letter}", parts.get("bypass") if name == "resistor" else None)
    return None, None


def tube_left(pen: Pen, sections: list[str]) -> float:
    """From a tube's axis to the end of its stopper: the envelope, and the suppressor's wire where there is one."""
    return SUPPRESSOR + 0.45 if any(pen.suppressor_pins(s) for s in sections) else RADIUS + 0.3


def leak_reach(pen: Pen, ref: str, x: float) -> float:
    """How far right a leak at x with its label reaches."""
    return x + SIDE + pen.width(ref)


def seat(pen: Pen, stage: StageInstance, letter: str, section: str, line: Point, axis: float, *, flip: bool = False) -> Seat:
    """Stopper and tube on a grid line that begins at `line`; the tube's axis is given. Cathode and screen are left to the caller.

    letter: the seat, "a" or one of several on a side, "a1".
    """
    drive = stage.ports[f"drive-{letter[0]}"]
    x, y = line
    stopper = role(stage, f"grid-stopper-{letter}")
    x, net = chain_stopper(pen, stopper, drive, stage.ports[f"grid-{letter}"], x, y, label="below" if flip else "above")
    shape = pen.tube(section, (axis, y), flip=flip, label="right-above" if flip else "right-below")
    grid = stage.ports[f"grid-{letter}"] if stopper else drive
    pen.wire(net, (x, y), shape.lead("grid"))
    if abs(pen.volts.get(grid, 0.0)) >= READS:
        end = axis - (SUPPRESSOR if pen.suppressor_pins(section) else RADIUS) - 0.15
        pen.node_volts(grid, (end, y + 0.4 if flip else y - 0.62))
    plate = stage.ports[f"plate-{letter[0]}"]
    top = shape.lead("plate")
    turn = (top[0], y - PLATE if flip else y + PLATE)
    pen.wire(plate, top, turn)
    pen.node_volts(plate, (turn[0] - 0.15, turn[1] + (0.12 if flip else -0.32)))
    return Seat(shape, turn, axis + RADIUS)


def suppressor(pen: Pen, seat: Seat, section: str, cathode: str) -> None:
    """A suppressor with a pin of its own, wired outside to the cathode's lead."""
    if not pen.suppressor_pins(section):
        return
    start, leg = seat.shape.lead("suppressor"), seat.shape.lead("cathode")
    sign = 1.0 if seat.shape.flip else -1.0
    far, level = seat.shape.at[0] - SUPPRESSOR, leg[1] + sign * 0.42
    pen.wire(cathode, start, (far, start[1]), (far, level), (leg[0], level))


def own_cathode(pen: Pen, seat: Seat, section: str, letter: str, cathode: str, y: float) -> float:
    """Cathode network of one upright tube with its own resistor, or its ground. Returns how far right it reaches."""
    leg = seat.shape.lead("cathode")
    resistor, bypass = bias_parts(pen, letter)
    suppressor(pen, seat, section, cathode)
    if resistor is None:
        foot = (leg[0], y - NODE - 0.3)
        pen.wire(cathode, leg, foot)
        pen.ground(foot, cathode)
        return leg[0] + 0.5
    node = (leg[0], y - NODE)
    pen.wire(cathode, leg, node)
    pen.node_volts(cathode, (leg[0] - 0.2, node[1] - 0.08))
    foot = y - FOOT
    pen.two(resistor, node, (leg[0], foot), start=cathode, label="left")
    pen.ground((leg[0], foot), other_net(pen, resistor, cathode))
    if bypass is None:
        return name_node(pen, cathode, node, leg[0] + 0.5)
    far = leg[0] + 1.15
    pen.wire(cathode, node, (far, node[1]))
    pen.two(bypass, (far, node[1]), (far, foot), start=cathode, label="right")
    pen.ground((far, foot), other_net(pen, bypass, cathode))
    return name_node(pen, cathode, (far, node[1]), far + SIDE + pen.width(bypass))


def name_node(pen: Pen, net: str, at: Point, right: float) -> float:
    """A flag to the right of a node whose net reaches into another figure. Returns how far right things reach then."""
    if net not in pen.elsewhere:
        return right
    end = (at[0] + 1.0, at[1])
    pen.wire(net, at, end)
    pen.flag(net, end, "right")
    return max(right, end[0] + pen.flag_width(net))


def screen_feed(stage: StageInstance, letter: str) -> str:
    """What a screen hangs on behind its stopper: the B+ node of all, its tap of the primary, or its plate."""
    return stage.ports.get(f"screens-{letter[0]}", stage.ports.get("screens", ""))


def has_screen_taps(pen: Pen, ref: str) -> bool:
    """Whether the output transformer has leads for screens, used or not."""
    return any(pin.name in ("S", "S1", "S2") for pin in pen.part(ref).pins)


def screen(pen: Pen, stage: StageInstance, letter: str, seat: Seat, to: float, *, label: str = "above") -> Point:
    """From the screen's lead through its stopper to x = `to`. Returns the end."""
    start = seat.shape.lead("screen")
    net, node = stage.ports[f"screen-{letter}"], screen_feed(stage, letter)
    stopper = role(stage, f"screen-stopper-{letter}")
    end = (to, start[1])
    if stopper is None:
        pen.wire(node, start, end)
        return end
    begin = (start[0] + screen_run(pen, stage), start[1])
    pen.wire(net, start, begin)
    pen.node_volts(net, (start[0] + 0.34, start[1] + 0.14), "start")
    pen.two(stopper, begin, end, start=net, label=label)
    return end


def screen_run(pen: Pen, stage: StageInstance) -> float:
    """From the envelope to the screen stopper: the screen's voltage stands there, behind the pin's number."""
    nets = [stage.ports[port] for port in stage.ports if port.startswith("screen-")]
    return max([0.55, *(0.34 + pen.volts_width(net) + 0.1 for net in nets if pen.volts_width(net))])


def supply_beside(pen: Pen, net: str, at: Point, shift: float) -> None:
    """A B+ arrow beside a point: the wire goes `shift` to the side and up."""
    up = (at[0] + shift, at[1] + 0.45)
    pen.wire(net, at, (up[0], at[1]), up)
    pen.supply(net, up)


def secondary_ports(pen: Pen, stage: StageInstance, ref: str, taps: dict[str, Point]) -> None:
    """Leads of the secondary: ground, ports for what is used, open ends for what is not."""
    right = max(x for x, _ in taps.values()) + 1.0
    for pin, at in taps.items():
        net = pen.net(ref, pin)
        if net == GROUND:
            pen.wire(net, at, (right - 0.4, at[1]), (right - 0.4, at[1] - 0.5))
            pen.ground((right - 0.4, at[1] - 0.5))
        elif pen.loose(net):
            open_end(pen, net, at)
        else:
            pen.wire(net, at, (right, at[1]))
            pen.block.port(f"tap-{pin}", net, (right, at[1]), "right")


def screens_room(pen: Pen, stage: StageInstance, letters: Iterable[str]) -> float:
    """Room a level screen stopper and its label need."""
    refs = [r for r in (role(stage, f"screen-stopper-{letter}") for letter in letters) if r]
    return max([pen.width(r, level=True) + 0.3 for r in refs] + [1.5]) + (screen_run(pen, stage) if refs else 0.55)

"""Where each part stands: on a board, on the tags of another part, on the chassis, or on the far end of a cable; and why.

Decided by what a part is and by its job, never by its value, but for what is too large for a board (all common practice).
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from ..circuit.netlist import (
    GROUND,
    Bond,
    Capacitor,
    Choke,
    Diode,
    Fuse,
    Inlet,
    Jack,
    Lamp,
    Netlist,
    OutputTransformer,
    Part,
    Pot,
    PowerTransformer,
    Resistor,
    Stud,
    Switch,
    Tube,
)
from .model import Body, Seat, Terminal
from .trees import heater_run, is_outside

CHASSIS: tuple[tuple[type[Part], str], ...] = (
    (Tube, "in its socket"),
    (Pot, "on the panel, or on the chassis where it is set once"),
    (Jack, "in the panel"),
    (PowerTransformer, "on the chassis: heavy, and it hums"),
    (OutputTransformer, "on the chassis, its core across that of the power transformer"),
    (Choke, "on the chassis: heavy"),
    (Switch, "in the panel"),
    (Fuse, "in a holder that a tool opens"),
    (Inlet, "in the rear panel"),
    (Lamp, "in the panel"),
    (Stud, "on bare metal of the chassis"),
    (Bond, "a wire of its own, not a part on a board"),
)
MAINS = "mains conductors keep to their own corner, and no board carries them"
STOPPER = "its body within 10 mm of the pin: a stopper at the end of a wire stops nothing"
TOO_LARGE = "too large for its leads: in a clamp on the chassis"
SMALL = (Resistor, Capacitor, Diode)
"""What may stand on a board."""


def seats(netlist: Netlist, sizes: Mapping[str, Body | None]) -> dict[str, Seat]:
    """Designator -> seat, without the board's name: that is known when the boards are cut. sizes: of what could stand on one."""
    return {part.ref: _seat(netlist, part, sizes) for part in netlist.parts}


def _seat(netlist: Netlist, part: Part, sizes: Mapping[str, Body | None]) -> Seat:
    if is_outside(part):
        return Seat(part.ref, "cable", why="on the far end of a cable")
    for kind, why in CHASSIS:
        if isinstance(part, kind):
            return Seat(part.ref, "chassis", why=why)
    if not isinstance(part, SMALL):
        return Seat(part.ref, "chassis", why="on the chassis")
    if (seat := _at_a_tag(netlist, part)) is not None:
        return seat
    if sizes[part.ref] is None:
        return Seat(part.ref, "chassis", why=TOO_LARGE)
    return Seat(part.ref, "board", why="on a board: it hangs between two terminals")


def _at_a_tag(netlist: Netlist, part: Part) -> Seat | None:
    """The part on whose tags it stands, where its job asks for that."""
    if any(netlist.nets[pin.net].domain in ("mains", "earth") for pin in part.pins):
        at = next((p.ref for p in netlist.parts if isinstance(p, Switch | Inlet | Fuse | Stud) and _meet(p, part)), "")
        return Seat(part.ref, "tag", at, MAINS)
    if part.role.startswith("grid-stopper"):
        return _at_tube(netlist, part, "grid", STOPPER)
    if part.role.startswith("screen-stopper"):
        return _at_tube(netlist, part, "screen", STOPPER)
    if part.role.startswith("test-resistor"):
        return _at_tube(netlist, part, "cathode", "right at the cathode pin: the meter must see this resistor and no wire")
    if isinstance(part, Resistor) and part.stage == "heaters" and "reference" in part.role:
        run = heater_run(netlist, part.pins[0].net)
        return Seat(part.ref, "tag", run[0], "where the heater pair first arrives: no third wire runs beside the pair") if run else None
    jacks = {"input": ("grid-leak", "it holds the tip at ground through the shortest leads there are")}
    jacks["speaker"] = ("load-resistor", "it must load the output transformer when no plug is in")
    for purpose, (role, why) in jacks.items():
        jack = next((j for j in netlist.of(Jack) if j.purpose == purpose and j.stage == part.stage), None)
        if jack is not None and part.role == role:
            return Seat(part.ref, "tag", jack.ref, why)
    pot = next((p for p in netlist.of(Pot) if {pin.net for pin in part.pins} <= {pin.net for pin in p.pins} - {GROUND}), None)
    return Seat(part.ref, "tag", pot.ref, "both its ends are lugs of this pot: no wire is shorter") if pot else None


def _at_tube(netlist: Netlist, part: Part, electrode: str, why: str) -> Seat | None:
    nets = {pin.net for pin in part.pins}
    section = next((s for s in netlist.sections if getattr(s, electrode) in nets and getattr(s, electrode) != GROUND), None)
    return Seat(part.ref, "tag", section.tube, why) if section else None


def _meet(a: Part, b: Part) -> bool:
    return bool({pin.net for pin in a.pins} & {pin.net for pin in b.pins})


def tag_joints(netlist: Netlist, found: dict[str, Seat]) -> dict[Terminal, Terminal]:
    """Where the leads of parts at tags are soldered. A lead that finds no tag ends in the air, sleeved, and is its own.

    Two leads of one net in the air at one place are twisted together and are one terminal: the first one's.
    """
    joints: dict[Terminal, Terminal] = {}
    taken: dict[Terminal, int] = {}
    air: dict[tuple[str, str], Terminal] = {}
    for part in netlist.parts:
        seat = found[part.ref]
        if seat.kind != "tag" or not seat.at:
            continue
        for pin in part.pins:
            own = Terminal(part.ref, pin.name)
            if netlist.nets[pin.net].domain == "earth":
                continue  # each on the stud by itself
            most = 2 if isinstance(netlist.by_ref[seat.at], Pot) else 1
            free = [tag for tag in _tags(netlist, seat.at, pin.net) if taken.get(tag, 0) < most]
            if free:
                joints[own] = free[0]
                taken[free[0]] = taken.get(free[0], 0) + 1
            elif (seat.at, pin.net) in air:
                joints[own] = air[seat.at, pin.net]
            else:
                joints[own] = air[seat.at, pin.net] = own
    return joints


def _tags(netlist: Netlist, ref: str, net: str) -> Iterator[Terminal]:
    """The tags of a part on a net, the quiet ones first: of a jack the contact before the sleeve."""
    pins = [pin.name for pin in netlist.by_ref[ref].pins if pin.net == net]
    for name in sorted(pins, key=lambda name: name != "tip-switch"):
        yield Terminal(ref, name)

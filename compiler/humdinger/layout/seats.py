"""Where each part stands: on a board, on the tags of another part, on the chassis, or on the far end of a cable; and why.

Decided by what a part is and by its job, never by its value, but for what is too large for a board (all common practice).
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from string import ascii_lowercase

from ..circuit.netlist import (
    GROUND,
    Bond,
    Capacitor,
    Choke,
    Coupler,
    Diode,
    Fuse,
    Inlet,
    InterstageTransformer,
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
from .model import Body, Seat, TagStrip, Terminal
from .trees import heater_run, is_outside

CHASSIS: tuple[tuple[type[Part], str], ...] = (
    (Tube, "in its socket"),
    (Pot, "on the panel, or on the chassis where it is set once"),
    (Jack, "in the panel"),
    (PowerTransformer, "on the chassis: heavy, and it hums"),
    (OutputTransformer, "on the chassis, its core across that of the power transformer"),
    (InterstageTransformer, "on the chassis, far from the power transformer and turned for the least hum"),
    (Choke, "on the chassis: heavy"),
    (Switch, "in the panel"),
    (Fuse, "in a holder that a tool opens"),
    (Inlet, "in the rear panel"),
    (Lamp, "in the panel"),
    (Coupler, "clipped to the chassis by its body, its leads on the wires: it keeps the light out, so no hole is drilled in it"),
    (Stud, "on bare metal of the chassis"),
    (Bond, "a wire of its own, not a part on a board"),
)
MAINS = "mains conductors keep to their own corner, and no board carries them"
STOPPER = "its body within 10 mm of the pin: a stopper at the end of a wire stops nothing"
TOO_LARGE = "too large for its leads: in a clamp on the chassis"
SMALL = (Resistor, Capacitor, Diode)
"""What may stand on a board."""
STRIP = "TB"
"""Class letters of a terminal strip (ASME Y14.44, from memory)."""
LUG_LEADS = 2
"""Leads of parts on one lug of a strip, at most, so that a wire finds room."""


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


def tag_joints(netlist: Netlist, found: dict[str, Seat]) -> tuple[dict[Terminal, Terminal], tuple[TagStrip, ...]]:
    """Where the leads of parts at tags are soldered: on a tag of the part they stand at, else on a lug of a strip beside it.

    Leads of one net at one place share a lug. A joint in the air holds by its solder alone, and nobody can name it.
    """
    joints: dict[Terminal, Terminal] = {}
    taken: dict[Terminal, int] = {}
    strips: dict[str, dict[Terminal, list[Terminal]]] = {}
    nets: dict[Terminal, str] = {}
    for part in netlist.parts:
        seat = found[part.ref]
        if seat.kind != "tag":
            continue
        for pin in part.pins:
            own = Terminal(part.ref, pin.name)
            most = 2 if isinstance(netlist.by_ref.get(seat.at), Pot) else 1
            earth = netlist.nets[pin.net].domain == "earth"  # each on the stud by a wire of its own
            free = [tag for tag in _tags(netlist, seat.at, pin.net) if taken.get(tag, 0) < most and not earth]
            if free:
                joints[own] = free[0]
                taken[free[0]] = taken.get(free[0], 0) + 1
                continue
            lugs = strips.setdefault(seat.at, {})
            lug = next((x for x, leads in lugs.items() if nets[x] == pin.net and len(leads) < LUG_LEADS and not earth), None)
            if lug is None:
                lug = Terminal(f"{STRIP}{1 + list(strips).index(seat.at)}", _letter(len(lugs)))
                lugs[lug], nets[lug] = [], pin.net
            lugs[lug].append(own)
            joints[own] = lug
    made = (
        TagStrip(next(iter(lugs)).ref, host, tuple(lugs), tuple(nets[lug] for lug in lugs), tuple(map(tuple, lugs.values())))
        for host, lugs in strips.items()
    )
    return joints, tuple(made)


def with_lug(strips: tuple[TagStrip, ...], host: str, net: str) -> tuple[tuple[TagStrip, ...], Terminal]:
    """The strips with one more lug, without a part, beside a part; a new strip where it has none."""
    at = next((k for k, strip in enumerate(strips) if strip.host == host), len(strips))
    old = strips[at] if at < len(strips) else TagStrip(f"{STRIP}{at + 1}", host, (), (), ())
    lug = Terminal(old.name, _letter(len(old.lugs)))
    return (*strips[:at], TagStrip(old.name, host, (*old.lugs, lug), (*old.nets, net), (*old.leads, ())), *strips[at + 1 :]), lug


def _letter(count: int) -> str:
    """a, b, ... z, then aa: lugs of a strip."""
    return ascii_lowercase[count] if count < len(ascii_lowercase) else "a" + _letter(count - len(ascii_lowercase))


def _tags(netlist: Netlist, ref: str, net: str) -> Iterator[Terminal]:
    """The tags of a part on a net, the quiet ones first: of a jack the contact before the sleeve."""
    pins = [pin.name for pin in netlist.by_ref[ref].pins if pin.net == net] if ref else []
    for name in sorted(pins, key=lambda name: name != "tip-switch"):
        yield Terminal(ref, name)

"""The tags of sockets, pots and jacks: what each is, what is soldered to it, what it reads. Drawing and page are both made from these."""

from __future__ import annotations

from collections.abc import Iterator

from ..analysis.results import Results
from ..circuit.netlist import EARTH, GROUND, Jack, Netlist, Pot, Tube
from ..records import record, replace
from .model import Layout


@record
class Tag:
    """One tag. kind: "wired", "bare" (an electrode without a wire), "internal" (IC), "unconnected" (NC), "absent" (no pin in this place).

    what: the electrode or contact as a builder names it. wires: numbers of the wire table; leads: parts soldered straight to it;
    screens: wires whose screen is soldered to it; plug: wires of a cable, which reach it through the plug and are soldered elsewhere.
    volts: direct, to circuit ground, nominal; alternating_volts: rms, nominal, with the net in `key_net` or winding in `of`. of: where the
    alternating volts stand in the results: ("heater", winding) or ("rectifier", id).
    """

    pin: str
    kind: str
    what: str
    net: str = ""
    wires: tuple[int, ...] = ()
    leads: tuple[str, ...] = ()
    volts: float | None = None
    alternating_volts: float | None = None
    of: tuple[str, str] = ("", "")
    screens: tuple[int, ...] = ()
    plug: tuple[int, ...] = ()


POT_LUGS = (("ccw", "counterclockwise end"), ("wiper", "wiper"), ("cw", "clockwise end"))
CONTACTS = (("tip", "meets the plug's tip"), ("tip-switch", "rests on the tip while no plug is in"), ("sleeve", "meets the plug's sleeve"))
FREE = {"internal": "internal connection", "unconnected": "not connected", "absent": "no pin"}


def tags_of(netlist: Netlist, layout: Layout, results: Results) -> dict[str, tuple[Tag, ...]]:
    """Designator -> tags, for every tube (in the order of its pins), pot (from its counterclockwise end) and jack."""
    found = _Landings(layout, results)
    made: dict[str, tuple[Tag, ...]] = {}
    for tube in netlist.of(Tube):
        made[tube.ref] = tuple(_pins(netlist, results, found, tube))
    for part, names in (*((p, POT_LUGS) for p in netlist.of(Pot)), *((j, CONTACTS) for j in netlist.of(Jack))):
        has = {pin.name: pin.net for pin in part.pins}
        made[part.ref] = tuple(found.tag(part.ref, pin, what, has[pin]) for pin, what in names if pin in has)
    return made


def _pins(netlist: Netlist, results: Results, found: _Landings, tube: Tube) -> Iterator[Tag]:
    names = electrodes(tube)
    parked = {p for s in netlist.sections if s.tube == tube.ref and s.unused for pins in s.section.pins.values() for p in pins}
    names |= {pin: f"{names[pin]}, not used" for pin in parked if pin in names}
    nets = {pin.name: pin.net for pin in tube.pins}
    heater = {str(p) for h in tube.type.heaters for p in (*h.side_a_pins, *h.side_b_pins)}
    for number in range(1, tube.type.base.pins + 1):
        pin = str(number)
        net = nets.get(pin, "")
        if net:
            alternating = _heater_volts(results, tube) if pin in heater else _rectifier_volts(netlist, results, tube, net)
            yield found.tag(tube.ref, pin, names.get(number, "no electrode"), net, alternating)
        else:
            yield Tag(pin, *_without_wire(tube, number, names))


def electrodes(tube: Tube) -> dict[int, str]:
    """Pin number -> what the library says is on it; pins of the heater by their connection in use."""
    names: dict[int, str] = {}
    several = len(tube.type.sections) > 1
    for section in tube.type.sections:
        for electrode, pins in section.pins.items():
            for pin in pins:
                suffix = f" {section.name}" if several and section.name else ""
                names[pin] = f"{names[pin]}, {electrode}" if pin in names else f"{electrode}{suffix}"
    for heater in tube.type.heaters:
        for pin in (*heater.side_a_pins, *heater.side_b_pins, *heater.centre_tap_pins):
            if "heater" not in names.get(pin, ""):
                names[pin] = f"{names[pin]}, heater" if pin in names else "heater"
    for pin in tube.type.shield_pins:
        names.setdefault(pin, "shield")
    return names


def _without_wire(tube: Tube, number: int, names: dict[int, str]) -> tuple[str, str]:
    if number in tube.type.internal_pins:
        return "internal", FREE["internal"]
    if number in tube.type.unconnected_pins:
        return "unconnected", FREE["unconnected"]
    if number in names:
        return "bare", names[number]
    return "absent", FREE["absent"]


class _Landings:
    """What is soldered where."""

    def __init__(self, layout: Layout, results: Results) -> None:
        self.volts = results.nominal.volts
        self.wires: dict[tuple[str, str], list[int]] = {}
        self.plug: dict[tuple[str, str], list[int]] = {}
        self.screens: dict[tuple[str, str], list[int]] = {}
        for wire in layout.wires:
            for at in {(wire.start.ref, wire.start.pin), (wire.end.ref, wire.end.pin)}:
                (self.plug if wire.outside else self.wires).setdefault(at, []).append(wire.number)
            if wire.drain is not None:
                self.screens.setdefault((wire.drain.ref, wire.drain.pin), []).append(wire.number)
        self.leads: dict[tuple[str, str], list[str]] = {}
        bonds = {wire.bond for wire in layout.wires}
        for lead, at in layout.joints.items():
            if lead != at and lead.ref not in bonds:  # a bond is the wire itself, not a part with a lead
                self.leads.setdefault((at.ref, at.pin), []).append(lead.ref)

    def tag(self, ref: str, pin: str, what: str, net: str, alternating: tuple[float, tuple[str, str]] | None = None) -> Tag:
        """A tag that is on a net."""
        volts = 0.0 if net in (GROUND, EARTH) else self.volts.get(net)
        leads = tuple(dict.fromkeys(self.leads.get((ref, pin), ())))
        at = (ref, pin)
        wires, screens, plug = (tuple(found.get(at, ())) for found in (self.wires, self.screens, self.plug))
        found = Tag(pin, "wired", what, net, wires, leads, volts, screens=screens, plug=plug)
        return found if alternating is None else replace(found, alternating_volts=alternating[0], of=alternating[1])


def _heater_volts(results: Results, tube: Tube) -> tuple[float, tuple[str, str]] | None:
    """Across its heater, on the winding that feeds it."""
    found = next((h for h in results.heaters if h.winding == tube.heater), None)
    for index, pair in enumerate(found.series if found else ()):
        if found and tube.ref in pair.volts:
            return pair.volts[tube.ref], ("heater-in-series", f"{found.winding}/{index}/{tube.ref}")
    return (found.volts["nominal"], ("heater", found.winding)) if found else None


def _rectifier_volts(netlist: Netlist, results: Results, tube: Tube, net: str) -> tuple[float, tuple[str, str]] | None:
    """To ground at a plate of a rectifier tube: half of the centre-tapped winding."""
    if not tube.type.is_rectifier or netlist.nets[net].domain != "high-tension-ac":
        return None
    found = next((r.id for r in netlist.rectifiers if tube.ref in r.devices), "")
    point = results.nominal.rectifiers.get(found)
    return (point.winding_volts_rms, ("rectifier", found)) if point else None

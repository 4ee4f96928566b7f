"""The colours of house wires and of transformer leads: what each kind of net gets, and what could be taken for something else.

Needs nothing that is placed: the netlist, the region and the shop's own colours. So the rules ask here, without boards and wires.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from ..circuit.netlist import Fuse, InterstageTransformer, Netlist, OutputTransformer, Part, PowerTransformer, Resistor, Winding
from ..diagnostics import Span
from .colours import HOUSE, INTERSTAGE_LEADS, NOWHERE, OUTPUT_LEADS, POWER_LEADS, SIGNAL_MAY, SPEAKER_LEAD, is_green, mains_colours
from .model import Clash, Colouring, Sleeve, Terminal

POWER = ("plate", "supply", "high-tension-ac", "heater", "speaker")
"""Uses whose wires could be taken for mains conductors of their colour even where signal wires could not."""


def coloured(netlist: Netlist, house: Mapping[str, str] | None = None) -> Colouring:
    """house: colours of the shop file over those of HOUSE."""
    colours = {**HOUSE, **(house or {})}
    nets = [name for name, net in netlist.nets.items() if net.domain not in ("mains", "earth") and len(netlist.on_net.get(name, ())) > 1]
    kinds = {kind: colours[kind] for kind in (carries(netlist, name) for name in nets)}
    return Colouring(kinds, tuple(_sleeves(netlist, colours)), tuple(_clashes(netlist, colours)))


def colour_of(netlist: Netlist, net: str, colours: Mapping[str, str]) -> str:
    """The colour of a net's wires: by the electrode it carries, else by its domain; the region's colours on the mains side."""
    domain = netlist.nets[net].domain
    region = netlist.region
    if domain == "earth":
        return region.earth_colours[0]
    if domain == "mains":
        return region.neutral_colour if "neutral" in net else region.line_colour
    return colours[carries(netlist, net)]


def ringed_nets(netlist: Netlist) -> frozenset[str]:
    """Nets whose wires wear a ring at both ends: of two of one colour that must not change places, the second.

    The far end of a heater or high-tension winding with what a resistor or fuse passes on of it, and the lead P2 of an output transformer
    (common practice). Where one end of a winding is B+, the other one wears the ring.
    """
    found: set[str] = set()
    for part in netlist.of(PowerTransformer):
        for winding in part.windings:
            ends = [part.net(pin) for pin in (winding.pins[0], winding.pins[-1]) if pin]
            loose = [net for net in ends if netlist.nets[net].domain in ("heater", "high-tension-ac")]
            if winding.kind in ("heater", "high-tension") and len(ends) == 2 and loose:
                found.add(loose[-1])
    for part in netlist.parts:
        nets = {pin.net for pin in part.pins}
        if isinstance(part, Resistor | Fuse) and nets & found and all(netlist.nets[net].domain == "high-tension-ac" for net in nets):
            found |= nets
    found |= {part.net("P2") for part in netlist.of(OutputTransformer) if part.topology == "push-pull"}
    return frozenset(found)


def carries(netlist: Netlist, net: str) -> str:
    """What a net carries, as HOUSE names it. A heater winding that B+ is taken from is B+ at both its ends."""
    domain = netlist.nets[net].domain
    if domain == "heater" and _at_b_plus(netlist, net):
        return "supply"
    if domain == "signal":
        for section in netlist.sections:
            if net == section.plate:
                return "plate"
            if net == section.screen:
                return "supply"
            if net == section.cathode:
                return "cathode"
            if net == section.grid:
                return "grid"
        if any(part.net(pin) == net for part in netlist.of(OutputTransformer) for pin in part.primary_pins):
            return "supply"  # a screen tap; the plates were found above
    return domain


def _at_b_plus(netlist: Netlist, net: str) -> bool:
    """Whether the winding a heater's net is an end of has an end that is B+."""
    windings = (
        [part.net(pin) for pin in winding.pins if pin]
        for part in netlist.of(PowerTransformer)
        for winding in part.windings
        if winding.kind == "heater"
    )
    return any(net in nets and any(netlist.nets[other].domain == "supply" for other in nets) for nets in windings)


# -- colours that mean something else -------------------------------------------------------------------------------
def _sleeves(netlist: Netlist, colours: Mapping[str, str]) -> Iterator[Sleeve]:
    for part in netlist.parts:
        for pin, colour, span in _leads(part):
            net = part.net(pin)
            taken = _taken_for(netlist, net, colour)
            if taken:
                yield Sleeve(Terminal(part.ref, pin), net, colour, taken, _sleeve_colour(netlist, net, colours), span)


def _leads(part: Part) -> Iterator[tuple[str, str, Span]]:
    """Terminal, standard colour and span of each lead of a transformer that follows the standard table."""
    if isinstance(part, OutputTransformer) and part.lead_colours == "retma":
        for pin in part.pins:
            if pin.name in OUTPUT_LEADS:
                yield pin.name, OUTPUT_LEADS[pin.name], part.span
        # of several taps the table does not say which one is green
        tap_colour = SPEAKER_LEAD if len(part.taps) == 1 else f"{SPEAKER_LEAD}, if it is"
        for tap in part.taps:
            yield tap.pin, tap_colour, part.span
    if isinstance(part, InterstageTransformer) and part.lead_colours == "retma":
        yield from ((pin, colour, part.span) for pin, colour in INTERSTAGE_LEADS.items())
    if isinstance(part, PowerTransformer) and part.lead_colours == "retma":
        for pin, colour in zip(("L", "N"), POWER_LEADS["primary"], strict=True):
            yield pin, colour, part.span
        heaters = 0
        for winding in part.windings:
            kind = winding.kind
            if kind == "heater":
                heaters += 1
                kind = _heater_kind(winding, heaters)
            for pin, colour in zip(winding.pins, POWER_LEADS.get(kind, ()), strict=False):
                if pin:
                    yield pin, colour, winding.span


def _heater_kind(winding: Winding, count: int) -> str:
    if "rectifier" in winding.feeds:
        return "rectifier-heater"
    return "heater" if count == 1 else f"heater-{min(count, 3)}"


def _taken_for(netlist: Netlist, net: str, colour: str) -> str:
    domain = netlist.nets[net].domain
    if domain == "mains" and "neutral" in net and colour == netlist.region.line_colour:
        return "mains line"
    if domain in ("mains", "earth"):
        return ""
    if is_green(colour):
        return "protective earth"
    if colour in mains_colours(netlist.region.code):
        return "mains line or neutral"
    return ""


def _sleeve_colour(netlist: Netlist, net: str, colours: Mapping[str, str]) -> str:
    return netlist.region.neutral_colour if netlist.nets[net].domain == "mains" else colours[carries(netlist, net)]


def _clashes(netlist: Netlist, colours: Mapping[str, str]) -> Iterator[Clash]:
    forbidden = mains_colours(netlist.region.code)
    for what, colour in colours.items():
        if is_green(colour):
            yield Clash(what, colour, "protective earth")
        elif colour in NOWHERE or (colour in forbidden and (colour not in SIGNAL_MAY or what in POWER)):
            yield Clash(what, colour, "mains line or neutral")

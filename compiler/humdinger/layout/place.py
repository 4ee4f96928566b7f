"""Places what can be placed from the netlist alone: one tree of wires per net, and the sleeves that colour collisions ask for."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from itertools import pairwise

from ..circuit.netlist import (
    EARTH,
    GROUND,
    Bond,
    Inlet,
    Netlist,
    OutputTransformer,
    Part,
    PowerTransformer,
    Stud,
    Winding,
)
from ..diagnostics import Span
from ..records import record
from .colours import HOUSE, NOWHERE, OUTPUT_LEADS, POWER_LEADS, SIGNAL_MAY, SPEAKER_LEAD, is_green, mains_colours


@record
class Terminal:
    """A terminal as a builder names it: designator and pin."""

    ref: str
    pin: str


@record
class Wire:
    """One row of the wire table. number counts from 1 in working order; group is the step of the work it belongs to."""

    number: int
    group: str
    net: str
    start: Terminal
    end: Terminal
    colour: str


@record
class Sleeve:
    """A transformer lead whose colour means danger elsewhere: what it is, what it could be taken for, what to sleeve it with."""

    lead: Terminal
    net: str
    colour: str
    taken_for: str
    sleeve: str
    span: Span


@record
class Clash:
    """A house colour that breaks the colour rule. Nothing sleeves a house wire: it is a danger."""

    carries: str
    colour: str
    taken_for: str


@record
class Layout:
    """Wires in working order, sleeves, and clashes of house colours."""

    wires: tuple[Wire, ...]
    sleeves: tuple[Sleeve, ...]
    clashes: tuple[Clash, ...]

    def wires_of(self, net: str) -> tuple[Wire, ...]:
        """The wires of one net."""
        return tuple(w for w in self.wires if w.net == net)


POWER = ("plate", "supply", "high-tension-ac", "heater", "speaker")
"""Uses whose wires could be taken for mains conductors of their colour even where signal wires could not."""

WORK_ORDER = ("mains", "earth", "heater", "ground", "high-tension-ac", "supply", "bias", "speaker", "signal")
"""Mains first, then heaters, ground and high tension, the signal last (common practice)."""


def place(netlist: Netlist, house: Mapping[str, str] | None = None) -> Layout:
    """house: colours of the shop file over those of HOUSE."""
    colours = {**HOUSE, **(house or {})}
    return Layout(_wires(netlist, colours), tuple(_sleeves(netlist, colours)), tuple(_clashes(netlist, colours)))


# -- wires ----------------------------------------------------------------------------------------------------------
def _wires(netlist: Netlist, colours: Mapping[str, str]) -> tuple[Wire, ...]:
    rows: list[Wire] = []
    for group in WORK_ORDER:
        for name, net in netlist.nets.items():
            if net.domain != group:
                continue
            for start, end in _tree(netlist, name):
                rows.append(Wire(len(rows) + 1, group, name, start, end, colour_of(netlist, name, colours)))
    return tuple(rows)


def _tree(netlist: Netlist, net: str) -> Iterator[tuple[Terminal, Terminal]]:
    """A chain in signal order. Circuit ground: a chain within each stage, the stages strung on one bus, the bond at its end."""
    rows = netlist.on_net.get(net, ())
    if net in (GROUND, EARTH):
        yield from _bus(netlist, rows)
        return
    order = {stage.id: i for i, stage in enumerate(netlist.stages)}
    sources = (Inlet, PowerTransformer)  # a chain begins at what feeds it: the run of a heater pair leaves the transformer

    def place_in_chain(row: tuple[Part, str]) -> tuple[bool, int]:
        return not isinstance(row[0], sources), order.get(row[0].stage, len(order))

    chain = [Terminal(p.ref, pin) for p, pin in sorted(rows, key=place_in_chain)]
    yield from pairwise(chain)


def _bus(netlist: Netlist, rows: tuple[tuple[Part, str], ...]) -> Iterator[tuple[Terminal, Terminal]]:
    order = {stage.id: i for i, stage in enumerate(netlist.stages)}
    stars: dict[str, list[Terminal]] = {}
    last: list[Terminal] = []
    for part, pin in sorted(rows, key=lambda row: order.get(row[0].stage, len(order))):
        if isinstance(part, Bond | Stud):
            last.append(Terminal(part.ref, pin))
        else:
            stars.setdefault(part.stage, []).append(Terminal(part.ref, pin))
    for star in stars.values():
        yield from ((star[0], spoke) for spoke in star[1:])
    heads = [star[0] for star in stars.values()] + last
    yield from pairwise(heads)


def colour_of(netlist: Netlist, net: str, colours: Mapping[str, str]) -> str:
    """The colour of a net's wires: by the electrode it carries, else by its domain; the region's colours on the mains side."""
    domain = netlist.nets[net].domain
    region = netlist.region
    if domain == "earth":
        return region.earth_colours[0]
    if domain == "mains":
        return region.neutral_colour if "neutral" in net else region.line_colour
    return colours[carries(netlist, net)]


def carries(netlist: Netlist, net: str) -> str:
    """What a net carries, as HOUSE names it."""
    domain = netlist.nets[net].domain
    if domain == "signal":
        for section in netlist.sections:
            if net == section.plate:
                return "plate"
            if net == section.cathode:
                return "cathode"
            if net == section.grid:
                return "grid"
    return domain


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

"""Places what can be placed from netlist and volts: boards, one tree of wires per net, and the sleeves that colour collisions ask for."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from itertools import zip_longest

from ..circuit.netlist import EARTH, GROUND, Netlist, OutputTransformer, Part, PowerTransformer, Tube, Winding
from ..diagnostics import Span
from .boards import States, boarded
from .colours import HOUSE, NOWHERE, OUTPUT_LEADS, POWER_LEADS, SIGNAL_MAY, SPEAKER_LEAD, is_green, mains_colours
from .model import Clash, Hop, Isolated, Layout, Sleeve, Terminal, Wire
from .trees import earth, is_outside, tree

POWER = ("plate", "supply", "high-tension-ac", "heater", "speaker")
"""Uses whose wires could be taken for mains conductors of their colour even where signal wires could not."""

WORK_ORDER = ("mains", "earth", "heater", "ground", "high-tension-ac", "supply", "bias", "speaker", "signal")
"""Mains first, then heaters, ground and high tension, the signal last (common practice)."""


def place(netlist: Netlist, house: Mapping[str, str] | None = None, states: States = ()) -> Layout:
    """house: colours of the shop file over those of HOUSE. states: volts of every net, state by state, to space terminals by."""
    colours = {**HOUSE, **(house or {})}
    trees = {net: tuple(_tree(netlist, net)) for net in netlist.nets if net != GROUND}
    made = boarded(netlist, trees, states)
    return Layout(
        wires(netlist, colours, made.hops),
        tuple(_sleeves(netlist, colours)),
        tuple(_clashes(netlist, colours)),
        tuple(_isolated(netlist)),
        made.boards,
        made.seats,
        made.joints,
    )


def _tree(netlist: Netlist, net: str) -> Iterator[Hop]:
    return earth(netlist, netlist.on_net.get(net, ())) if net == EARTH else tree(netlist, net)


# -- wires ----------------------------------------------------------------------------------------------------------
def wires(netlist: Netlist, colours: Mapping[str, str], hops: Mapping[str, tuple[Hop, ...]]) -> tuple[Wire, ...]:
    """Every wire in working order; the two nets of a heater winding hop by hop, as the pair is laid."""
    rows: list[Wire] = []
    for group in WORK_ORDER:
        names = [name for name, net in netlist.nets.items() if net.domain == group]
        names.sort(key=lambda name: netlist.b_plus.index(name) if name in netlist.b_plus else len(netlist.b_plus))
        for name, (start, end), pair in _paired(netlist, names, hops) if group == "heater" else _plain(names, hops):
            pair = pair or _heater_pair(netlist, start, end)
            outside = any(ref in netlist.by_ref and is_outside(netlist.by_ref[ref]) for ref in (start.ref, end.ref))
            rows.append(Wire(len(rows) + 1, group, name, start, end, colour_of(netlist, name, colours), pair, outside))
    return tuple(rows)


def _plain(names: list[str], hops: Mapping[str, tuple[Hop, ...]]) -> Iterator[tuple[str, Hop, str]]:
    for name in names:
        yield from ((name, hop, "") for hop in hops.get(name, ()))


def _paired(netlist: Netlist, names: list[str], hops: Mapping[str, tuple[Hop, ...]]) -> Iterator[tuple[str, Hop, str]]:
    """Hops of one winding's nets in turn: a, b, a, b."""
    windings: dict[str, list[list[tuple[str, Hop]]]] = {}
    for name in names:
        windings.setdefault(name.split(".")[0], []).append([(name, hop) for hop in hops.get(name, ())])
    for winding, sides in windings.items():
        runs = [[one for one in side if one[1][0].ref != one[1][1].ref and _is_run(netlist, one[1])] for side in sides]
        rest = [one for side, run in zip(sides, runs, strict=True) for one in side if one not in run]
        pair = winding.upper() if len(sides) > 1 else ""
        for step in zip_longest(*runs):
            yield from ((name, hop, pair) for name, hop in (one for one in step if one is not None))
        yield from ((name, hop, "") for name, hop in rest)


def _heater_pair(netlist: Netlist, start: Terminal, end: Terminal) -> str:
    """The winding whose lead goes to a socket: both its leads are laid as one pair, also where one of them is B+."""
    part = netlist.by_ref.get(start.ref)
    if not isinstance(part, PowerTransformer) or not isinstance(netlist.by_ref.get(end.ref), Tube):
        return ""
    return next((w.name for w in part.windings if w.kind == "heater" and start.pin in w.pins), "")


def _is_run(netlist: Netlist, hop: Hop) -> bool:
    """Whether a hop belongs to the twisted run: it ends at a socket."""
    return isinstance(netlist.by_ref.get(hop[1].ref), Tube)


def _isolated(netlist: Netlist) -> Iterator[Isolated]:
    """Transformer leads that go nowhere: taps not used, windings not used, primary taps of other mains."""
    for net, rows in netlist.on_net.items():
        if len(rows) == 1 and isinstance(rows[0][0], OutputTransformer | PowerTransformer):
            part, pin = rows[0]
            yield Isolated(part.ref, pin, f"{netlist.nets[net].label}: not used, and live when the amp plays")
    for stage in netlist.stages_of("power-transformer"):
        taps = stage.facts.get("primary_taps_volts")
        picked = stage.facts.get("primary_tap_volts")
        for volts in taps if isinstance(taps, tuple) else ():
            if volts != picked:
                ref = stage.parts.get("power-transformer", "")
                yield Isolated(ref, f"{volts:g} V primary", "primary tap for other mains: its end is at mains potential")


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
            if net == section.screen:
                return "supply"
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

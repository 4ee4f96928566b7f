"""The page of socket views: sockets, pots and jacks from the wiring side, and the same tag by tag in tables."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping, Sequence

from ..analysis.results import Results
from ..circuit.netlist import Jack, Netlist, Part, Pot, Tube
from ..drawing.sockets import views
from ..drawing.views import View
from ..layout import Layout
from ..layout.colours import letters
from ..layout.tags import FREE, Tag, tags_of
from ..parts.model import Base
from . import keys, words
from .citing import cited
from .model import Block, Cell, Figure, Gallery, Heading, Items, Link, Page, Row, Run, Table, num, t, txt
from .terminals import LUGS


def sockets_page(netlist: Netlist, layout: Layout, results: Results, charted: Collection[str] = ()) -> Page:
    """A gallery and a table for tubes, for pots and for jacks. charted: the nets with a row in the voltage chart."""
    tags = tags_of(netlist, layout, results)
    drawn = {view.name: view for view in views(netlist, tags, codes(layout))}
    table = _Tables(netlist, results, frozenset(charted), tags)
    tubes, pots, jacks = list(netlist.of(Tube)), list(netlist.of(Pot)), list(netlist.of(Jack))
    blocks: list[Block] = [Items(tuple(t(text) for text in _notes(pots, jacks)))]
    if tubes:
        bases = sorted({tube.type.base.name: tube.type.base for tube in tubes}.items())
        circles = "; ".join(f"{name}: pin circle {base.pin_circle_mm.value:g} mm, {_source(base)}" for name, base in bases)
        blocks += [
            Heading("Tubes", "tubes"),
            _gallery("Sockets from the wiring side", "socket-views", [drawn[x.ref] for x in tubes], [_figure_title(x) for x in tubes]),
            Items((t(f"Not to scale. {circles}."),)),
            table.tubes(tubes),
        ]
    if pots:
        titles = [f"{pot.ref} {pot.control}{', rear track' if pot.gang else ''}".strip() for pot in pots]
        blocks += [
            Heading("Pots", "pots"),
            _gallery("Pots from behind, lugs downwards", "pot-views", [drawn[x.ref] for x in pots], titles),
            table.others("Pots, lug by lug", "Lug", pots),
        ]
    if jacks:
        titles = [f"{jack.ref} {jack.purpose} jack" for jack in jacks]
        blocks += [
            Heading("Jacks", "jacks"),
            _gallery("Contacts as they make, no plug in", "jack-views", [drawn[x.ref] for x in jacks], titles),
            table.others("Jacks, contact by contact", "Contact", jacks),
        ]
    return Page(
        "sockets", "Socket views", "The side you solder on: every pin, lug and contact, what lands on it, what it reads.", tuple(blocks)
    )


def codes(layout: Layout) -> dict[str, str]:
    """Net -> letters of the colour of its wires, of two colours the one of more wires' first row."""
    made: dict[str, str] = {}
    for wire in layout.wires:
        made.setdefault(wire.net, f"{letters(wire.colour)}{' ring' if wire.ring else ''}")
    return made


def _notes(pots: Sequence[Pot], jacks: Sequence[Jack]) -> list[str]:
    notes = [
        "Everything here is seen from the wiring side. From above the chassis it is the mirror image.",
        "Pins count clockwise on this side, from the gap or from the key, which is drawn downwards. Make sure of pin 1 before the first joint.",
        "Numbers are those of the wire table, letters the colour, a ring after them the mark on one wire of a pair. A designator after a plus is "
        "a part soldered straight to the tag; “screen of” a number is the drain of that wire's screen, and it goes nowhere else.",
        "IC: the tube uses the pin inside. NC: nothing is on it in the type named, and another make may use it. Neither is a tie point.",
        "Volts: direct to circuit ground, nominal mains, no signal. AC: rms, of a heater across its two sides, of a rectifier plate to "
        "ground. They tell what lives here; readings are taken by the chart, with its method.",
    ]
    if pots:
        notes.append("A pot's wiper stands at lug 1 when the shaft is fully counterclockwise, seen from the front.")
    if jacks:
        notes.append("“Through the plug” is a wire of the cable: it is soldered in the plug, and not to the jack.")
        notes.append("Tags of jacks stand differently from make to make: find each contact with the ohmmeter.")
    return notes


def _source(base: Base) -> str:
    """Where the size of a base was read, as a page says it."""
    return cited(base.pin_circle_mm.source)


def _figure_title(tube: Tube) -> str:
    return f"{tube.ref} {tube.type.name}, {tube.type.base.name}"


def _gallery(caption: str, anchor: str, drawn: Sequence[View], titles: Iterable[str]) -> Gallery:
    figures = tuple(
        Figure(f"view-{view.name}", title, view.svg, view.width_mm, view.height_mm) for view, title in zip(drawn, titles, strict=True)
    )
    return Gallery(caption, anchor, figures)


class _Tables:
    """The text alternative of the drawings."""

    def __init__(self, netlist: Netlist, results: Results, charted: frozenset[str], tags: Mapping[str, Sequence[Tag]]) -> None:
        self.netlist, self.results, self.charted, self.tags = netlist, results, charted, tags

    def tubes(self, tubes: Sequence[Tube]) -> Table:
        """Every pin of every socket."""
        rows = []
        for tube in tubes:
            for tag in self.tags[tube.ref]:
                cells = (txt(tube.ref), num(tag.pin), txt(_what(tag)), *self._common(tag), self._alternating(tag))
                rows.append(Row(cells, f"socket-{tube.ref}-{tag.pin}", parts=(tube.ref,), nets=(tag.net,) if tag.net else ()))
        columns = ("Tube", "Pin", "Electrode", "Net", "Wires", "Direct", "AC")
        return Table("Sockets, pin by pin", columns, tuple(rows), anchor="pins")

    def others(self, caption: str, column: str, parts: Sequence[Part]) -> Table:
        """Every tag of pots or jacks."""
        rows = []
        for part in parts:
            for tag in self.tags[part.ref]:
                name = LUGS.get(tag.pin, tag.pin).removeprefix("lug\u00a0")
                cells = (txt(part.ref), txt(name), txt(_what(tag)), *self._common(tag))
                rows.append(Row(cells, f"tag-{part.ref}-{tag.pin}", parts=(part.ref,), nets=(tag.net,)))
        return Table(caption, ("Part", column, "Is", "Net", "Wires", "Direct"), tuple(rows))

    def _common(self, tag: Tag) -> tuple[Cell, Cell, Cell]:
        """Net, wires, direct volts."""
        if not tag.net:
            return txt("–"), txt("none"), num("–")
        label = self.netlist.nets[tag.net].label or tag.net
        net = txt(Link(label, "chart", f"net-{tag.net}")) if tag.net in self.charted else txt(label)
        runs: list[Run] = []
        for number in tag.wires:
            runs += [", "] if runs else []
            runs.append(Link(str(number), "wiring", f"wire-{number}"))
        if tag.leads:
            runs.append(f"{' + ' if runs else ''}{', '.join(tag.leads)}")
        for number in tag.screens:
            runs += [f"{' + ' if runs else ''}screen of\u00a0", Link(str(number), "wiring", f"wire-{number}")]
        for k, number in enumerate(tag.plug):
            runs += [f"{'; ' if runs else ''}through the plug\u00a0" if k == 0 else ", ", Link(str(number), "wiring", f"wire-{number}")]
        if tag.volts is None:
            return net, Cell(tuple(runs) or ("none",)), num("–")
        known = tag.net in self.results.nominal.volts
        return net, Cell(tuple(runs) or ("none",)), num(words.chart_volts(tag.volts), keys.node("nominal", tag.net) if known else "")

    def _alternating(self, tag: Tag) -> Cell:
        if tag.alternating_volts is None:
            return num("–")
        kind, name = tag.of
        if kind == "heater-in-series":
            winding, index, ref = name.split("/")
            key = keys.at("heater_windings", winding, "in_series", int(index), "volts_rms", ref)
            return num(words.volts(tag.alternating_volts), key)
        key = (
            keys.at("heater_windings", name, "volts_rms", "nominal")
            if kind == "heater"
            else keys.at("conditions", "nominal", "rectifiers", name, "winding_volts_rms")
        )
        return num(words.volts(tag.alternating_volts), key)


def _what(tag: Tag) -> str:
    """The electrode, or what a pin without one is: to be left free."""
    return f"{FREE[tag.kind]}: leave free" if tag.kind in ("internal", "unconnected") else tag.what

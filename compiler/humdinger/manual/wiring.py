"""The wiring page: every net as rows from terminal to terminal in the order of work, leads to sleeve or to insulate, plans, cut list."""

from __future__ import annotations

from collections.abc import Collection

from ..circuit.netlist import Netlist
from ..layout import Layout, Terminal, Wire
from ..layout.colouring import ringed_nets
from ..layout.colours import letters
from ..parts.wires import wire_table
from .model import BOX, Block, Cell, Heading, Items, Link, Page, Paragraph, Row, Table, Text, num, t, txt
from .terminals import probe_of as probe_of
from .terminals import terminal_text as terminal_text
from .wire_plans import (
    RINGED,
    colour_text,
    colours_table,
    cut_list,
    feedback_note,
    ground_plan,
    heater_plan,
    held_back,
    insulation_text,
    numbered,
    size_text,
    sizes_table,
)

GROUP_TITLES = {
    "mains": "Mains side",
    "earth": "Protective earth: the mains lead lowest on the stud",
    "heater": "Heaters: in before anything else near the sockets",
    "ground": "Circuit ground",
    "high-tension-ac": "High-tension winding",
    "supply": "B+",
    "bias": "Bias",
    "speaker": "Speaker",
    "signal": "Signal: stage by stage",
    "bond": "Bond: circuit ground to the earth stud",
}
OUTSIDE = "Outside the chassis: conductors of bought cables"
HELD = "Feedback: not now, but in its step of first power"

DRESS = {
    "mains": "Line and neutral lie side by side, apart from every other wire, double insulated or sleeved (common practice).",
    "earth": "On the stud, on bare metal: the mains lead's ring lowest, with a star washer and a nut of its own; what else is bonded goes above "
    "it under a second nut (published appliance practice).",
    "bond": "It goes on the stud last, above the mains earth, under the second nut.",
    "high-tension-ac": "Both ends of a winding are live against each other and against ground, each with the full volts of its half.",
    "supply": "Clear of grids, edges and hot parts. The charging wires carry nothing but the reservoir's current (common practice).",
    "speaker": "Out and return side by side, away from the input (common practice).",
    "outside": "They meet their jack through the plug and are soldered in the plug alone. Nothing of them is cut from the wire of this list: the "
    "kit has the cables. The numbers close the list, so that socket views can name them.",
    "signal": "In the order of the stages. Cross at right angles; plate wires short and away from grid wires (common practice).",
}
"""Step of the work -> how its wires are laid, where the rows cannot say it."""

SOURCES = (
    "Colours of mains and earth: IEC 60445 and North American practice, as public tables quote them. Letter codes of colours: IEC 60757, "
    "from memory. Lead colours of transformers: the RETMA (later EIA) table, as a public page quotes it. Gauges: ASTM B258, from memory. "
    "Least sizes, insulation, twist, screens and assumed lengths: common practice."
)


def wiring_page(netlist: Netlist, layout: Layout, charted: Collection[str] = ()) -> Page:
    """Rows in working order. charted: the nets with a row in the voltage chart, which a row here links to."""
    rows = _Rows(netlist, layout, frozenset(charted))
    blocks: list[Block] = [
        Paragraph(
            t(
                "Work down the page: mains first, the signal last. A row is one wire, from the side that feeds it to the side that is fed. Parts "
                "on boards, jacks and pots and the tag strips are in place before, parts at tube sockets follow the heaters: see ",
                Link("boards", "boards"),
                ". Where each wire lands on a tube, a pot or a jack: ",
                Link("socket views", "sockets"),
                ". What each net reads: ",
                Link("voltage chart", "chart"),
                ".",
            )
        ),
        Items(tuple(_notes(netlist, layout))),
        Heading("Colours", "colours"),
        colours_table(netlist, layout),
    ]
    if layout.colouring.sleeves:
        blocks += [Heading("Sleeve these leads before anything else", "sleeves"), _sleeves(netlist, layout)]
    if layout.isolated:
        blocks += [Heading("Insulate these leads, each by itself", "isolated"), _isolated(netlist, layout)]
    held = held_back(netlist, layout)
    for group, title in GROUP_TITLES.items():
        wires = [w for w in layout.wires if w.group == group and not w.outside and w not in held]
        if wires:
            blocks += [Heading(title, f"group-{group}"), *_plan(netlist, layout, group), rows.table(wires, group)]
            if away := [w.number for w in held if w.group == group]:
                step = Link("a step of its own", "", "group-feedback")
                blocks.append(Paragraph((*numbered(away), " not here: ", step, ", below.")))
    if held:
        blocks += [Heading(HELD, "group-feedback"), rows.table(list(held), "feedback")]
    outside = [w for w in layout.wires if w.outside]
    if outside:
        blocks += [Heading(OUTSIDE, "group-outside"), rows.cables(outside)]
    if any(w.make_up for w in layout.wires):
        blocks += [
            Heading("Cut list", "cut-list"),
            cut_list(netlist, layout),
            Heading("Why these sizes", "sizes"),
            sizes_table(netlist, layout),
        ]
    blocks.append(Paragraph(t(f"Sources. {SOURCES}")))
    return Page("wiring", "Wiring", "Every connection, terminal to terminal, in the order of work.", tuple(blocks))


def _plan(netlist: Netlist, layout: Layout, group: str) -> list[Block]:
    """The plan in words before the rows of heaters and of ground."""
    plans = {"heater": heater_plan, "ground": ground_plan}
    return [Items(plans[group](netlist, layout))] if group in plans else []


def _notes(netlist: Netlist, layout: Layout) -> list[Text]:
    """What no row can say."""
    table = wire_table()
    notes = [
        t("Every jack is an insulated type, unless a row of this page bonds its sleeve to the chassis."),
        t("Pots: lug 1 is the counterclockwise end, 2 the wiper, 3 the clockwise end. From behind, lugs downwards, they read 3, 2, 1."),
        t(f"At most {table.lug_wires} leads on one lug or terminal, wires and parts together (common practice)."),
        t(
            f"A wire with an entry under Screen that is longer than {table.screen_over_mm:g} mm is a screened one. Its screen is soldered to the "
            "terminal named, at the end named, and is cut back and sleeved at the other end (common practice). That joint counts among the leads "
            "of its terminal. A shorter wire is a plain one, and its screen's joint is left out."
        ),
        t(
            "A transformer with flying leads brings its own wires: cut each lead to length, and tick its row. Find every lead with the ohmmeter "
            "first, by the windings of ",
            Link("before power", "before-power", "dead-winding"),
            "; the colours of a transformer in hand may differ from any table.",
        ),
        t("Tick Done when the joint is cold. Tick Checked when the ohmmeter agrees, at best in a second pair of hands."),
    ]
    if (note := feedback_note(netlist, layout)) is not None:
        notes.append(note)
    return notes


def whole(text: str) -> str:
    """The text with hyphens that no line breaks at: white-yellow, H1-A."""
    return text.replace("-", "\u2011")


class _Rows:
    """Tables of wires."""

    def __init__(self, netlist: Netlist, layout: Layout, charted: frozenset[str]) -> None:
        self.netlist, self.charted = netlist, charted
        self.layout = layout

    def table(self, wires: list[Wire], group: str) -> Table:
        """One step of the work. A column that would say the same in every row is left out: the net, and how a wire is laid."""
        lays = [self._lay(w) for w in wires]
        laid, nets = any(lays), {w.net for w in wires}
        named = len(nets) > 1
        screened = any(w.screened for w in wires)
        columns = ("No.", "From", "To", "Net", "Colour", "Size", "Insu\u00adlation", "Screen", "Lay", "Done", "Checked")
        kept = [name for name in columns if {"Lay": laid, "Net": named, "Screen": screened}.get(name, True)]
        rows = tuple(self._row(w, lay, laid, named, screened) for w, lay in zip(wires, lays, strict=True))
        count = f"{len(rows)} wire{'s' if len(rows) > 1 else ''}"
        caption = count if named or group == "bond" else f"{count}, all on one net: {self._label(wires[0].net)}"
        return Table(caption, tuple(kept), rows, DRESS.get(group, ""))

    def cables(self, wires: list[Wire]) -> Table:
        """What is in bought cables: nothing of it is cut, coloured or soldered here."""
        rows = tuple(
            Row(
                (num(str(w.number)), txt(*self._end(w.start)), txt(*self._end(w.end)), self.net_cell(w.net)),
                anchor=f"wire-{w.number}",
                nets=(w.net,),
            )
            for w in wires
        )
        return Table(f"{len(rows)} wires through the plug", ("No.", "From", "To", "Net"), rows, DRESS["outside"])

    def _row(self, wire: Wire, lay: Text, laid: bool, named: bool, screened: bool) -> Row:
        made = wire.make_up
        size: Text = t(size_text(self.netlist.region.code, made) if made else "–")
        if wire.braid and not wire.screened:
            size = ("screen of\u00a0", Link(str(wire.braid), "", f"wire-{wire.braid}"))
        cells = (
            num(str(wire.number)),
            txt(*self._end(wire.start)),
            txt(*self._end(wire.end)),
            *((self.net_cell(wire.net),) if named else ()),
            txt(whole(colour_text(wire))),
            Cell(size),
            txt(insulation_text(made) if made else "–"),
            *((Cell(self._screen(wire)),) if screened else ()),
            *((Cell(lay),) if laid else ()),
            BOX,
            BOX,
        )
        return Row(cells, anchor=f"wire-{wire.number}", nets=(wire.net,))

    def _end(self, at: Terminal) -> Text:
        """A terminal; its designator never stands alone at the end of a line. Of a board it leads there; a lead in the air says where."""
        text = whole(terminal_text(at.ref, at.pin, self.netlist)).replace(" ", "\u00a0", 1)
        if at.ref not in self.netlist.by_ref:
            host = self.layout.host(at.ref)
            return t(Link(text, "boards", f"terminal-{text}"), f", at\u00a0{host}" if host else "")
        return t(text)

    def _screen(self, wire: Wire) -> Text:
        """Where its screen is soldered, and at which of its ends."""
        if wire.braid:
            return ("is wire\u00a0", Link(str(wire.braid), "", f"wire-{wire.braid}"), ", both ends") if wire.screened else t("–")
        if wire.drain is None:
            return t("–")
        text = whole(terminal_text(wire.drain.ref, wire.drain.pin, self.netlist)).replace(" ", "\u00a0")
        end = f" at the {'From' if wire.drained == wire.start else 'To'} end"
        return (text if wire.drain.ref in self.netlist.by_ref else Link(text, "boards", f"terminal-{text}"), end)

    def _label(self, net: str) -> str:
        return self.netlist.nets[net].label or net

    def net_cell(self, net: str) -> Cell:
        """The net's label, linked to its row in the chart where it has one."""
        label = self._label(net)
        return txt(Link(label, "chart", f"net-{net}")) if net in self.charted else txt(label)

    def _lay(self, wire: Wire) -> Text:
        made = wire.make_up
        if made is None:
            return ()
        runs: list[str | Link] = []
        if made.twist:
            runs += ["twist with\u00a0", Link(str(made.twist), "", f"wire-{made.twist}")]
        if made.dress:
            runs.append(f"{'; ' if runs else ''}{made.dress}")
        return tuple(runs)


def _lead(netlist: Netlist, lead: Terminal) -> str:
    return terminal_text(lead.ref, lead.pin, netlist)


def _sleeves(netlist: Netlist, layout: Layout) -> Table:
    ringed = ringed_nets(netlist)
    rows = tuple(
        Row(
            (
                txt(_lead(netlist, s.lead)),
                txt(netlist.nets[s.net].label),
                txt(s.colour),
                txt(s.taken_for),
                txt(f"{letters(s.sleeve)} {s.sleeve}{RINGED if s.net in ringed else ''}"),
                BOX,
            ),
            anchor=f"sleeve-{s.lead.ref}-{s.lead.pin}",
        )
        for s in layout.colouring.sleeves
    )
    note = (
        "The transformer's lead colour means something else on the mains side. Slide coloured sleeving over it along its whole free length."
    )
    return Table("Leads to sleeve", ("Lead", "Net", "Comes in", "Could be taken for", "Sleeve in", "Done"), rows, note)


def _isolated(netlist: Netlist, layout: Layout) -> Table:
    rows = tuple(Row((txt(terminal_text(i.ref, i.lead, netlist)), txt(i.why), BOX)) for i in layout.isolated)
    note = "Cut none short. Heat-shrink over each end, no two together, tied down where it cannot reach chassis or tags."
    return Table("Leads that end in the air", ("Lead", "Why", "Done"), rows, note)

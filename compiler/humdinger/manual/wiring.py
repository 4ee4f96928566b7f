"""The wiring page: every net as rows from terminal to terminal, leads to sleeve or to insulate, and each socket's pins."""

from __future__ import annotations

from ..circuit.netlist import Fuse, Netlist, OutputTransformer, Part, Pot, PowerTransformer, Tube
from ..layout import Layout, Terminal, Wire
from ..layout.trees import is_outside
from .model import BOX, Block, Heading, Items, Link, Page, Paragraph, Row, Table, num, t, txt

GROUP_TITLES = {
    "mains": "Mains side",
    "earth": "Protective earth: each wire on the stud by itself",
    "heater": "Heaters: in before anything else near the sockets",
    "ground": "Circuit ground",
    "high-tension-ac": "High-tension winding",
    "supply": "B+",
    "bias": "Bias",
    "speaker": "Speaker",
    "signal": "Signal: grids last",
}
OUTSIDE = "Outside the chassis: on the far end of a cable"
WORDS = {"+": "plus", "-": "minus", "a": "anode end", "k": "band end", "ccw": "left lug", "cw": "right lug"}


def terminal_text(ref: str, pin: str, netlist: Netlist) -> str:
    """ "V1 pin 3", "R4 lead 1", "J1 tip", "C5 minus", board terminal "A12". Leads without a mark are told apart by number."""
    part = netlist.by_ref.get(ref)
    if part is None:
        return f"{ref}{pin}"
    if isinstance(part, Tube):
        return f"{ref} pin\u00a0{pin}"
    if isinstance(part, Fuse) and part.where == "mains":
        return f"{ref} {'tip' if pin == '1' else 'side'} contact"
    if isinstance(part, OutputTransformer):
        return f"{ref} {pin + ' Ω tap' if any(tap.pin == pin for tap in part.taps) else pin}"
    if isinstance(part, Pot | PowerTransformer):
        return f"{ref} {WORDS.get(pin, pin)}"
    if pin in ("1", "2"):
        return f"{ref} lead\u00a0{pin}"
    return f"{ref} {WORDS.get(pin, pin)}"


def wiring_page(netlist: Netlist, layout: Layout) -> Page:
    """Rows in working order. Resistor and capacitor leads count as wires: a row may be the part's own lead."""
    blocks: list[Block] = [
        Paragraph(
            t(
                "Work down the page: mains first, signal last. A row is one connection from the side that feeds it to the side that is fed; "
                "where two parts meet on one tag the lead of the part is the wire. Pot lugs are named from the front, shaft towards you. "
                "Voltages of each net: ",
                Link("voltage chart", "chart"),
                ".",
            )
        ),
        Items(tuple(t(text) for text in _notes(netlist))),
    ]
    if layout.sleeves:
        blocks += [Heading("Sleeve these leads before anything else", "sleeves"), _sleeves(netlist, layout)]
    if layout.isolated:
        blocks += [Heading("Insulate these leads, each by itself", "isolated"), _isolated(layout)]
    for group, title in GROUP_TITLES.items():
        wires = [w for w in layout.wires if w.group == group and not w.outside]
        if wires:
            blocks += [Heading(title, f"group-{group}"), _rows(netlist, wires)]
    outside = [w for w in layout.wires if w.outside]
    if outside:
        blocks += [Heading(OUTSIDE, "group-outside"), _rows(netlist, outside)]
    blocks += [Heading("Sockets", "sockets"), _sockets(netlist)]
    return Page("wiring", "Wiring", "Every connection, terminal to terminal, in the order of work.", tuple(blocks))


def _notes(netlist: Netlist) -> list[str]:
    """What no row can say."""
    plan = next(iter(netlist.stages_of("grounding")), None)
    joint = str(plan.facts.get("chassis_joint", "input")) if plan else "input"
    notes = [
        f"Circuit ground meets the chassis at one place only, at the {joint} (the spec's grounding plan). Every jack is an insulated type, "
        "unless a row of this page bonds its sleeve there.",
        "A resistor and most small capacitors have no marked end: call either lead 1, and keep to it.",
        "Heater wires of one pair are twisted together, from the transformer to the last socket, and keep to the corner of the chassis.",
        "At most three wires on one lug (common practice): give a star a tag of its own where its capacitor's lug gets full.",
    ]
    if any(netlist.stages_of("feedback")):
        notes.append(
            "Leave the feedback resistor off until its polarity is tested: connected, the output must fall. If it rises or howls, switch off, "
            "discharge, prove dead, and swap the two plate leads of the output transformer (common practice)."
        )
    return notes


def _rows(netlist: Netlist, wires: list[Wire]) -> Table:
    paired = any(w.pair for w in wires)
    columns = ("No.", "From", "To", "Net", "Colour", *(("Twist",) if paired else ()), "Done", "Checked")
    rows = tuple(
        Row(
            (
                num(str(w.number)),
                txt(terminal_text(w.start.ref, w.start.pin, netlist)),
                txt(terminal_text(w.end.ref, w.end.pin, netlist)),
                txt(netlist.nets[w.net].label),
                txt(w.colour),
                *((txt(f"pair {w.pair}" if w.pair else "–"),) if paired else ()),
                BOX,
                BOX,
            ),
            anchor=f"wire-{w.number}",
        )
        for w in wires
    )
    return Table(f"{len(rows)} connections", columns, rows)


def _lead(netlist: Netlist, lead: Terminal) -> str:
    return terminal_text(lead.ref, lead.pin, netlist)


def _sleeves(netlist: Netlist, layout: Layout) -> Table:
    rows = tuple(
        Row((txt(_lead(netlist, s.lead)), txt(netlist.nets[s.net].label), txt(s.colour), txt(s.taken_for), txt(s.sleeve), BOX))
        for s in layout.sleeves
    )
    note = (
        "The transformer's lead colour means something else on the mains side. Slide coloured sleeving over it along its whole free length."
    )
    return Table("Leads to sleeve", ("Lead", "Net", "Comes in", "Could be taken for", "Sleeve in", "Done"), rows, note)


def _isolated(layout: Layout) -> Table:
    rows = tuple(Row((txt(f"{i.ref} {i.lead}"), txt(i.why), BOX)) for i in layout.isolated)
    note = "Cut none short. Heat-shrink over each end, no two together, tied down where it cannot reach chassis or tags."
    return Table("Leads that end in the air", ("Lead", "Why", "Done"), rows, note)


def _sockets(netlist: Netlist) -> Table:
    rows = []
    for tube in netlist.of(Tube):
        names = _electrodes(tube)
        nets = {pin.name: pin.net for pin in tube.pins}
        for number in range(1, tube.type.base.pins + 1):
            pin = str(number)
            net = nets.get(pin)
            what = names.get(number, "internal: leave free" if number in tube.type.internal_pins else "not used")
            wire = txt(netlist.nets[net].label if net else "no wire")
            rows.append(Row((txt(tube.ref), num(pin), txt(what), wire), anchor=f"socket-{tube.ref}-{pin}"))
    note = "Pins count clockwise seen from the wiring side."
    return Table("Sockets, pin by pin", ("Tube", "Pin", "Electrode", "Net"), tuple(rows), note)


def _electrodes(tube: Tube) -> dict[int, str]:
    names: dict[int, str] = {}
    for section in tube.type.sections:
        for electrode, pins in section.pins.items():
            for pin in pins:
                names[pin] = f"{names[pin]}, {electrode}" if pin in names else f"{electrode} {section.name}".strip()
    for heater in tube.type.heaters:
        for pin in (*heater.side_a_pins, *heater.side_b_pins):
            names.setdefault(pin, "heater")
    return names


def probe_of(netlist: Netlist, net: str) -> tuple[Part, str] | None:
    """Where a builder clips on: a tube pin, else a capacitor's plus, else a jack, else any terminal inside the chassis."""
    rows = [row for row in netlist.on_net.get(net, ()) if not is_outside(row[0])] or list(netlist.on_net.get(net, ()))
    ranked = sorted(rows, key=lambda row: (not isinstance(row[0], Tube), row[1] != "+", row[1] != "tip"))
    return ranked[0] if ranked else None

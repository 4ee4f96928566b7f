"""The wiring page: every net as rows from terminal to terminal, sleeves, and each socket's pins."""

from __future__ import annotations

from ..circuit.netlist import Netlist, Tube
from ..layout import Layout
from ..layout.place import Terminal
from .model import BOX, Block, Heading, Link, Page, Paragraph, Row, Table, num, t, txt

GROUP_TITLES = {
    "mains": "Mains side",
    "earth": "Protective earth",
    "heater": "Heaters: twisted pair, in before anything else near the sockets",
    "ground": "Circuit ground: a star per stage, the stages strung on one bus",
    "high-tension-ac": "High-tension winding",
    "supply": "B+",
    "bias": "Bias",
    "speaker": "Speaker",
    "signal": "Signal: grids last",
}


def terminal_text(terminal: Terminal, netlist: Netlist) -> str:
    """ "V1 pin 3", "R4 end 1", "J1 tip"."""
    part = netlist.by_ref[terminal.ref]
    if isinstance(part, Tube):
        return f"{terminal.ref} pin {terminal.pin}"
    if terminal.pin in ("1", "2"):
        return f"{terminal.ref} end {terminal.pin}"
    words = {"+": "plus", "-": "minus", "a": "anode end", "k": "band end"}
    return f"{terminal.ref} {words.get(terminal.pin, terminal.pin)}"


def wiring_page(netlist: Netlist, layout: Layout) -> Page:
    """Rows in working order. Resistor and capacitor leads count as wires: a row may be the part's own lead."""
    blocks: list[Block] = [
        Paragraph(
            t(
                "Work down the page: mains first, signal last. A row is one connection; where two parts meet on one tag the lead of the part is the wire. Voltages of each net: ",
                Link("voltage chart", "chart"),
                ".",
            )
        )
    ]
    if layout.sleeves:
        blocks += [Heading("Sleeve these leads before anything else", "sleeves"), _sleeves(netlist, layout)]
    for group, title in GROUP_TITLES.items():
        wires = [w for w in layout.wires if w.group == group]
        if not wires:
            continue
        rows = tuple(
            Row(
                (
                    num(str(w.number)),
                    txt(terminal_text(w.start, netlist)),
                    txt(terminal_text(w.end, netlist)),
                    txt(netlist.nets[w.net].label),
                    txt(w.colour),
                    BOX,
                    BOX,
                ),
                anchor=f"wire-{w.number}",
            )
            for w in wires
        )
        blocks += [
            Heading(title, f"group-{group}"),
            Table(f"{len(rows)} connections", ("No.", "From", "To", "Net", "Colour", "Done", "Checked"), rows),
        ]
    blocks += [Heading("Sockets", "sockets"), _sockets(netlist)]
    return Page("wiring", "Wiring", "Every connection, terminal to terminal, in the order of work.", tuple(blocks))


def _sleeves(netlist: Netlist, layout: Layout) -> Table:
    rows = tuple(
        Row((txt(terminal_text(s.lead, netlist)), txt(netlist.nets[s.net].label), txt(s.colour), txt(s.taken_for), txt(s.sleeve), BOX))
        for s in layout.sleeves
    )
    note = (
        "The transformer's lead colour means something else on the mains side. Slide coloured sleeving over it along its whole free length."
    )
    return Table("Leads to sleeve", ("Lead", "Net", "Comes in", "Could be taken for", "Sleeve in", "Done"), rows, note)


def _sockets(netlist: Netlist) -> Table:
    rows = []
    for tube in netlist.of(Tube):
        names = _electrodes(tube)
        nets = {pin.name: pin.net for pin in tube.pins}
        for number in range(1, tube.type.base.pins + 1):
            pin = str(number)
            net = nets.get(pin)
            what = names.get(number, "internal: leave free" if number in tube.type.internal_pins else "not used")
            rows.append(
                Row(
                    (txt(tube.ref), num(pin), txt(what), txt(netlist.nets[net].label if net else "no wire")),
                    anchor=f"socket-{tube.ref}-{pin}",
                )
            )
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

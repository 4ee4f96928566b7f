"""The boards page: each board at full size, what is on each terminal, what to check on each part, and where all other parts stand."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping

from ..circuit.netlist import Capacitor, Diode, Netlist, Part, Resistor, Tube
from ..drawing.board import board_lighting, draw_board
from ..drawing.marking import BAND_CODES, bands, tolerance
from ..layout import Board, Layout, Mount, Seat, Terminal, Turret, Wire
from ..layout.boards import HOT_WATTS
from ..layout.routing import BASE_MM, BOARD_MM, HOT_MM, TURRET_MM, VOLTS_PER_MM
from ..units import show_watts
from .describe import describe
from .model import BLANK, BOX, FULL_SIZE_MM, Block, Cell, Figure, Heading, Items, Link, Page, Paragraph, Row, Run, Table, num, t, txt
from .terminals import terminal_text
from .wire_plans import held_back
from .words import ohms


def boards_page(netlist: Netlist, layout: Layout) -> Page | None:
    """None for an amp without a part that could stand on a board."""
    if not layout.boards:
        return None
    blocks: list[Block] = [
        Paragraph(
            t(
                "A terminal is named by the letter of its board and a number: odd numbers run down the left, even ones down the right. "
                "The drawings, these tables and the ",
                Link("wiring table", "wiring"),
                " use the same names.",
            )
        ),
        Heading("Order of work", "order"),
        Items(tuple(t(text) for text in _work(netlist, layout)), ordered=True),
    ]
    for board in layout.boards:
        blocks += _board(netlist, layout, board)
    away = [seat for seat in layout.seats if _is_loose(netlist, seat)]
    if away:
        blocks += [Heading("Parts that are not on a board", "not-on-a-board"), _away(netlist, layout, away)]
    if layout.strips:
        blocks += [Heading("Tag strips", "strips"), _strips(netlist, layout)]
    blocks += [Heading("Parts of chassis, panel and cables", "chassis"), _chassis(netlist, layout)]
    count = sum(len(board.mounts) for board in layout.boards)
    lead = f"{len(layout.boards)} turret boards with {count} parts, drawn at full size, and where every other part stands."
    if len(layout.boards) == 1:
        lead = f"One turret board with {count} parts, drawn at full size, and where every other part stands."
    return Page("boards", "Boards", lead, tuple(blocks), style=board_lighting(layout.boards))


def _work(netlist: Netlist, layout: Layout) -> list[str]:
    steps = [
        "Print at 100 % and measure the scale bar of each drawing. Measure the parts in the bag as well: the bodies are drawn at typical "
        "sizes (common practice). Then drill through the print.",
        f"Use glass-fibre board of {BOARD_MM:g} mm and turrets with a flange of {TURRET_MM:g} mm (common practice). Neighbours stand {BASE_MM:g} mm apart "
        f"and 1 mm more for each {VOLTS_PER_MM:g} V between them in any state that was computed (common practice).",
        "Solder the links below first, of insulated wire: some of them cross. Then check each link from terminal to terminal with a meter.",
        "Meter every resistor before you solder it and write down what it reads. Check the direction of every part with a plus end or a band.",
        "Low parts first, then the tall ones. Wires of a board come last, when the board is in: they are rows of the wiring table.",
        "A resistor and most small capacitors have no marked end: call either lead 1, and keep to it.",
        "Three leads on top of a terminal at most, wires included (common practice). A terminal that holds no part is a tie: it takes what its "
        "neighbour has no room for.",
    ]
    if any(isinstance(netlist.by_ref[m.ref], Resistor) and m.body.kind == "wirewound" for b in layout.boards for m in b.mounts):
        steps.insert(
            5,
            f"Keep wirewound resistors 5 mm off the board. Those that turn {show_watts(HOT_WATTS)} or more into heat stand {HOT_MM:g} mm from "
            "any electrolytic capacitor (common practice).",
        )
    if any(isinstance(netlist.by_ref.get(seat.at), Tube) for seat in layout.seats if seat.kind == "tag"):
        steps.append(
            "In the chassis: tag strips first, then the heater pairs of the wiring table, then the parts at tube sockets, which lie over the pairs, "
            "then every other wire."
        )
    return steps


# -- one board ------------------------------------------------------------------------------------------------------
def _board(netlist: Netlist, layout: Layout, board: Board) -> list[Block]:
    drawn = draw_board(board, netlist, layout, lambda terminal: terminal_text(terminal.ref, terminal.pin, netlist))
    assert drawn.width_mm <= FULL_SIZE_MM[0], f"board {board.name} is wider than the paper"
    assert drawn.height_mm <= FULL_SIZE_MM[1], f"board {board.name} is longer than the paper"
    title = f"Board {board.name}: {board.title}"
    return [
        Figure(f"board-{board.name}", title, drawn.svg, drawn.width_mm, drawn.height_mm, true_size=True),
        _parts(netlist, board),
        _terminals(netlist, layout, board),
    ]


def _parts(netlist: Netlist, board: Board) -> Table:
    """What to check of each part, in the order of work: low bodies first, so that none is in the way of another; each height from the top."""
    rows = []
    for mount in sorted(board.mounts, key=lambda mount: mount.body.diameter_mm):
        part = netlist.by_ref[mount.ref]
        cells = (
            txt(Link(mount.ref, "kit", f"part-{mount.ref}")),
            txt(describe(part)),
            txt(_bands(part)),
            txt(_between(mount, part)),
            txt(_expected(part)),
            BLANK if isinstance(part, Resistor) else txt("–"),
            BOX,
        )
        rows.append(Row(cells, anchor=f"seat-{mount.ref}", parts=(mount.ref,), nets=tuple(dict.fromkeys(pin.net for pin in part.pins))))
    columns = ("Part", "What", "Bands", "From, to", "Meter", "Reads", "Done")
    return Table(f"Board {board.name}: {len(rows)} parts, low ones first", columns, tuple(rows), anchor=f"parts-{board.name}")


def _bands(part: Part) -> str:
    if not isinstance(part, Resistor):
        return "–"
    return "\u00a0".join(BAND_CODES[name] for name in bands(part)) or "printed"


def _between(mount: Mount, part: Part) -> str:
    """Its terminals, with the end that matters named."""
    left, right = (f"{terminal.ref}{terminal.pin}" for terminal in (mount.left, mount.right))
    marked = {"+": "plus", "k": "band"}
    for pin, name in ((mount.left_pin, left), (mount.right_pin, right)):
        if pin in marked:
            other = right if name == left else left
            return f"{marked[pin]} on {name}, other end on {other}"
    return f"{left}, {right}"


def _expected(part: Part) -> str:
    match part:
        case Resistor():
            width = tolerance(part)
            low, high = (ohms(part.ohms * (1 + way * width)).replace(" ", "\u00a0") for way in (-1, 1))
            return f"{low} to {high}"
        case Capacitor() if part.polarised:
            return "check the plus end"
        case Capacitor():
            return "no short"
        case Diode():
            return "conducts towards the band only"
        case _:
            return "–"


def _terminals(netlist: Netlist, layout: Layout, board: Board) -> Table:
    links: dict[Terminal, list[Terminal]] = {}
    for link in board.links:
        links.setdefault(link.start, []).append(link.end)
        links.setdefault(link.end, []).append(link.start)
    held = held_back(netlist, layout)
    rows = tuple(_terminal(netlist, turret, links, layout, held) for turret in _by_number(board))
    columns = ("Terminal", "Net", "Part leads", "Links below", "Wires", "Done")
    note = "A wire is named by its number and its other end; the number leads to its row of the wiring table."
    return Table(f"Board {board.name}, terminal by terminal", columns, rows, note, anchor=f"terminals-{board.name}")


def _by_number(board: Board) -> list[Turret]:
    return sorted(board.turrets, key=lambda turret: int(turret.terminal.pin))


def _terminal(netlist: Netlist, turret: Turret, links: Mapping[Terminal, list[Terminal]], layout: Layout, held: Collection[Wire]) -> Row:
    name = f"{turret.terminal.ref}{turret.terminal.pin}"
    leads = ", ".join(terminal_text(lead.ref, lead.pin, netlist) for lead in turret.leads) or "tie"
    below = ", ".join(f"{t.ref}{t.pin}" for t in links.get(turret.terminal, ())) or "–"
    out = tuple(_wires(netlist, turret.terminal, layout, held))
    cells = (txt(name), txt(netlist.nets[turret.net].label), txt(leads), txt(below), Cell(out or ("–",)), BOX)
    return Row(cells, anchor=f"terminal-{name}", nets=(turret.net,))


# -- everything else ------------------------------------------------------------------------------------------------
def _is_loose(netlist: Netlist, seat: Seat) -> bool:
    """Whether a part could stand on a board and does not."""
    return seat.kind != "board" and isinstance(netlist.by_ref[seat.ref], Resistor | Capacitor | Diode)


def _away(netlist: Netlist, layout: Layout, away: list[Seat]) -> Table:
    rows = []
    for seat in away:
        part = netlist.by_ref[seat.ref]
        where = f"at {seat.at}" if seat.kind == "tag" and seat.at else "on the chassis"
        cells = (
            txt(Link(seat.ref, "kit", f"part-{seat.ref}")),
            txt(describe(part)),
            txt(where),
            txt("; ".join(_lead(netlist, layout, part, pin.name) for pin in part.pins)),
            txt(f"{seat.why} (common practice)"),
            BOX,
        )
        rows.append(Row(cells, anchor=f"seat-{seat.ref}", parts=(seat.ref,)))
    note = (
        "Parts at tube sockets go on after the heater pairs, which lie beneath them: see wiring. No lead ends in the air: what finds no tag has a "
        "lug of a strip. Meter these resistors as well before you solder."
    )
    return Table(
        f"{len(rows)} parts at sockets, jacks, pots and on the chassis",
        ("Part", "What", "Where", "Leads", "Why", "Done"),
        tuple(rows),
        note,
    )


def _strips(netlist: Netlist, layout: Layout) -> Table:
    """Every lug of every strip: its net, the part leads and the wires on it."""
    rows = []
    for strip in layout.strips:
        for lug, net, leads in zip(strip.lugs, strip.nets, strip.leads, strict=True):
            name = f"{lug.ref}{lug.pin}"
            cells = (
                txt(name),
                txt(f"beside {strip.host}" if strip.host else "on the chassis"),
                txt(netlist.nets[net].label),
                txt(", ".join(terminal_text(lead.ref, lead.pin, netlist) for lead in leads) or "tie"),
                Cell(tuple(_wires(netlist, lug, layout, [])) or ("–",)),
                BOX,
            )
            rows.append(Row(cells, anchor=f"terminal-{name}", nets=(net,)))
    note = (
        "A strip of insulated lugs stands beside its part, under a screw of the socket where there is one; its foot carries no circuit. Lugs are "
        "lettered from the left, seen from the wiring side (common practice)."
    )
    return Table(
        f"{len(rows)} lugs on {len(layout.strips)} tag strips", ("Lug", "Where", "Net", "Part leads", "Wires", "Done"), tuple(rows), note
    )


def _wires(netlist: Netlist, at: Terminal, layout: Layout, held: Collection[Wire]) -> Iterator[Run]:
    """The wires on a terminal with their other ends, then the screens on it."""
    first = True
    for wire in layout.wires:
        for here, there in ((wire.start, wire.end), (wire.end, wire.start)):
            if here != at:
                continue
            if not first:
                yield ", "
            first = False
            yield Link(str(wire.number), "wiring", f"wire-{wire.number}")
            later = " (not before first power tries the feedback)" if wire in held else ""
            yield f"\u00a0{terminal_text(there.ref, there.pin, netlist)}{later}"
    for wire in layout.wires:
        if wire.drain == at:
            yield f"{'' if first else ', '}screen of\u00a0"
            first = False
            yield Link(str(wire.number), "wiring", f"wire-{wire.number}")


def _lead(netlist: Netlist, layout: Layout, part: Part, pin: str) -> str:
    """Where one lead goes."""
    own, at = Terminal(part.ref, pin), layout.joint(part.ref, pin)
    name = terminal_text(part.ref, pin, netlist).removeprefix(f"{part.ref} ")
    if at != own:
        return f"{name} on {terminal_text(at.ref, at.pin, netlist)}"
    return f"{name}: a wire comes to it"


def _chassis(netlist: Netlist, layout: Layout) -> Table:
    """Parts that were never meant for a board, by where they stand."""
    groups: dict[tuple[str, str], list[str]] = {}
    for seat in layout.seats:
        if seat.kind != "board" and not _is_loose(netlist, seat):
            groups.setdefault((type(netlist.by_ref[seat.ref]).__name__, seat.why), []).append(seat.ref)
    rows = []
    for (_, why), refs in groups.items():
        links: list[Run] = []
        for ref in refs:
            links += [", ", Link(ref, "kit", f"part-{ref}")] if links else [Link(ref, "kit", f"part-{ref}")]
        rows.append(Row((num(str(len(refs))), Cell(tuple(links)), txt(why))))
    count = sum(len(refs) for refs in groups.values())
    return Table(f"{count} parts", ("Count", "Parts", "Where"), tuple(rows))

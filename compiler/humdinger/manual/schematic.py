"""The schematic: section by section with tables of its parts and nets, the whole amp on one sheet, and every drawing as a file.

What is pointed at, focused or linked to lights in all drawings of the page and in its row: see drawing/style.lighting. The tables are also
the drawings' text alternative: parts with their terminals, nets with their volts and parts.
"""

from __future__ import annotations

from collections.abc import Mapping

from ..analysis.results import Results
from ..circuit.netlist import EARTH, GROUND, Netlist, Part
from ..drawing.labels import value_rows
from ..drawing.schematic import Figure as Drawn
from ..drawing.schematic import Schematic, page_lighting, part_of, schematic
from ..drawing.style import plain_svg
from ..records import replace
from ..source.cache import Cached, uncached
from . import keys, words
from .model import Cell, Figure, File, Heading, Link, Page, Paragraph, Row, Run, Table, num, t, txt

PAPERS = {
    "A4": (("A3", 420.0, 297.0), ("A2", 594.0, 420.0), ("A1", 841.0, 594.0), ("A0", 1189.0, 841.0)),
    "Letter": (("ANSI B", 431.8, 279.4), ("ANSI C", 558.8, 431.8), ("ANSI D", 863.6, 558.8), ("ANSI E", 1117.6, 863.6)),
}
"""Sheets on their side, smallest first, in millimetres: ISO 216, and ASME Y14.1 (both from memory)."""

MARGINS_MM = (14.0, 18.5)
"""What the style sheet's margins take of a sheet's width and height when a drawing is all that stands on it."""

READABLE = 0.8
"""Scale below which the letters of a drawing, 7.6 points at true size, fall under 6 points."""


def draw(netlist: Netlist, results: Results, style: str, cached: Cached = uncached, imprint: tuple[str, str] = ("", "")) -> Schematic:
    """All drawings, from the cache when the same amp was drawn before. imprint: maker and revision."""
    made = cached("schematic", (netlist, results, style, imprint), lambda: schematic(netlist, results, style, imprint).figures, Drawn)
    return Schematic(made[:-1], made[-1])


def schematic_page(netlist: Netlist, results: Results, drawn: Schematic, known: Mapping[str, frozenset[str]]) -> Page:
    """The section sheets, then the tables. known: page -> anchors of its rows, for links that lead somewhere."""
    sheets = tuple(
        Figure(f.name, f"{number} {f.title}", f.svg, f.width_mm, f.height_mm, note=_download(f))
        for number, f in enumerate(drawn.sections, 1)
    )
    intro = Paragraph(
        t(
            "Volts are direct, to circuit ground, nominal mains, no signal: the nominal column of the ",
            Link("voltage chart", "chart"),
            ". Point at a part or a net, in a drawing or in the tables, and it lights in both. The same amp ",
            Link("on one sheet", "schematic-wide"),
            ".",
        )
    )
    blocks = (intro, *sheets, Heading("Parts and nets in words", "words"), _parts(netlist, drawn), _nets(netlist, results, drawn, known))
    lead = "Section by section, with pins, values, ratings and volts."
    return Page("schematic", "Schematic", lead, blocks, style=page_lighting(drawn.sections))


def wide_page(netlist: Netlist, drawn: Schematic) -> Page:
    """The wide sheet on paper of its own size."""
    wide = drawn.wide
    paper, (width, height), scale = paper_for(wide, netlist.region.paper)
    size = f"{wide.width_mm:.0f} × {wide.height_mm:.0f} mm"
    fit = "at true size" if scale >= 1 else f"at {100 * scale:.0f} %"
    intro = Paragraph(
        t(
            f"The drawing is {size}. This page prints it on {paper}, on its side, {fit}. On smaller paper print the ",
            Link("section sheets", "schematic"),
            ": there the letters stay readable. ",
            Link("Parts and nets in words", "schematic", "words"),
            " are there too.",
        )
    )
    tall = height - MARGINS_MM[1]
    style = (
        f"@page wide{{size:{width:g}mm {height:g}mm;margin:9.5mm 7mm 9mm}}"
        f"@media print{{body.page-schematic-wide.sheets.sheets{{page:wide}}.page-schematic-wide.sheets .drawing{{height:{tall - 1:g}mm}}"
        f".page-schematic-wide.sheets .sheet svg{{max-height:{tall - 1:g}mm}}}}"
    )
    lead = f"Signal from left to right, the supply below. {paper}, on its side."
    title = "Schematic on one sheet"
    figure = Figure(wide.name, "The whole amp", wide.svg, wide.width_mm, wide.height_mm, note=_download(wide))
    return Page("schematic-wide", title, lead, (intro, figure), style=page_lighting((wide,)) + style)


def drawing_files(drawn: Schematic) -> dict[str, str]:
    """Path -> the drawing in plain colours, for any viewer."""
    return {_path(f): plain_svg(f.svg) + "\n" for f in drawn.figures}


def paper_for(figure: Drawn, region_paper: str) -> tuple[str, tuple[float, float], float]:
    """The smallest sheet on which a drawing stays readable: its name, its size in millimetres, and the drawing's scale there, at most 1."""
    found = "", (0.0, 0.0), 0.0
    for name, width, height in PAPERS[region_paper]:
        scale = min((width - MARGINS_MM[0]) / figure.width_mm, (height - MARGINS_MM[1]) / figure.height_mm, 1.0)
        found = name, (width, height), scale
        if scale >= READABLE:
            break
    return found


def led_to_drawing(page: Page, netlist: Netlist, drawn: Schematic) -> Page:
    """The page with links: a row about a part ("part-R5") or a net ("net-B1") leads to it in the schematic from where its name stands."""
    targets: dict[str, tuple[str, str]] = {}
    for part in netlist.parts:
        for _, anchor in drawn.part_anchors(part.ref)[:1]:
            targets[f"part-{part.ref}"] = part.ref, anchor
    for net in netlist.nets.values():
        for _, anchor in drawn.net_anchors(net.name)[:1]:
            targets[f"net-{net.name}"] = net.label or net.name, anchor
    blocks = tuple(
        replace(b, rows=tuple(_led(row, *targets[row.anchor]) if row.anchor in targets else row for row in b.rows))
        if isinstance(b, Table)
        else b
        for b in page.blocks
    )
    return replace(page, blocks=blocks)


def _led(row: Row, text: str, anchor: str) -> Row:
    for index, cell in enumerate(row.cells):
        if cell.text == (text,):
            linked = replace(cell, text=(Link(text, "schematic", anchor),))
            return replace(row, cells=(*row.cells[:index], linked, *row.cells[index + 1 :]))
    return row


def _download(figure: Drawn) -> tuple[Run, ...]:
    return t(File("This sheet as SVG", _path(figure)), f", {figure.width_mm:.0f} × {figure.height_mm:.0f} mm, ink on white.")


def _path(figure: Drawn) -> str:
    return f"drawings/{figure.name}.svg"


def _parts(netlist: Netlist, drawn: Schematic) -> Table:
    """Every part: value, job, what each terminal is on."""
    groups: dict[str, list[str]] = {}
    for figure in drawn.sections:
        for group in figure.groups:
            found = groups.setdefault(part_of(group), [])
            found += [group] if group not in found else []
    rows = []
    for part in netlist.parts:
        places = drawn.part_anchors(part.ref)
        nets = tuple(dict.fromkeys(pin.net for pin in part.pins if pin.net not in (GROUND, EARTH)))
        cells = (
            txt(Link(part.ref, "", places[0][1])),
            txt(", ".join(text for text, _ in value_rows(part))),
            txt(_terminals(netlist, part)),
            _sheets(places),
            txt(Link("kit", "kit", f"part-{part.ref}")),
        )
        rows.append(Row(cells, f"part-{part.ref}", parts=tuple(groups[part.ref]), nets=nets))
    columns = ("Part", "Value", "Terminals", "Sheet", "More")
    return Table("Parts", columns, tuple(rows), "Each terminal and the net it is on.", "parts")


def _terminals(netlist: Netlist, part: Part) -> str:
    """What each terminal is on: terminals of one net together."""
    pins: dict[str, list[str]] = {}
    for pin in part.pins:
        pins.setdefault(pin.net, []).append(pin.name)
    return "; ".join(f"{', '.join(names)}: {netlist.nets[net].label or net}" for net, names in pins.items())


def _nets(netlist: Netlist, results: Results, drawn: Schematic, known: Mapping[str, frozenset[str]]) -> Table:
    """Every net: nominal volts, the parts on it, where else it stands."""
    volts = results.nominal.volts
    rows = []
    for net in netlist.nets.values():
        places = drawn.net_anchors(net.name)
        refs = tuple(dict.fromkeys(part.ref for part, _ in netlist.on_net.get(net.name, ())))
        more = [Link("chart", "chart", f"net-{net.name}")] if f"net-{net.name}" in known["chart"] else []
        shown = num(words.chart_volts(volts[net.name]), keys.node("nominal", net.name)) if net.name in volts else num("–")
        cells = (
            txt(Link(net.label or net.name, "", places[0][1])),
            shown,
            txt("all over" if net.name == GROUND else ", ".join(refs)),
            _sheets(places),
            txt(*more),
        )
        rows.append(Row(cells, f"net-{net.name}", nets=(net.name,)))
    columns = ("Net", "Volts", "Parts on it", "Sheet", "More")
    return Table("Nets", columns, tuple(rows), "Direct volts to circuit ground, nominal mains, no signal.", "nets")


def _sheets(places: tuple[tuple[int, str], ...]) -> Cell:
    """Links to every sheet, by number."""
    runs: list[Run] = []
    for number, anchor in dict(places).items():
        runs += [", ", Link(str(number), "", anchor)]
    return txt(*runs[1:])

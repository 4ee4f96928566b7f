"""Load lines of a part of the amp: a plot for each tube section, sections that stand alike on one, and the same numbers as a table."""

from __future__ import annotations

from collections.abc import Sequence

from ..analysis.results import LoadLine, Results
from ..circuit.netlist import Netlist, Tube
from ..drawing.plots import Plot
from ..source.cache import Cached, uncached
from ..units import show_watts
from . import keys, words
from .model import Block, Cell, Figure, Gallery, Row, Table, num, txt


def load_line_plots(netlist: Netlist, results: Results, cached: Cached = uncached) -> tuple[Plot, ...]:
    """Every plot of the amp, in signal order. Names begin with the section's stage."""
    return cached("load-lines", (results.load_lines, netlist.sections, _types(netlist)), lambda: _plots(netlist, results), Plot)


def _plots(netlist: Netlist, results: Results) -> tuple[Plot, ...]:
    from ..analysis.loadlines import chart
    from ..drawing.loadline import load_line_plot

    types = _types(netlist)
    made = []
    for group in alike(netlist, results.load_lines):
        line = group[0]
        section = netlist.by_section[line.section]
        drawn = chart(section, line)
        if drawn is not None:
            made.append(load_line_plot(tuple(one.section for one in group), types[section.tube], line, drawn))
    return tuple(made)


def alike(netlist: Netlist, lines: Sequence[LoadLine]) -> list[list[LoadLine]]:
    """Lines of one stage and one type that show the same to five digits, together."""
    types = _types(netlist)
    groups: dict[tuple[str, ...], list[LoadLine]] = {}
    for line in lines:
        numbers = (line.plate_volts, line.plate_amps, line.grid_volts, line.dc_ohms, line.ac_ohms, line.zero_volts, line.cutoff_volts)
        key = (line.stage, types[netlist.by_section[line.section].tube], *(f"{value:.5g}" for value in numbers))
        groups.setdefault(key, []).append(line)
    return list(groups.values())


def load_line_blocks(caption: str, anchor: str, lines: Sequence[LoadLine], plots: Sequence[Plot]) -> list[Block]:
    """The plots of these sections side by side, then their numbers."""
    names = {line.section for line in lines}
    shown = [plot for plot in plots if names & set(plot.name.removeprefix("load-line-").split("-"))]
    if not lines:
        return []
    figures = tuple(Figure(p.name, p.title, p.svg, p.width_mm, p.height_mm) for p in shown)
    return [*((Gallery(caption, anchor, figures),) if figures else ()), _table(caption, anchor, lines)]


def _table(caption: str, anchor: str, lines: Sequence[LoadLine]) -> Table:
    rows = tuple(_row(line) for line in lines)
    note = "Volts from plate to cathode, nominal mains. Swing: along the signal line, from 0 V at the grid to cut-off"
    note += "; of a pair to where the other tube is at 0 V." if any(line.alone_ohms is not None for line in lines) else "."
    if any(line.alone_ohms is not None for line in lines):
        note += " Signal load of a pair: while both conduct; with the other cut off it is half of that."
    if any(line.screen_share == 1.0 for line in lines):
        note += " Where the screen is on the plate: current and limit of both together."
    if any(0.0 < line.screen_share < 1.0 for line in lines):
        note += " Where the screen is on a tap, it follows the plate."
    stages = [line.stage for line in lines]
    if any(line.alone_ohms is None and stages.count(line.stage) > 1 for line in lines):
        note += " Two halves on one tail are taken as moving together: where their currents differ, their 0 mA lie a little to either side of the supply."
    columns = (
        "Section",
        "Idle",
        "Plate current",
        "Grid",
        "Direct load",
        "meets 0 mA at",
        "Signal load",
        "at",
        "Swing from",
        "to",
        "Plate limit",
    )
    return Table(f"{caption}: the same in numbers", columns, rows, note, f"{anchor}-numbers")


def _row(line: LoadLine) -> Row:
    def cell(text: str, name: str) -> Cell:
        return num(text, keys.at("load_lines", line.section, name))

    return Row(
        (
            txt(line.section),
            cell(words.volts(line.plate_volts), "plate_volts"),
            cell(words.amps(line.plate_amps), "plate_amps"),
            cell(words.volts(line.grid_volts), "grid_volts"),
            cell(words.ohms(line.dc_ohms), "dc_ohms"),
            cell(words.volts(line.dc_cutoff_volts), "dc_cutoff_volts"),
            cell(words.ohms(line.ac_ohms), "ac_ohms"),
            cell(words.hertz(line.ac_hertz), "ac_hertz"),
            cell(words.volts(line.zero_volts), "zero_volts"),
            cell(words.volts(line.cutoff_volts), "cutoff_volts"),
            cell(show_watts(line.limit_watts), "limit_watts") if line.limit_watts is not None else num("–"),
        ),
        anchor=f"line-{line.section}",
    )


def _types(netlist: Netlist) -> dict[str, str]:
    return {tube.ref: tube.type.name for tube in netlist.of(Tube)}

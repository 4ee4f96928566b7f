"""The design notes: load lines, formulas with their numbers, budgets, and where the judgement stands. Part by part, as the signal goes."""

from __future__ import annotations

from collections.abc import Sequence

from ..analysis.results import Results
from ..circuit.netlist import Netlist
from ..drawing.plots import Plot
from ..rules.model import Findings
from ..source.cache import Cached, uncached
from . import words
from .budgets import (
    chain_facts,
    gains_table,
    heat_table,
    heaters_table,
    mains_facts,
    stress_table,
    supply_table,
    tremolo_blocks,
    windings_table,
)
from .formulas import formula_table
from .judgement import summary_blocks
from .load_lines import load_line_blocks, load_line_plots
from .model import Block, Heading, Page, Paragraph, t

PARTS = (("preamp", "Preamplifier"), ("inverter", "Phase inverter"), ("output", "Output stage"), ("tremolo", "Tremolo"))
"""Sections of stages with tubes in them, and their headings."""


def design_notes_page(netlist: Netlist, results: Results, findings: Findings, cached: Cached = uncached) -> Page:
    """The whole page."""
    plots = load_line_plots(netlist, results, cached)
    blocks: list[Block] = [_conditions(results)]
    for section, title in PARTS:
        blocks += _part(netlist, results, plots, section, title)
    blocks += [Heading("The whole chain", "chain"), gains_table(results), *chain_facts(results)]
    blocks += [Heading("Power supply", "supply"), supply_table(netlist, results), *_formulas(results, "supply", "Power supply")]
    blocks += [
        Heading("Power transformer and heat", "transformer"),
        windings_table(results),
        heaters_table(results),
        *_formulas(results, "transformer", "Windings and mains"),
        heat_table(netlist, results),
        mains_facts(results),
        Heading("Worst stress of each part", "stress"),
        stress_table(netlist, results),
        Heading("Rules", "rules"),
        *summary_blocks(findings),
    ]
    return Page(
        "design-notes", "Design notes", "How every value came to be, with the textbook's formula beside the solver's number.", tuple(blocks)
    )


def _conditions(results: Results) -> Paragraph:
    condition = results.nominal.condition
    controls = ", ".join(f"{name} {10 * position:g}" for name, position in condition.controls.items())
    return Paragraph(
        t(
            f"Nominal mains of {words.volts(condition.mains_volts)}, no signal, tremolo off; controls: {controls or 'none'}. "
            "Plate curves are those of the library's tube models, not of your tubes: expect 20 % from tube to tube (common practice). "
            "µ and rp are taken at the idle point. Solver: the whole amp in one set of equations, so nothing is left out of it that is in "
            "the netlist."
        )
    )


def _part(netlist: Netlist, results: Results, plots: Sequence[Plot], section: str, title: str) -> list[Block]:
    stages = {stage.id for stage in netlist.stages if stage.section == section}
    lines = [line for line in results.load_lines if line.stage in stages]
    formulas = _formulas(results, section, title)
    extra = tremolo_blocks(results) if section == "tremolo" else []
    if not (lines or formulas or extra):
        return []
    return [Heading(title, section), *load_line_blocks(f"{title}: load lines", f"{section}-lines", lines, plots), *formulas, *extra]


def _formulas(results: Results, group: str, title: str) -> list[Block]:
    rows = [row for row in results.worked if row.group == group]
    return [formula_table(f"{title}: formulas", rows, f"{group}-formulas")] if rows else []

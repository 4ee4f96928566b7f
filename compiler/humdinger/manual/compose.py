"""Composes the manual from what the passes made, then asserts what must hold of our own output."""

from __future__ import annotations

import json

from ..analysis.export_json import results_json
from ..analysis.results import Results
from ..circuit.netlist import Netlist
from ..drawing.schematic import Figure as Drawn
from ..drawing.schematic import schematic
from ..layout import Layout
from ..rules.model import Findings
from ..source.cache import Cached, uncached
from ..source.checksum import checksum as checksum_of
from ..source.load import Source
from ..spec.design import Design
from ..units import Quantity
from .also_needed import also_needed
from .chart import chart_page
from .cover import cover_page
from .invariants import assert_true
from .judgement import judgement_page
from .kit import kit_page
from .model import Block, Figure, Link, Manual, Page, Paragraph, t
from .numbers import numbers_page
from .safety import first_block, live_block, safety_page, stop_page
from .wiring import wiring_page


def compose(
    source: Source,
    design: Design,
    netlist: Netlist,
    results: Results,
    layout: Layout,
    findings: Findings,
    version: str,
    cached: Cached = uncached,
) -> Manual:
    """The manual. Raises AssertionError when an invariant of our own output breaks: that is a fault of the compiler.

    cached: what makes a drawing or a plot asks it first, with everything that goes into it.
    """
    checksum = checksum_of(source)
    model = design.spec.block("model")
    wait = design.spec.block("safety").block("warning_label").get("wait")
    label = wait.value if isinstance(wait, Quantity) else None
    pages = (
        cover_page(design, netlist, results, findings, checksum, version, first_block(netlist)),
        safety_page(netlist, results, label),
        kit_page(netlist, also_needed(design, netlist, layout)),
        schematic_page(design, netlist, results, cached),
        wiring_page(netlist, layout),
        chart_page(netlist, results, live_block(results, label)),
        numbers_page(netlist, results),
        judgement_page(netlist, findings),
        stop_page(netlist),
    )
    data = json.dumps(results_json(netlist, results, netlist.name, checksum), indent=1, sort_keys=True, ensure_ascii=False)
    manual = Manual(
        name=netlist.name,
        revision=str(model.get("revision") or ""),
        maker=str(design.shop.get("maker", "") or ""),
        region=netlist.region.code,
        paper=netlist.region.paper,
        checksum=checksum,
        version=version,
        pages=pages,
        files={"data/results.json": data + "\n"},
    )
    assert_true(manual, netlist, results, layout, findings)
    return manual


def schematic_page(design: Design, netlist: Netlist, results: Results, cached: Cached = uncached) -> Page:
    """One figure per section."""
    blocks: list[Block] = [
        Paragraph(
            t(
                "Volts are direct, to circuit ground, nominal mains, no signal: the nominal column of the ",
                Link("voltage chart", "chart"),
                ".",
            )
        )
    ]
    style = design.resistor_symbol
    for drawn in cached("schematic", (netlist, results, style), lambda: schematic(netlist, results, style), Drawn):
        blocks.append(Figure(drawn.name, drawn.title, drawn.svg, drawn.width_mm, drawn.height_mm))
    return Page("schematic", "Schematic", "Section by section, with pins, values, ratings and volts.", tuple(blocks))

"""Composes the manual from what the passes made, then asserts what must hold of our own output."""

from __future__ import annotations

import json

from ..analysis.export_json import results_json
from ..analysis.results import Results
from ..circuit.netlist import Netlist
from ..layout import Layout
from ..revision.model import Difference
from ..rules.model import Findings
from ..source.cache import Cached, uncached
from ..source.checksum import checksum as checksum_of
from ..source.load import Source
from ..spec.design import Design
from ..units import Quantity
from .before_power import before_power_page
from .bench_test import bench_test_page
from .boards import boards_page
from .changes import changes_page
from .changes_words import changes_json
from .chart import chart_page, charted_nets
from .consumables import also_blocks
from .cover import cover_page
from .design_notes import design_notes_page
from .first_power import first_power_page
from .invariants import assert_true, rows_of
from .judgement import judgement_page
from .kit import kit_page
from .labels import labels_page
from .model import Manual
from .operating import operating_page
from .safety import first_block, live_block, safety_page, waiting
from .schematic import draw, drawing_files, led_to_drawing, schematic_page, wide_page
from .service import record_page, service_page
from .sockets import sockets_page
from .stop import stop_page
from .wiring import wiring_page


def _changes_file(changes: Difference | None) -> dict[str, str]:
    if changes is None:
        return {}
    return {"data/changes.json": json.dumps(changes_json(changes, folders=False), indent=1, sort_keys=True, ensure_ascii=False) + "\n"}


def _with(source: Source) -> str:
    """What stands beside the revision on every page when the command line put something in the place of the spec's."""
    arguments = dict.fromkeys(one.argument for one in source.overrides)
    return f"with {' '.join(arguments)}" if arguments else ""


def compose(
    source: Source,
    design: Design,
    netlist: Netlist,
    results: Results,
    layout: Layout,
    findings: Findings,
    version: str,
    cached: Cached = uncached,
    changes: Difference | None = None,
) -> Manual:
    """The manual. Raises AssertionError when an invariant of our own output breaks: that is a fault of the compiler.

    cached: what makes a drawing or a plot asks it first, with everything that goes into it. changes: since an older spec, for a page.
    """
    checksum = checksum_of(source)
    model = design.spec.block("model")
    wait = design.spec.block("safety").block("warning_label").get("wait")
    label = wait.value if isinstance(wait, Quantity) else None
    charted = charted_nets(netlist, results)
    maker = str(design.shop.get("maker", "") or "")
    revision = f"{model.get('revision') or ''} {_with(source)}".strip()
    drawn = draw(netlist, results, design.resistor_symbol, cached, (maker, revision))
    live = live_block(results, label, netlist)
    made = (
        safety_page(design, netlist, results, label),
        changes_page(changes, netlist) if changes else None,
        kit_page(netlist, also_blocks(design, netlist, results, layout)),
        wide_page(netlist, drawn),
        boards_page(netlist, layout),
        wiring_page(netlist, layout, charted),
        sockets_page(netlist, layout, results, charted),
        before_power_page(netlist, results, layout),
        first_power_page(netlist, results, live, waiting(results, label), layout),
        chart_page(netlist, results, live, layout),
        bench_test_page(netlist, results, live),
        design_notes_page(netlist, results, findings, cached),
        judgement_page(netlist, findings),
        operating_page(design, netlist, results),
        labels_page(design, netlist, results, label),
        service_page(design, netlist, results, findings),
        record_page(design, netlist, results, checksum, version),
        stop_page(netlist),
    )
    pages = [page for page in made if page is not None]
    known = {page.name: frozenset(row.anchor for row in rows_of(page)) for page in pages}
    pages = [led_to_drawing(page, netlist, drawn) for page in pages]
    place = next(i for i, page in enumerate(pages) if page.name == "schematic-wide")
    pages.insert(place, schematic_page(netlist, results, drawn, known))
    pages.insert(0, cover_page(design, netlist, results, findings, checksum, version, first_block(netlist), pages, source.overrides))
    data = json.dumps(
        results_json(netlist, results, netlist.name, checksum, source.overrides), indent=1, sort_keys=True, ensure_ascii=False
    )
    manual = Manual(
        name=netlist.name,
        revision=revision,
        maker=maker,
        region=netlist.region.code,
        paper=netlist.region.paper,
        checksum=checksum,
        version=version,
        pages=tuple(pages),
        files={"data/results.json": data + "\n", **_changes_file(changes), **drawing_files(drawn)},
    )
    assert_true(manual, netlist, results, layout, findings)
    return manual

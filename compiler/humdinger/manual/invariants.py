"""What must hold of our own output. A breach is a fault of the compiler, never of the user.

DOC-001: every solved node of the schematic has a chart row and a probe point. DOC-003: every finding above info is printed or waived with a
reason. DOC-005: the kit list counts what the netlist counts, and every part has one seat. WIR-001: every net appears once as a tree of
terminals, links under boards and wires that joins all its leads. (DOC-004, the scale bar of the drilling page, begins with the page itself.)
"""

from __future__ import annotations

from ..analysis.results import Results
from ..circuit.netlist import Netlist
from ..diagnostics import Severity
from ..diagnostics.pages import CodePage
from ..layout import Layout
from ..rules.model import Findings
from .chart import charted_nets, probe_point
from .model import Manual, Page, Row, Table

_OURS = "A breach is a fault of the compiler, never of your spec: compile stops with exit code 3. Send us the spec."

PAGES = {
    page.code: page
    for page in (
        CodePage(
            "DOC-001", "chart-complete", "Every solved node of the schematic has a row in the voltage chart and a place to clip on.", _OURS
        ),
        CodePage("DOC-003", "findings-printed", "Every finding above info is printed in the manual, or waived with a reason.", _OURS),
        CodePage(
            "DOC-005", "parts-counted", "The kit list counts what the netlist counts, part by part, and every part has one seat.", _OURS
        ),
        CodePage(
            "WIR-001",
            "nets-wired",
            "Every net is joined exactly once, by terminals, links under boards and wires, as a tree over all its leads.",
            _OURS,
        ),
    )
}
"""The invariants as `explain` shows them."""


def assert_true(manual: Manual, netlist: Netlist, results: Results, layout: Layout, findings: Findings) -> None:
    """Raises AssertionError naming what is missing where."""
    pages = {page.name: page for page in manual.pages}
    _charted(pages["chart"], netlist, results)
    _counted(pages["kit"], netlist)
    _wired(netlist, layout)
    _seated(netlist, layout)
    _printed(pages["judgement"], findings)


def rows_of(page: Page) -> tuple[Row, ...]:
    """All table rows of a page."""
    return tuple(row for block in page.blocks if isinstance(block, Table) for row in block.rows)


def _charted(page: Page, netlist: Netlist, results: Results) -> None:
    anchors = {row.anchor for row in rows_of(page)}
    for net in charted_nets(netlist, results):
        assert f"net-{net}" in anchors, f"DOC-001: node {net} has no chart row"
        assert probe_point(netlist, net), f"DOC-001: node {net} has no probe point"


def _counted(page: Page, netlist: Netlist) -> None:
    listed = sorted(row.anchor.removeprefix("part-") for row in rows_of(page) if row.anchor.startswith("part-"))
    assert listed == sorted(part.ref for part in netlist.parts), "DOC-005: the kit list and the netlist differ"


def _wired(netlist: Netlist, layout: Layout) -> None:
    for net, rows in netlist.on_net.items():
        terminals = {layout.joint(part.ref, pin) for part, pin in rows}
        terminals |= {turret.terminal for board in layout.boards for turret in board.turrets if turret.net == net}
        left = [(edge.start, edge.end) for edge in (*layout.links_of(net), *layout.wires_of(net))]
        assert len(left) == len(terminals) - 1, f"WIR-001: net {net} is not a tree: {len(left)} hops for {len(terminals)} terminals"
        reached = {next(iter(terminals))}
        while left:
            joined = [hop for hop in left if hop[0] in reached or hop[1] in reached]
            assert joined, f"WIR-001: net {net} falls apart"
            reached.update(*joined)
            left = [hop for hop in left if hop not in joined]
        assert reached == terminals, f"WIR-001: net {net} leaves terminals out"


def _seated(netlist: Netlist, layout: Layout) -> None:
    seats = sorted(seat.ref for seat in layout.seats)
    assert seats == sorted(part.ref for part in netlist.parts), "DOC-005: the seats and the netlist differ"
    mounted = sorted(mount.ref for board in layout.boards for mount in board.mounts)
    assert mounted == sorted(seat.ref for seat in layout.seats if seat.kind == "board"), "DOC-005: the boards and the seats differ"


def _printed(page: Page, findings: Findings) -> None:
    anchors = {row.anchor for row in rows_of(page)}
    for judged in findings.judged:
        if judged.outcome.state == "fail" and judged.outcome.severity is not Severity.INFO:
            assert f"{judged.rule.code}-{judged.outcome.element}" in anchors, f"DOC-003: {judged.rule.code} is not printed"
            assert judged.waiver is None or judged.waiver.reason, f"DOC-003: {judged.rule.code} is waived without a reason"

"""What must hold of our own output. A breach is a fault of the compiler, never of the user.

DOC-001: every solved node of the schematic has a chart row and a probe point. DOC-003: every finding above info is printed or waived with a
reason. DOC-005: the kit list counts what the netlist counts, and every part has one seat. DOC-007: no row of a live page asks for a probe where
none may go. WIR-001: every net appears once as a tree of
terminals, links under boards and wires that joins all its leads. (DOC-004, the scale bar of the drilling page, begins with the page itself.)
"""

from __future__ import annotations

from ..analysis.results import Results
from ..circuit.netlist import Netlist, PowerTransformer
from ..diagnostics import Severity
from ..diagnostics.pages import CodePage
from ..layout import Layout
from ..rules.model import Findings
from .chart import charted_nets
from .model import Cell, Manual, Page, Row, Table
from .probes import refusals
from .terminals import Where, terminal_text

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
            "DOC-007",
            "nothing-forbidden-probed",
            "No row of a live page asks for a reading on the mains side, on a high-tension winding end to end, on the plate of an output tube in "
            "its socket, or on a control grid that the meter moves.",
            _OURS,
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


PREFIXES = {
    "net-": "nominal", "mains-": "nominal", "no-tubes-": "no-tubes", "small-tubes-": "small-tubes", "first-no-tubes-": "no-tubes",
    "first-small-tubes-": "small-tubes",
}  # fmt: skip
"""Anchor of a row that asks for a node -> the state of the tubes it asks in."""


def assert_true(manual: Manual, netlist: Netlist, results: Results, layout: Layout, findings: Findings) -> None:
    """Raises AssertionError naming what is missing where."""
    pages = {page.name: page for page in manual.pages}
    _charted(pages["chart"], netlist, results)
    for page in manual.pages:
        if page.live:
            _harmless(page, netlist, results, layout)
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
        assert Where(netlist).probe(net), f"DOC-001: node {net} has no probe point"


def _harmless(page: Page, netlist: Netlist, results: Results, layout: Layout) -> None:
    """Rows with a blank to fill in: their node by the anchor, their words by the ends of the high-tension windings and the mains parts."""
    refused = {state: refusals(netlist, results, state) for state in ("no-tubes", "small-tubes", "nominal")}
    forbidden = _winding_ends(netlist)
    mains = {
        Where(netlist, layout).at(part.ref, pin)
        for net, rows in netlist.on_net.items()
        if net in netlist.nets and netlist.nets[net].domain == "mains"
        for part, pin in rows
    }
    for row in rows_of(page):
        if not any(cell.kind == "blank" for cell in row.cells):
            continue
        said = [_said(cell).replace("\u00a0", " ") for cell in row.cells]
        for state, net in _asked(row.anchor):
            assert net not in refused[state], f"DOC-007: {page.name} asks to probe {net} in state {state}"
        for text in said:
            assert not any(end in text and other in text for end, other in forbidden), (
                f"DOC-007: {page.name} asks for HT end to end: {text}"
            )
            assert text not in mains, f"DOC-007: {page.name} asks to probe the mains side: {text}"


def _asked(anchor: str) -> tuple[tuple[str, str], ...]:
    """The node a row of a chart asks for, and the state of the tubes; none for other rows."""
    for prefix, state in PREFIXES.items():
        if anchor.startswith(prefix):
            return ((state, anchor.removeprefix(prefix)),)
    return ()


def _winding_ends(netlist: Netlist) -> list[tuple[str, str]]:
    """The two ends of every high-tension winding, in the words of the pages."""
    return [
        (terminal_text(x.ref, w.pins[0], netlist), terminal_text(x.ref, w.pins[2], netlist))
        for x in netlist.of(PowerTransformer)
        for w in x.windings
        if w.kind == "high-tension"
    ]


def _said(cell: Cell) -> str:
    return "".join(run if isinstance(run, str) else run.text for run in cell.text)


def _counted(page: Page, netlist: Netlist) -> None:
    listed = sorted(row.anchor.removeprefix("part-") for row in rows_of(page) if row.anchor.startswith("part-"))
    assert listed == sorted(part.ref for part in netlist.parts), "DOC-005: the kit list and the netlist differ"


def _wired(netlist: Netlist, layout: Layout) -> None:
    for net, rows in netlist.on_net.items():
        terminals = {layout.joint(part.ref, pin) for part, pin in rows}
        terminals |= {turret.terminal for board in layout.boards for turret in board.turrets if turret.net == net}
        terminals |= {lug for strip in layout.strips for lug, other in zip(strip.lugs, strip.nets, strict=True) if other == net}
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

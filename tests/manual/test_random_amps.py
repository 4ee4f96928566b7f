"""Random legal amps over all stage kinds: solved, or refused in one diagnostic; drawn, laid and listed without a fault. Seeds are fixed.

30 without --deep: an amp costs two seconds of processor time, and the cheaper checks have random amps of their own. Lint does not
depend on the style of resistors, which have one size in both; both are drawn so that no symbol is missing.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable

from humdinger.analysis.export_json import results_json
from humdinger.circuit.elaborate import SECTION_KINDS, SIGNAL_KINDS
from humdinger.circuit.netlist import Netlist
from humdinger.compile import Compiled, judged, placed
from humdinger.diagnostics import Severity
from humdinger.drawing.lint import lint
from humdinger.drawing.readback import read_back
from humdinger.drawing.render import render
from humdinger.drawing.schematic import sheets
from humdinger.manual import compose
from humdinger.manual.invariants import rows_of
from humdinger.manual.kit import kit_page
from humdinger.manual.model import Manual
from support.boarding import faults
from support.front import PATH, world
from support.random_amps import random_amp

CASES = 300


def refusals(made: Compiled) -> list[str]:
    """What says why there are no results."""
    return [f"{d.code}: {d.message}" for d in made.diagnostics if d.severity in (Severity.ERROR, Severity.DANGER)]


BY_CHANCE = {"interstage-transformer", "paraphase", "floating-paraphase", "optical-cell", "optical-injection"}
"""Kinds that the generator draws by chance or does not know yet; tests/drawing and tests/circuit have whole amps of each."""


def test_random_amps_of_every_kind(deep_count: Callable[[int], int]) -> None:
    cases, seen, refused = deep_count(CASES), set[str](), 0
    for number in range(cases):
        text = random_amp(number)
        made = judged(world(text), PATH, propose=False, bench=True)
        if made.netlist is None or made.results is None:
            assert len(refusals(made)) == 1, f"amp {number}: {refusals(made)}\n{text}"
            refused += 1
            continue
        seen |= {stage.kind for stage in made.netlist.stages}
        found = [*drawing_faults(made), *wiring_faults(made)]
        assert found == [], f"amp {number}\n{text}"
    assert refused <= cases / 20
    unknown = {*SIGNAL_KINDS, *SECTION_KINDS} - seen
    assert unknown <= BY_CHANCE, "tests/support/random_amps.py says where a new kind joins in one line"


def drawing_faults(made: Compiled) -> list[object]:
    """What lint and the reading back find, with the volts that were solved; the picture of each sheet is made in both styles."""
    assert made.netlist is not None
    assert made.results is not None
    sections, wide = sheets(made.netlist, made.results.nominal.volts)
    every = (*sections, wide)
    found: list[object] = [(sheet.name, fault) for sheet in every for fault in lint(sheet)]
    for style in ("zigzag", "box"):
        found += [f"{sheet.name} is empty" for sheet in every if "<path" not in render(sheet, id="x", style=style, names={})]
    return [*found, *read_back(made.netlist, sections), *read_back(made.netlist, (wide,))]


def wiring_faults(made: Compiled) -> list[object]:
    """What layout, wiring page and kit list say otherwise than the netlist; the manual's own invariants have held before."""
    made = placed(made)
    netlist, layout = made.netlist, made.layout
    assert netlist is not None
    assert layout is not None
    manual = manual_of(made)
    rows = {row.anchor for page in manual.pages if page.name == "wiring" for row in rows_of(page)}
    found: list[object] = [*faults(netlist, layout)]
    found += [f"no row for wire {w.number}" for w in layout.wires if f"wire-{w.number}" not in rows]
    found += [
        f"a row for {row}, which is no wire" for row in rows if row.startswith("wire-") and row[5:].isdigit() and not has(layout.wires, row)
    ]
    return found + kit_faults(netlist)


def has(wires: tuple[object, ...], row: str) -> bool:
    """Whether a row's anchor is of a wire."""
    return any(f"wire-{getattr(wire, 'number', 0)}" == row for wire in wires)


def kit_faults(netlist: Netlist) -> list[object]:
    """Parts that the kit list has not once."""
    listed = Counter(row.anchor.removeprefix("part-") for row in rows_of(kit_page(netlist)) if row.anchor.startswith("part-"))
    parts = Counter(part.ref for part in netlist.parts)
    return [*(f"{ref} is not in the kit" for ref in parts - listed), *(f"{ref} is too much in the kit" for ref in listed - parts)]


def manual_of(made: Compiled) -> Manual:
    """The manual as data, whatever is found of the amp. AssertionError when an invariant of it breaks."""
    passes = (made.source, made.design, made.netlist, made.results, made.layout, made.findings)
    assert None not in passes
    assert made.netlist is not None
    assert made.results is not None
    assert results_json(made.netlist, made.results, "x", "x")
    return compose(*passes, "0")  # type: ignore[arg-type]

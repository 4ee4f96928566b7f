"""Core of a single-ended output transformer.

What it checks
    That the transformer of a single-ended stage has a gapped core, rated for the direct current of the tube.

Why it matters
    The tube's direct current magnetises the core one way. Without a gap, or above its rating, the core saturates: no bass, no power.

How it is computed
    Plate current of all tubes at idle, the highest of the mains corners, against the current the gap is made for. A screen on the primary
    counts by its share of the turns: whole in triode connection.

Limits and sources
    A push-pull transformer in a single-ended stage, or a current above the rating of the gap: error (handbook, from memory).

Example (bad)
    over: dunlin
    output/transformer/gap_current: 30 mA

Example (good)
    over: dunlin
    output/transformer/gap_current: 60 mA

When to waive it
    For a transformer whose inductance was measured with this current through it.
"""

from __future__ import annotations

from collections.abc import Iterator

from ...analysis.screening import core_amps
from ...circuit.netlist import OutputTransformer
from ...diagnostics import Severity
from ...units import show_amps
from ..model import Case, Outcome, failed, not_evaluated, passed

NAME = "single-ended-core"
CORNERS = ("nominal", "high", "low")


def check(case: Case) -> Iterator[Outcome]:
    """One outcome per single-ended output transformer."""
    part = next(case.netlist.of(OutputTransformer), None)
    if part is None or case.stage("single-ended-output") is None or not case.netlist.power_sections:
        return
    helps = ("a single-ended transformer with a gap for this current",)
    if part.topology != "single-ended":
        message = f"{part.ref} is a {part.topology} transformer: its core has no gap for the direct current of a single tube"
        yield failed(Severity.ERROR, part.ref, case.at("output/transformer/type"), message, label="no gap", helps=helps)
        return
    ref = " and ".join(case.netlist.power_sections)
    amps = {name: core_amps(case.netlist, case.results.operating[name]) for name in CORNERS}
    condition = max(amps, key=lambda name: amps[name])
    draws = "draws" if len(case.netlist.power_sections) == 1 else "draw"
    drawn, span = amps[condition], case.at("output/transformer/gap_current")
    if part.gap_amps is None:
        yield not_evaluated(part.ref, span, f"the spec does not give the current of the gap; {ref} {draws} {show_amps(drawn)}")
        return
    equation = f"{show_amps(drawn)} through the primary against {show_amps(part.gap_amps)}"
    shared = {"value": drawn, "limit": part.gap_amps, "unit": "A", "condition": condition, "equation": equation}
    said = f"{ref} {draws} {show_amps(drawn)} through {part.ref}"
    if drawn <= part.gap_amps:
        yield passed(part.ref, span, said, **shared)
    else:
        message = f"{said}, whose gap is made for {show_amps(part.gap_amps)}"
        yield failed(Severity.ERROR, part.ref, span, message, label=f"made for {show_amps(part.gap_amps)}", helps=helps, **shared)

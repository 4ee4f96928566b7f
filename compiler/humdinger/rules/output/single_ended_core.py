"""Core of a single-ended transformer.

What it checks
    That the transformer of a single-ended stage, and one between stages, has a gapped core, rated for the direct current of the tube.

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

from collections.abc import Iterator, Mapping, Sequence

from ...analysis.screening import core_amps
from ...circuit.netlist import InterstageTransformer, OutputTransformer
from ...diagnostics import Severity, Span
from ...units import show_amps
from ..model import Case, Outcome, failed, not_evaluated, passed

NAME = "single-ended-core"
CORNERS = ("nominal", "high", "low")


def check(case: Case) -> Iterator[Outcome]:
    """One outcome per single-ended output transformer, one per interstage transformer."""
    yield from _output(case)
    for part in case.netlist.of(InterstageTransformer):
        refs = [s.ref for s in case.netlist.sections if s.stage == part.stage and not s.unused]
        amps = {name: sum(case.results.operating[name].sections[ref].plate_amps for ref in refs) for name in CORNERS}
        yield _gap(part, _span(case, part), refs, amps, "an interstage transformer with a gap for this current")


def _output(case: Case) -> Iterator[Outcome]:
    part = next(case.netlist.of(OutputTransformer), None)
    if part is None or case.stage("single-ended-output") is None or not case.netlist.power_sections:
        return
    cure = "a single-ended transformer with a gap for this current"
    if part.topology != "single-ended":
        message = f"{part.ref} is a {part.topology} transformer: its core has no gap for the direct current of a single tube"
        yield failed(Severity.ERROR, part.ref, case.at("output/transformer/type"), message, label="no gap", helps=(cure,))
        return
    amps = {name: core_amps(case.netlist, case.results.operating[name]) for name in CORNERS}
    yield _gap(part, case.at("output/transformer/gap_current"), case.netlist.power_sections, amps, cure)


def _gap(part: OutputTransformer | InterstageTransformer, span: Span, refs: Sequence[str], amps: Mapping[str, float], cure: str) -> Outcome:
    """amps: through the primary, in each corner of the mains."""
    condition = max(amps, key=lambda name: amps[name])
    drawn, draws = amps[condition], "draws" if len(refs) == 1 else "draw"
    ref = " and ".join(refs)
    if part.gap_amps is None:
        return not_evaluated(part.ref, span, f"the spec does not give the current of the gap; {ref} {draws} {show_amps(drawn)}")
    equation = f"{show_amps(drawn)} through the primary against {show_amps(part.gap_amps)}"
    shared = {"value": drawn, "limit": part.gap_amps, "unit": "A", "condition": condition, "equation": equation}
    said = f"{ref} {draws} {show_amps(drawn)} through {part.ref}"
    if drawn <= part.gap_amps:
        return passed(part.ref, span, said, **shared)
    message = f"{said}, whose gap is made for {show_amps(part.gap_amps)}"
    return failed(Severity.ERROR, part.ref, span, message, label=f"made for {show_amps(part.gap_amps)}", helps=(cure,), **shared)


def _span(case: Case, part: InterstageTransformer) -> Span:
    """Of its gap current, of the transformer where that is not written."""
    block = next((b.block("transformer") for b in case.spec.blocks("signal") if b.get("id") == part.stage), None)
    return block.span_of("gap_current") if block is not None and "gap_current" in block else part.span

"""Insulation of the output transformer.

What it checks
    What the insulation between primary and secondary was tested at, against the peaks at the plates.

Why it matters
    A plate swings to twice its B+ on every loud note. When the insulation breaks, B+ is on the speaker leads.

How it is computed
    Twice the cold B+ at the plates' node, no tube conducting, mains at the insulation corner.

Limits and sources
    Tested below twice the B+: error, every loud note exceeds the test (common practice). No test voltage given: not evaluated, a warning
    in an amp that is sold.

Example (bad)
    over: dunlin
    output/transformer/insulation: 500 V

Example (good)
    over: dunlin
    output/transformer/insulation: 2 kV

When to waive it
    For a transformer that stood a test at that voltage on the bench.
"""

from __future__ import annotations

from collections.abc import Iterator

from ...circuit.netlist import InterstageTransformer, OutputTransformer
from ...diagnostics import Severity
from ...units import show_volts
from ..model import Case, Outcome, failed, passed, undeclared
from ..rectifying import COLD

NAME = "output-transformer-insulation"
SWING = 2.0


def check(case: Case) -> Iterator[Outcome]:
    """One outcome for the output transformer, one for each transformer between stages."""
    for part in (*case.netlist.of(OutputTransformer), *case.netlist.of(InterstageTransformer)):
        yield _judge(case, part)


def _judge(case: Case, part: OutputTransformer | InterstageTransformer) -> Outcome:
    volts = case.results.operating[COLD].volts
    cold = max((volts.get(pin.net, 0.0) for pin in part.pins), default=0.0)
    peak = SWING * cold
    span = case.at("output/transformer/insulation") if isinstance(part, OutputTransformer) else part.span
    plates = "the plates reach" if isinstance(part, OutputTransformer) else "the plate reaches"
    if part.insulation_volts is None:
        return undeclared(case, part.ref, span, f"the spec does not give a test voltage; {plates} {show_volts(peak)}")
    equation = f"{SWING:g} x {show_volts(cold)} = {show_volts(peak)} against {show_volts(part.insulation_volts)}"
    shared = {"value": part.insulation_volts, "limit": peak, "unit": "V", "condition": COLD, "equation": equation}
    said = f"{part.ref} was tested at {show_volts(part.insulation_volts)}"
    if part.insulation_volts >= peak:
        return passed(part.ref, span, said, **shared)
    message = f"{said}, {plates.replace('the', 'its', 1)} {show_volts(peak)}"
    return failed(Severity.ERROR, part.ref, span, message, label=f"reaches {show_volts(peak)}", helps=("a better part",), **shared)

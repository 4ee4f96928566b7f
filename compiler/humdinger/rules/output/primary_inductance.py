"""Primary inductance.

What it checks
    The inductance of the output transformer's primary against what the lowest note of a guitar needs.

Why it matters
    With too little of it the load of the tubes collapses at low notes: the bass is thin, and loud low notes distort early.

How it is computed
    R/(2 pi f), R the load parallel to the plate resistance of the tubes at idle, f 82 Hz, the low E of a guitar.

Limits and sources
    Less than that, which is 3 dB down at 82 Hz: warning (computed; the formula as quoted by a transformer maker's paper).

Example (bad)
    over: dunlin
    output/transformer/primary_inductance: 5 H

Example (good)
    over: dunlin
    output/transformer/primary_inductance: 12 H

When to waive it
    In an amp that is meant to be thin below a corner stated in the reason.
"""

from __future__ import annotations

from collections.abc import Iterator

from ...circuit.netlist import OutputTransformer
from ...diagnostics import Severity
from ...units import show_henries, show_ohms
from ..model import Case, Outcome, failed, not_evaluated, passed

NAME = "primary-inductance"


def check(case: Case) -> Iterator[Outcome]:
    """One outcome for the output transformer."""
    load = case.results.load
    part = next(case.netlist.of(OutputTransformer), None)
    if load is None or part is None or load.least_henries is None:
        return
    span, least = case.at("output/transformer/primary_inductance"), load.least_henries
    if part.henries is None:
        message = f"the spec does not give the primary inductance; {show_henries(least)} are needed for 82 Hz"
        yield not_evaluated(part.ref, span, message)
        return
    equation = f"({show_ohms(load.load_ohms)} parallel {show_ohms(load.plate_ohms)}) / (2 pi 82 Hz) = {show_henries(least)}"
    shared = {"value": part.henries, "limit": least, "unit": "H", "condition": "nominal", "equation": equation}
    said = f"{part.ref} has a primary of {show_henries(part.henries)}"
    if part.henries >= least:
        yield passed(part.ref, span, said, **shared)
    else:
        message = f"{said}, {show_henries(least)} are needed for 82 Hz"
        helps = ("a transformer of more inductance",)
        yield failed(Severity.WARNING, part.ref, span, message, label=f"wanted {show_henries(least)}", helps=helps, **shared)

"""Inlet rating.

What it checks
    That the mains inlet is rated for the volts of the mains and for the current that the mains fuse lets through.

Why it matters
    The fuse stands behind the inlet: nothing else keeps the current through its contacts within bounds.

How it is computed
    Read off the spec: `supply/mains/inlet/rating` against the nominal mains of the region and the rating of the mains fuse.

Limits and sources
    Volts below the nominal mains, or amps below the fuse: error (parts of 125 and 250 V are made for mains of 120 and 230 V with their
    tolerance: common practice). No rating given: not evaluated, a warning in an amp that is sold.

Example (bad)
    over: curlew
    supply/mains/inlet: {kind: iec-c14, rating: 250 V 0.1 A}

Example (good)
    over: curlew
    supply/mains/inlet: {kind: iec-c14, rating: 250 V 10 A}

When to waive it
    Not: take the right inlet.
"""

from __future__ import annotations

from collections.abc import Iterator

from ...circuit.netlist import Fuse, Inlet
from ...diagnostics import Severity
from ...units import show_amps, show_volts
from ..model import Case, Outcome, failed, passed, undeclared

NAME = "inlet-rating"


def check(case: Case) -> Iterator[Outcome]:
    """Two outcomes per inlet: volts and amps; one when it has no rating."""
    mains = float(case.netlist.region.nominal_volts)
    fused = max((fuse.amps for fuse in case.netlist.of(Fuse) if fuse.where == "mains"), default=0.0)
    for inlet in case.netlist.of(Inlet):
        span = case.at("supply/mains/inlet/rating")
        if inlet.volts is None or inlet.amps is None:
            yield undeclared(case, inlet.ref, inlet.span, "the spec does not give the inlet's rating (supply/mains/inlet/rating)")
            continue
        rows = (
            ("volts", inlet.volts, mains, "V", f"the mains has {show_volts(mains)}", show_volts),
            ("amps", inlet.amps, fused, "A", f"the mains fuse lets {show_amps(fused)} through", show_amps),
        )
        for word, rated, least, unit, why, show in rows:
            element = f"{inlet.ref} {word}"
            shared = {"value": rated, "limit": least, "unit": unit, "equation": f"{show(rated)} against {show(least)}"}
            said = f"the inlet {inlet.ref} is rated {show(rated)}"
            if rated >= least:
                yield passed(element, span, said, **shared)
            else:
                helps = ("an inlet of 250 V and 10 A, as most are",)
                yield failed(Severity.ERROR, element, span, f"{said}, {why}", label=show(rated), helps=helps, **shared)

"""Heater-cathode volts.

What it checks
    Volts between heater and cathode of every tube, each sign for itself, cold start included.

Why it matters
    The insulation between heater and cathode is a thin coat of oxide at red heat; past its limit it leaks, hums and breaks down.

How it is computed
    Heater net minus cathode net in each state, plus the signal peak where a cathode carries signal, and cathodes at 0 V with the
    elevation already up.

Limits and sources
    Each sign has its own limit in the tube library (handbook, from memory, where it says so); the direct part with the heater positive
    has one too. Above: error. Also known as HTR-007 and PIN-004.

Example (bad)
    over: heron
    supply/heater_reference/divider: {upper: 470k 2W, lower: 220k, bypass: 22u 200V, from: B2}

Example (good)
    over: heron

When to waive it
    Not: elevate the heaters, or give the tube a winding of its own.
"""

from __future__ import annotations

from collections.abc import Iterator

from ...diagnostics import Severity
from ...parts.model import Cited
from ...units import show_volts
from ..model import Case, Outcome, failed, not_evaluated, passed

NAME = "heater-cathode-volts"


def check(case: Case) -> Iterator[Outcome]:
    """One outcome per section and sign that occurs."""
    for found in case.results.heater_cathodes:
        section = case.netlist.by_section.get(found.section)
        rating = section.section.rating() if section else None
        if section is None or section.unused:
            continue
        yield from _sign(
            case, found.section, "cathode", found.cathode_positive_volts, rating.heater_cathode_positive_volts if rating else None
        )
        yield from _sign(case, found.section, "heater", found.heater_positive_volts, rating.heater_positive_volts if rating else None)


def _sign(case: Case, ref: str, positive: str, volts: float, limit: Cited | None) -> Iterator[Outcome]:
    element = f"{ref} {positive} positive"
    span = case.span(ref)
    if volts <= 0.0:
        return
    if limit is None:
        yield not_evaluated(element, span, f"the library has no heater-cathode limit with the {positive} positive")
        return
    equation = f"{show_volts(volts)} against {show_volts(float(limit))}, {positive} positive"
    shared = {"value": volts, "limit": float(limit), "unit": "V", "condition": "worst of all", "equation": equation}
    said = f"{ref} has {show_volts(volts)} between heater and cathode, {positive} positive"
    if volts <= float(limit):
        yield passed(element, span, said, **shared)
    else:
        cure = "elevate the heaters" if positive == "cathode" else "a lower elevation"
        yield failed(
            Severity.ERROR,
            element,
            span,
            f"{said}, its limit is {show_volts(float(limit))}",
            label=f"limit {show_volts(float(limit))}",
            helps=(f"{cure}, or a winding of its own",),
            **shared,
        )

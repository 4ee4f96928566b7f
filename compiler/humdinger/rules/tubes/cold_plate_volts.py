"""Plate and screen volts when cold.

What it checks
    Volts on plates and screens before the tubes conduct, against the cut-off ratings.

Why it matters
    With a rectifier that is ready at once the whole cold B+ stands on every electrode for the warm-up of the tubes, every time.

How it is computed
    The plate and screen nets in the state without tubes, mains at the insulation corner.

Limits and sources
    Above the cut-off rating: error. Where the library has none: warning above twice the running limit (common practice), never silent.

Example (bad)
    over: curlew
    supply/transformer/high_tension: {volts: 220-0-220 V, current: 180 mA, basis: rms, resistance: [900, 905], no_load: 380 V}
    supply/filter/0/capacitor: 47u 650V
    supply/filter/1/capacitor: 47u 650V
    supply/filter/2/capacitor: 47u 650V
    supply/filter/3/capacitor: 47u 650V
    supply/filter/0/bleeder: 120k 10W flameproof

Example (good)
    over: curlew

When to waive it
    The warning, where a data sheet gives a cut-off rating that the library lacks.
"""

from __future__ import annotations

from collections.abc import Iterator

from ...diagnostics import Severity
from ...parts.model import Cited
from ...units import show_volts
from ..model import Case, Outcome, failed, not_evaluated, passed

NAME = "cold-plate-volts"

STATE = "no-tubes-high"


def check(case: Case) -> Iterator[Outcome]:
    """One outcome per plate and per screen."""
    volts = case.results.operating[STATE].volts
    for section in case.netlist.sections:
        rating = section.section.rating()
        if section.unused or rating is None:
            continue
        yield from _electrode(case, section.ref, "plate", volts.get(section.plate), rating.plate_cutoff_volts, rating.plate_volts)
        if section.screen:
            yield from _electrode(case, section.ref, "screen", volts.get(section.screen), rating.screen_cutoff_volts, rating.screen_volts)


def _electrode(case: Case, ref: str, electrode: str, found: float | None, cutoff: Cited | None, running: Cited | None) -> Iterator[Outcome]:
    element = f"{ref} {electrode}"
    span = case.span(ref)
    if found is None:
        return
    if cutoff is None and running is None:
        yield not_evaluated(element, span, f"the library has no {electrode} volts for the type")
        return
    limit = float(cutoff) if cutoff else 2.0 * float(running or 0.0)
    basis = "cut-off rating" if cutoff else "twice the running limit"
    equation = f"{show_volts(found)} cold against {show_volts(limit)}, {basis}"
    shared = {"value": found, "limit": limit, "unit": "V", "condition": STATE, "equation": equation}
    said = f"the {electrode} of {ref} has {show_volts(found)} before the tubes conduct"
    if found <= limit:
        yield passed(element, span, said, **shared)
    else:
        severity = Severity.ERROR if cutoff else Severity.WARNING
        cure = ("a rectifier that warms up with the tubes, a bleeder, or less high tension",)
        yield failed(severity, element, span, f"{said}, {basis} {show_volts(limit)}", helps=cure, **shared)

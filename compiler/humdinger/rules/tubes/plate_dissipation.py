"""Plate dissipation at idle.

What it checks
    The watts each plate dissipates without signal, against its rating.

Why it matters
    A plate over its rating glows, gasses the tube and drags its bias along; it is the first thing to watch on a new amp.

How it is computed
    (plate volts to cathode) x (plate current) of the solved operating point.

Limits and sources
    Design-centre data at nominal mains: up to 100 % pass, to 107 % warning, above error. Design-maximum data at high mains: above 100 %
    error. In fixed bias above 90 % is a warning. Limits: tube library with sources; bands: common practice.

Example (bad)
    over: dunlin
    bias/resistor: 180 5W wirewound
    supply/mains/fuse: T 500mA H 250V

Example (good)
    over: dunlin

When to waive it
    The warning, where the maker's own published condition runs the tube at that figure.
"""

from __future__ import annotations

from collections.abc import Iterator

from ...diagnostics import Severity
from ...units import show_amps, show_volts, show_watts
from ..model import Case, Outcome, failed, not_evaluated, passed
from ..ratings import rated

NAME = "plate-dissipation"

WARNING_PERCENT = 107.0
FIXED_BIAS_PERCENT = 90.0


def check(case: Case) -> Iterator[Outcome]:
    """One outcome per tube section with a rating."""
    for section, rating, point, condition in rated(case):
        span = case.span(section.ref)
        if rating.plate_watts is None:
            yield not_evaluated(section.ref, span, "the library has no plate dissipation for the type")
            continue
        limit = float(rating.plate_watts)
        percent = 100.0 * point.plate_watts / limit
        equation = f"{show_volts(point.plate_volts)} x {show_amps(point.plate_amps)} = {show_watts(point.plate_watts)}, {percent:.0f} %"
        shared = {"value": point.plate_watts, "limit": limit, "unit": "W", "condition": condition, "equation": equation}
        said = f"{section.ref} dissipates {show_watts(point.plate_watts)} at idle, {percent:.0f} % of its {show_watts(limit)}"
        severity = _severity(case, section.ref, rating.system, percent)
        if severity is None:
            yield passed(section.ref, span, said, **shared)
        else:
            yield failed(
                severity,
                section.ref,
                span,
                said,
                label=f"rated {show_watts(limit)}, {rating.system}",
                helps=("a colder bias, or less B+",),
                **shared,
            )


def _severity(case: Case, ref: str, system: str, percent: float) -> Severity | None:
    if system != "design-centre":
        return Severity.ERROR if percent > 100.0 else None
    if percent > WARNING_PERCENT:
        return Severity.ERROR
    hot = FIXED_BIAS_PERCENT if case.netlist.bias_scheme == "fixed" and ref in case.netlist.power_sections else 100.0
    return Severity.WARNING if percent > hot else None

"""Plate dissipation at idle.

What it checks
    The watts each plate dissipates without signal, against its rating.

Why it matters
    A plate over its rating glows, gasses the tube and drags its bias along; it is the first thing to watch on a new amp.

How it is computed
    (plate volts to cathode) x (plate current) of the solved operating point.

Limits and sources
    Design-centre data at nominal mains: up to 100 % pass, to 107 % warning, above error. Design-maximum data at high mains: above 100 %
    error. In fixed bias above 90 % is a warning. What passes at nominal mains and stands above 107 % at high mains is told. Limits: tube
    library with sources; bands: common practice.

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
from ...units import code_ohms, next_preferred, preferred_at_least, show_amps, show_ohms, show_volts, show_watts
from ..cathodes import resistor_under
from ..model import Case, Outcome, Repair, failed, not_evaluated, passed
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
            yield from _high_mains(case, section.ref, rating.system, limit)
        else:
            label = f"rated {show_watts(limit)}, {rating.system}"
            helps, repair = _cure(case, section.ref, percent)
            yield failed(severity, section.ref, span, said, label=label, helps=helps, repair=repair, **shared)


def _high_mains(case: Case, ref: str, system: str, limit: float) -> Iterator[Outcome]:
    """Design-centre data pass at nominal mains; how hot the tube runs on a high mains day is told all the same."""
    point = case.results.operating["high"].sections.get(ref)
    if system != "design-centre" or point is None or 100.0 * point.plate_watts <= WARNING_PERCENT * limit:
        return
    message = (
        f"{ref} dissipates {show_watts(point.plate_watts)} at idle, {100.0 * point.plate_watts / limit:.0f} % of its {show_watts(limit)}"
    )
    notes = ("its rating is a design-centre one and is judged at nominal mains, where it passes",)
    facts = {"value": point.plate_watts, "limit": WARNING_PERCENT / 100.0 * limit, "unit": "W", "condition": "high"}
    yield failed(Severity.INFO, f"{ref} high mains", case.span(ref), message, label="hot on a high mains day", notes=notes, **facts)


def _cure(case: Case, ref: str, percent: float) -> tuple[tuple[str, ...], Repair | None]:
    """What makes it colder, and values of the bias resistor to try where there is one."""
    under = resistor_under(case, ref)
    if ref not in case.netlist.power_sections or under is None:
        return ("a colder bias, or less B+",), None
    if case.netlist.bias_scheme == "fixed":
        return ("a colder setting of the bias control (controls/BIAS), or less B+",), None
    rest = (f" {under.watts:g}W" if under.watts else "") + (f" {under.technology}" if under.technology else "")
    first = preferred_at_least(under.ohms * max(percent / 100.0, 1.0), "E12")
    values = [first, next_preferred(first, "E12")]
    values.append(next_preferred(values[-1], "E12"))
    helps = (f"a bias resistor larger than the {show_ohms(under.ohms)} of {under.ref}, or less B+",)
    return helps, Repair(under.path, tuple(code_ohms(v) + rest for v in values))


def _severity(case: Case, ref: str, system: str, percent: float) -> Severity | None:
    if system != "design-centre":
        return Severity.ERROR if percent > 100.0 else None
    if percent > WARNING_PERCENT:
        return Severity.ERROR
    hot = FIXED_BIAS_PERCENT if case.netlist.bias_scheme == "fixed" and ref in case.netlist.power_sections else 100.0
    return Severity.WARNING if percent > hot else None

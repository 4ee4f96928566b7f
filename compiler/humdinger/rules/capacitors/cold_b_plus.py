"""Cold B+.

What it checks
    The volts on every electrolytic before the tubes conduct, or in whichever state they are highest, against its rating.

Why it matters
    Without tube current no dropper drops anything: every node sits at the full B+, and the small capacitor of the last node is the first
    to burst.

How it is computed
    Crest of the unloaded winding less the rectifier, through the bleeders, no tube drawing current, mains at the insulation corner of the
    region; or the worst of the other states, where that is more. One of several in series gets the share of the one with the least
    capacitance: 60 % of two with 20 % tolerance (derived; 20 % where the spec gives none). Cathode bypass capacitors have their own
    rule (CAP-006).

Limits and sources
    Above the rated volts error, above 95 % warning (computed; bands: common practice). No rating given: error, since nothing could be
    ordered that is sure to stand it.

Example (bad)
    over: dunlin
    supply/filter/3/capacitor: 22u 250V
    also: REC-009

Example (good)
    over: dunlin
    supply/filter/3/capacitor: 22u 450V

When to waive it
    The warning, for a capacitor whose maker gives a surge rating above the figure and B+ that falls within seconds.
"""

from __future__ import annotations

from collections.abc import Iterator

from ...circuit.netlist import Capacitor
from ...diagnostics import Severity
from ...units import code_farads, show_volts
from ..bypassing import is_bypass
from ..model import Case, Outcome, Repair, failed, passed
from ..rectifying import COLD, high_tension, ready_at_once

NAME = "cold-b-plus"
WARNING_PERCENT = 95.0
USUAL_VOLTS = (350, 400, 450, 500, 550, 600)
"""Ratings of electrolytics that shops keep (common practice)."""


def check(case: Case) -> Iterator[Outcome]:
    """One outcome per electrolytic, and per capacitor of the B+ filter of any kind."""
    rectifier = high_tension(case)
    at_once = rectifier is not None and ready_at_once(case, rectifier)
    for part, volts, rated in comparisons(case):
        condition, when = worst_state(case, part)
        if rated is None:
            message = f"{part.ref} has no rated volts; it gets {show_volts(volts)} {when}"
            helps = ("a rating above that",)
            yield failed(
                Severity.ERROR,
                part.ref,
                part.span,
                message,
                label="no rating",
                helps=helps,
                repair=_repair(part, volts),
                value=volts,
                unit="V",
                condition=condition,
            )
            continue
        percent = 100.0 * volts / rated
        equation = f"{show_volts(volts)} / {show_volts(rated)} = {percent:.0f} %; limit 100 %"
        shared = {"value": volts, "limit": rated, "unit": "V", "condition": condition, "equation": equation}
        said = f"{part.ref} gets {show_volts(volts)} {when}"
        if percent <= WARNING_PERCENT:
            yield passed(part.ref, part.span, f"{said}, rated {show_volts(rated)}", **shared)
            continue
        severity = Severity.ERROR if percent > 100.0 else Severity.WARNING
        message = f"{said}, {percent:.0f} % of its {show_volts(rated)}"
        helps = ("a higher rating, or two in series",) + (("an indirectly heated rectifier with a bleeder",) if at_once else ())
        yield failed(
            severity, part.ref, part.span, message, label=f"rated {show_volts(rated)}", helps=helps, repair=_repair(part, volts), **shared
        )


def comparisons(case: Case) -> Iterator[tuple[Capacitor, float, float | None]]:
    """Capacitor, its highest volts, rated volts; shared with the rule on rectifiers that are ready at once."""
    supply = {stage.id for stage in case.netlist.stages_of("filter")}
    for part in case.netlist.of(Capacitor):
        stress = case.results.stresses.get(part.ref)
        if stress is None or is_bypass(case, part) or not (part.polarised or part.stage in supply):
            continue
        yield part, max(stress.cold_volts, stress.worst_volts), part.volts


def worst_state(case: Case, part: Capacitor) -> tuple[str, str]:
    """The condition in which a capacitor gets most, and how to say it."""
    stress = case.results.stresses[part.ref]
    if stress.cold_volts >= stress.worst_volts:
        return COLD, "before the tubes conduct"
    return stress.volts_condition, "with the tubes in"


def _repair(part: Capacitor, volts: float) -> Repair | None:
    wanted = [v for v in USUAL_VOLTS if 100.0 * volts / v <= WARNING_PERCENT]
    return Repair(part.path, tuple(f"{code_farads(part.farads)} {v}V" for v in wanted[:2])) if wanted else None

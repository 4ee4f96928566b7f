"""Rectifier output.

What it checks
    The direct current a rectifier tube gives, and the volts of its winding, against the tube's ratings.

Why it matters
    The cathode of a rectifier that is asked for more than its rating loses its emission within months, and the B+ with it.

How it is computed
    Direct amps of the solved supply at nominal mains, idle; no-load rms volts of one half of the winding.

Limits and sources
    Current (where there is a table, at that voltage) and plate volts of the tube library (handbook, from memory, where it says so).
    Above: error.

Example (bad)
    over: heron
    tubes/V6: EZ80
    supply/transformer/heaters: [{volts: 6.3 V, current: 5.5 A, feeds: [all], no_load: 6.7 V}]
    supply/rectifier/plate_resistors: 200 10W wirewound
    supply/filter/0/bleeder: 4k7 80W wirewound
    supply/mains/fuse: T 800mA H 250V
    also: FUS-002, REC-002, BIA-003, BIA-004, TRM-008

Example (good)
    over: heron

When to waive it
    Not: take a larger rectifier.
"""

from __future__ import annotations

from collections.abc import Iterator

from ...analysis.results import RectifierPoint
from ...circuit.netlist import Rectifier, Tube
from ...diagnostics import Severity
from ...units import show_amps, show_volts
from ..model import Case, Outcome, failed, not_evaluated, passed
from ..rectifying import points, ratings_of, read_table, tube_of

NAME = "rectifier-output"


def check(case: Case) -> Iterator[Outcome]:
    """Two outcomes per rectifier tube: current and volts."""
    for rectifier, point in points(case, "nominal"):
        tube = tube_of(case, rectifier)
        if tube is not None:
            yield _amps(case, rectifier, tube, point)
            yield _volts(case, tube, point)


def _amps(case: Case, rectifier: Rectifier, tube: Tube, point: RectifierPoint) -> Outcome:
    ratings = ratings_of(tube)
    element = f"{tube.ref} current"
    table = ratings.dc_amps_by_volts
    if not table and ratings.dc_amps is None:
        return not_evaluated(element, tube.span, f"the library has no output current for {tube.type.name}")
    limit = read_table(table, point.no_load_volts_rms) if table else float(ratings.dc_amps or 0.0)
    equation = f"{show_amps(point.dc_amps)} against {show_amps(limit)} at {show_volts(point.no_load_volts_rms)}"
    shared = {"value": point.dc_amps, "limit": limit, "unit": "A", "condition": "nominal", "equation": equation}
    said = f"{tube.ref} gives {show_amps(point.dc_amps)}"
    if point.dc_amps <= limit:
        return passed(element, tube.span, said, **shared)
    message = f"{said}, its limit is {show_amps(limit)}"
    helps = ("less load on the B+, or a larger rectifier",)
    return failed(Severity.ERROR, element, tube.span, message, label=f"limit {show_amps(limit)}", helps=helps, **shared)


def _volts(case: Case, tube: Tube, point: RectifierPoint) -> Outcome:
    ratings = ratings_of(tube)
    element = f"{tube.ref} plate volts"
    tables = [*(ratings.dc_amps_by_volts or ()), *(ratings.source_ohms_by_volts or ())]
    if ratings.plate_volts_rms is None and not tables:
        return not_evaluated(element, tube.span, f"the library has no plate volts for {tube.type.name}")
    limit = float(ratings.plate_volts_rms) if ratings.plate_volts_rms else max(tables)
    volts = point.no_load_volts_rms
    equation = f"{show_volts(volts)} rms a half against {show_volts(limit)}"
    shared = {"value": volts, "limit": limit, "unit": "V", "condition": "nominal", "equation": equation}
    said = f"each plate of {tube.ref} gets {show_volts(volts)} rms"
    if volts <= limit:
        return passed(element, tube.span, said, **shared)
    message = f"{said}, its limit is {show_volts(limit)}"
    return failed(Severity.ERROR, element, tube.span, message, label=f"limit {show_volts(limit)}", helps=("less high tension",), **shared)

"""Peak plate current.

What it checks
    The crest of the charging pulses through each plate of a rectifier tube, steady, at idle.

Why it matters
    All the current of a half cycle flows in a short pulse; above its rating the cathode coating is torn off and the tube flashes over.

How it is computed
    Crest of the pulse of the averaged rectifier law at nominal mains, the reservoir taken as constant over a cycle.

Limits and sources
    Above the rating of the tube library (handbook, from memory) warning; above 140 %, or together with a source resistance that is too
    small, error (common practice; makers' own typical operation exceeds some of these figures in a stiff simulation).

Example (bad)
    over: heron
    tubes/V6: EZ80
    supply/transformer/heaters: [{volts: 6.3 V, current: 5.5 A, feeds: [all], no_load: 6.7 V}]
    supply/mains/fuse: T 800mA H 250V
    also: FUS-002, REC-005, BIA-003, BIA-004

Example (good)
    over: heron

When to waive it
    The warning, where the maker's typical operation with that capacitor and source resistance draws as much.
"""

from __future__ import annotations

from collections.abc import Iterator

from ...diagnostics import Severity
from ...units import show_amps
from ..model import Case, Outcome, failed, not_evaluated, passed
from ..rectifying import points, ratings_of, tube_of
from .minimum_source_resistance import least_ohms

NAME = "peak-plate-current"
ERROR_PERCENT = 140.0


def check(case: Case) -> Iterator[Outcome]:
    """One outcome per rectifier tube."""
    for rectifier, point in points(case, "nominal"):
        tube = tube_of(case, rectifier)
        if tube is None:
            continue
        cited = ratings_of(tube).peak_plate_amps
        if cited is None:
            yield not_evaluated(rectifier.id, tube.span, f"the library has no peak plate current for {tube.type.name}")
            continue
        limit = float(cited)
        percent = 100.0 * point.peak_amps / limit
        times = f", {point.peak_amps / point.dc_amps:.1f} x the direct amps" if point.dc_amps > 0.0 else ""
        equation = f"{show_amps(point.peak_amps)} / {show_amps(limit)} = {percent:.0f} %{times}"
        shared = {"value": point.peak_amps, "limit": limit, "unit": "A", "condition": "nominal", "equation": equation}
        said = f"the pulses of {tube.ref} reach {show_amps(point.peak_amps)} a plate, {percent:.0f} % of its {show_amps(limit)}"
        if percent <= 100.0:
            yield passed(rectifier.id, tube.span, said, **shared)
            continue
        least = least_ohms(case, tube, point)
        severity = Severity.ERROR if percent > ERROR_PERCENT or (least and point.source_ohms < least) else Severity.WARNING
        helps = ("a resistor in each plate lead, or a smaller reservoir",)
        yield failed(severity, rectifier.id, tube.span, said, label=f"limit {show_amps(limit)}", helps=helps, **shared)

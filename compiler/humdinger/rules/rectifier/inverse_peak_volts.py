"""Inverse peak volts.

What it checks
    The volts a rectifier has to block in the half cycle in which it does not conduct.

Why it matters
    A diode that breaks down once is a short: the winding then feeds the B+ with AC until the fuse opens, and the capacitors go first.

How it is computed
    Silicon: unloaded at high mains, 2 x sqrt2 x half volts for full-wave and half-wave, 2 x sqrt2 x volts for a doubler, sqrt2 x volts for
    a bridge and the lower half of a hybrid bridge; per leg, against the rating of all diodes of a leg in series. Tube: crest of a half
    plus B+ at nominal mains, B+ alone in a hybrid bridge; unloaded at high mains as well.

Limits and sources
    Silicon up to 80 % of the rating passes, to 95 % warning, above error. Tube: above the rating loaded at nominal mains error, unloaded at
    high mains warning (bands: common practice). Ratings: tube and diode library with sources (handbook, from memory, where it says so).

Example (bad)
    over: curlew
    supply/rectifier/diodes: {part: 1N4006, in_series: 1}

Example (good)
    over: curlew
    supply/rectifier/diodes/in_series: 2

When to waive it
    The warning, with avalanche-rated diodes, whose maker allows it.
"""

from __future__ import annotations

from collections.abc import Iterator

from ...analysis.results import RectifierPoint
from ...circuit.netlist import Diode, Rectifier, Tube
from ...diagnostics import Severity
from ...units import show_volts
from ..model import Case, Outcome, failed, not_evaluated, passed
from ..rectifying import points, ratings_of, tube_of

NAME = "inverse-peak-volts"
PASS_PERCENT = 80.0
ERROR_PERCENT = 95.0


def check(case: Case) -> Iterator[Outcome]:
    """One outcome per rectifier; two for a hybrid bridge."""
    unloaded = {r.id: point.inverse_peak_unloaded_volts for r, point in points(case, "high")}
    for rectifier, point in points(case, "nominal"):
        tube = tube_of(case, rectifier)
        if tube is not None:
            yield _tube(rectifier, tube, point, unloaded[rectifier.id])
        diode = next((part for ref in rectifier.devices if isinstance(part := case.netlist.by_ref.get(ref), Diode)), None)
        if diode is not None:
            yield _silicon(rectifier, diode, unloaded[rectifier.id], "rectifier" if tube is None else "rectifier's silicon")


def _silicon(rectifier: Rectifier, diode: Diode, volts: float, what: str) -> Outcome:
    count = max(rectifier.diodes_in_series, 1)
    rated = count * float(diode.type.repetitive_reverse_volts)
    percent = 100.0 * volts / rated
    element = rectifier.id if what == "rectifier" else f"{rectifier.id} silicon"
    many = f"{count} x " if count > 1 else ""
    equation = f"{show_volts(volts)} / ({many}{show_volts(rated / count)}) = {percent:.0f} %; limit {PASS_PERCENT:.0f} %"
    shared = {"value": volts, "limit": PASS_PERCENT / 100 * rated, "unit": "V", "condition": "high", "equation": equation}
    said = f"each leg of the {rectifier.id} {what} blocks {show_volts(volts)}, {percent:.0f} % of its {show_volts(rated)}"
    if percent <= PASS_PERCENT:
        return passed(element, rectifier.span, said, **shared)
    severity = Severity.ERROR if percent > ERROR_PERCENT else Severity.WARNING
    cure = ("one diode more in series in each leg",)
    return failed(severity, element, rectifier.span, said, label=f"{many}{diode.type.name}", helps=cure, **shared)


def _tube(rectifier: Rectifier, tube: Tube, point: RectifierPoint, unloaded: float) -> Outcome:
    cited = ratings_of(tube).peak_inverse_volts
    if cited is None:
        return not_evaluated(rectifier.id, tube.span, f"the library has no inverse peak volts for {tube.type.name}")
    limit = float(cited)
    loaded = point.inverse_peak_volts
    bad = loaded > limit
    volts, condition = (unloaded, "high") if unloaded > limit and not bad else (loaded, "nominal")
    how = "unloaded" if condition == "high" else "loaded"
    equation = f"{show_volts(volts)} {how} against {show_volts(limit)}"
    shared = {"value": volts, "limit": limit, "unit": "V", "condition": condition, "equation": equation}
    said = f"each plate of {tube.ref} blocks {show_volts(volts)} {how}"
    if volts <= limit:
        return passed(rectifier.id, tube.span, said, **shared)
    severity = Severity.ERROR if bad else Severity.WARNING
    message = f"{said}, its limit is {show_volts(limit)}"
    return failed(severity, rectifier.id, tube.span, message, label=f"limit {show_volts(limit)}", helps=("less high tension",), **shared)

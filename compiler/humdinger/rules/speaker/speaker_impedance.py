"""Speaker impedance.

What it checks
    The impedance of the speaker against the tap it hangs on.

Why it matters
    The load of the output tubes goes with it: a wrong tap halves or doubles what they see.

How it is computed
    Ohms of the speakers as they are wired, over the ohms of the tap; the same with a cabinet of its declared impedance in the extension
    jack, together with the speakers inside or in their place.

Limits and sources
    Within 25 % pass; up to 2:1 either way, and above, warning; below one half error (common practice). What the tubes make of it is judged
    by OTX-001.

Example (bad)
    over: curlew
    speaker/impedance: 12 ohm
    speaker/resistance: 9
    speaker/load_resistor: 390 5W
    also: OTX-001

Example (good)
    over: curlew
    speaker/impedance: 8 ohm

When to waive it
    The warning, for a load chosen by OTX-001.
"""

from __future__ import annotations

from collections.abc import Iterator

from ...analysis.speakers import ALONE, INSIDE, WITH
from ...diagnostics import Severity
from ...units import show_ohms
from ..model import Case, Outcome, failed, passed

NAME = "speaker-impedance"
CLOSE = 0.25
LOWEST = 0.5
WHAT = {INSIDE: "a speaker", WITH: "with a cabinet in the extension jack a load", ALONE: "a cabinet in the extension jack"}
EXTENSION_CURE = "another cabinet, a switching extension jack, or speakers inside of twice the impedance"


def check(case: Case) -> Iterator[Outcome]:
    """One outcome for the speakers inside, one for each use of an extension jack."""
    for way in case.results.speaker_loads:
        alone = way.state == INSIDE
        ratio = way.ohms / way.tap_ohms
        equation = f"{show_ohms(way.ohms)} / {show_ohms(way.tap_ohms)} = {ratio:.2f}"
        limit = 1.0 + CLOSE if ratio > 1.0 else 1.0 - CLOSE
        shared = {"value": ratio, "limit": limit, "unit": "x", "equation": equation}
        element = f"tap {way.tap}" if alone else f"tap {way.tap}, {way.state}"
        said = f"{WHAT[way.state]} of {show_ohms(way.ohms)} hangs on the {way.tap} ohm tap"
        span = case.at("speaker/impedance" if alone else "speaker/extension/impedance")
        if 1.0 - CLOSE <= ratio <= 1.0 + CLOSE:
            yield passed(element, span, said, **shared)
            continue
        severity = Severity.ERROR if ratio < LOWEST else Severity.WARNING
        helps = ("the tap of the speaker's impedance (speaker/tap)",) if alone else (EXTENSION_CURE,)
        yield failed(severity, element, span, f"{said}, {ratio:.2f} times it", label=f"{ratio:.2f} x", helps=helps, **shared)

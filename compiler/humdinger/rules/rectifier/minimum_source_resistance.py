"""Minimum source resistance.

What it checks
    The resistance of winding, primary and series resistor before each plate of a rectifier tube.

Why it matters
    It is all that limits the current into the empty reservoir at a hot restart; below the maker's figure the tube flashes over.

How it is computed
    Half of the winding + turns ratio squared x primary + resistor in the plate lead, against the figure for the plate's no-load volts.

Limits and sources
    Tube library, read straight between the points of its table (handbook, from memory). Below: error.

Example (bad)
    over: heron
    supply/transformer/high_tension/resistance: [8, 9]
    supply/rectifier/plate_resistors: ~
    also: BIA-004, FUS-002

Example (good)
    over: heron

When to waive it
    Not: a resistor in each plate lead costs little.
"""

from __future__ import annotations

from collections.abc import Iterator

from ...analysis.results import RectifierPoint
from ...circuit.netlist import Tube
from ...diagnostics import Label, Severity
from ...units import show_volts
from ..model import Case, Outcome, failed, not_evaluated, passed
from ..printed import say_ohms
from ..rectifying import points, ratings_of, read_table, tube_of

NAME = "minimum-source-resistance"


def check(case: Case) -> Iterator[Outcome]:
    """One outcome per rectifier tube."""
    for rectifier, point in points(case, "nominal"):
        tube = tube_of(case, rectifier)
        if tube is None:
            continue
        limit = least_ohms(case, tube, point)
        if limit is None:
            yield not_evaluated(rectifier.id, tube.span, f"the library has no source resistance for {tube.type.name}")
            continue
        at = show_volts(point.no_load_volts_rms)
        equation = f"winding, primary and series resistor {say_ohms(point.source_ohms)}, wanted {say_ohms(limit)} at {at}"
        shared = {"value": point.source_ohms, "limit": limit, "unit": "ohm", "condition": "nominal", "equation": equation}
        said = f"each plate of {tube.ref} is fed through {say_ohms(point.source_ohms)}"
        if point.source_ohms >= limit:
            yield passed(rectifier.id, tube.span, said, **shared)
            continue
        yield failed(
            Severity.ERROR,
            rectifier.id,
            case.winding(rectifier.winding).span,
            f"{said}, less than its {say_ohms(limit)} at {at}",
            label="too stiff",
            also=(Label(tube.span, f"wants {say_ohms(limit)}"),),
            helps=(f"a wire-wound resistor of {say_ohms(limit - point.source_ohms)} or more in each plate lead (plate_resistors)",),
            **shared,
        )


def least_ohms(case: Case, tube: Tube, point: RectifierPoint) -> float | None:
    """The maker's figure at the plate's no-load volts, None when the library has none."""
    ratings = ratings_of(tube)
    if ratings.source_ohms_by_volts:
        return read_table(ratings.source_ohms_by_volts, point.no_load_volts_rms)
    return float(ratings.source_ohms) if ratings.source_ohms else None

"""Which limits of a tube hold at which mains corner: the convention of every rule that compares with a rating.

Design-centre ratings allow for the spread of mains and parts themselves, so they are compared at nominal mains; design-maximum and
absolute ratings at high mains (common practice; a maker's general recommendations of 1960, as quoted). One system per tube, never mixed.
"""

from __future__ import annotations

from collections.abc import Iterator

from ..analysis.results import SectionPoint
from ..circuit.netlist import TubeSection
from ..diagnostics import Severity
from ..parts.model import RatingSet
from ..units import show_volts
from .model import Case, Outcome, failed, not_evaluated, passed


def corner(rating: RatingSet) -> str:
    """The condition at which a rating set is compared."""
    return "nominal" if rating.system == "design-centre" else "high"


def rated(case: Case) -> Iterator[tuple[TubeSection, RatingSet, SectionPoint, str]]:
    """Section, its rating set, its operating point at the corner of that set, and the corner; sections in use that have ratings."""
    for section in case.netlist.sections:
        rating = section.section.rating()
        if section.unused or rating is None:
            continue
        name = corner(rating)
        point = case.results.operating[name].sections.get(section.ref)
        if point is not None:
            yield section, rating, point, name


def is_power(case: Case, section: TubeSection) -> bool:
    """Whether a section is one of the output tubes."""
    return section.ref in case.netlist.power_sections


def volts_within(case: Case, electrode: str, cure: str) -> Iterator[Outcome]:
    """Running volts of an electrode ("plate" or "screen") to its cathode against the rating, one outcome per section that has it."""
    for section, rating, point, condition in rated(case):
        found = point.plate_volts if electrode == "plate" else point.screen_volts
        cited = rating.plate_volts if electrode == "plate" else rating.screen_volts
        if found is None:
            continue
        span = case.span(section.ref)
        if cited is None:
            yield not_evaluated(section.ref, span, f"the library has no {electrode} volts for the type")
            continue
        limit = float(cited)
        equation = f"{show_volts(found)} to the cathode against {show_volts(limit)}, {rating.system}"
        shared = {"value": found, "limit": limit, "unit": "V", "condition": condition, "equation": equation}
        said = f"{section.ref} has {show_volts(found)} from {electrode} to cathode"
        if found <= limit:
            yield passed(section.ref, span, said, **shared)
        else:
            message = f"{said}, its limit is {show_volts(limit)}"
            label = f"limit {show_volts(limit)}"
            yield failed(Severity.ERROR, section.ref, span, message, label=label, helps=(cure,), **shared)

"""Which limits of a tube hold at which mains corner: the convention of every rule that compares with a rating.

Design-centre ratings allow for the spread of mains and parts themselves, so they are compared at nominal mains; design-maximum and
absolute ratings at high mains (common practice; a maker's general recommendations of 1960, as quoted). One system per tube, never mixed.
"""

from __future__ import annotations

from collections.abc import Iterator

from ..analysis.results import SectionPoint
from ..circuit.netlist import TubeSection
from ..parts.model import RatingSet
from .model import Case


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

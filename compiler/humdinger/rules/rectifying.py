"""What the rules about rectifiers have in common: which there are, what limits their tube has, and tables read between their points."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from itertools import pairwise

from ..analysis.results import RectifierPoint
from ..circuit.netlist import Rectifier, Tube
from ..parts.model import RectifierRatings
from .model import Case

COLD = "no-tubes-high"
"""The condition capacitors and insulation are compared in: no tube draws current, mains at the insulation corner."""


def points(case: Case, condition: str) -> Iterator[tuple[Rectifier, RectifierPoint]]:
    """Every rectifier with what it does in a condition."""
    for rectifier in case.netlist.rectifiers:
        point = case.results.operating[condition].rectifiers.get(rectifier.id)
        if point is not None:
            yield rectifier, point


def high_tension(case: Case) -> Rectifier | None:
    """The rectifier that makes the B+."""
    return next((r for r in case.netlist.rectifiers if r.id == "high-tension"), None)


def tube_of(case: Case, rectifier: Rectifier) -> Tube | None:
    """The rectifier's tube; None for silicon."""
    part = case.netlist.by_ref.get(rectifier.devices[0]) if rectifier.devices else None
    return part if isinstance(part, Tube) else None


def ratings_of(tube: Tube) -> RectifierRatings:
    """The limits of a rectifier tube; empty ones when the library has none."""
    return next((s.rectifier for s in tube.type.sections if s.rectifier is not None), RectifierRatings())


def ready_at_once(case: Case, rectifier: Rectifier) -> bool:
    """Whether the B+ is there before the other tubes conduct: silicon, or a tube whose filament is its cathode."""
    tube = tube_of(case, rectifier)
    return tube is None or tube.type.warm_up == "direct"


def read_table(table: Mapping[float, float], volts: float) -> float:
    """A value read off a table of plate volts, straight between its points, its ends held."""
    keys = sorted(table)
    if volts <= keys[0]:
        return table[keys[0]]
    for low, high in pairwise(keys):
        if volts <= high:
            return table[low] + (table[high] - table[low]) * (volts - low) / (high - low)
    return table[keys[-1]]


def cold_b_plus(case: Case) -> float:
    """The highest volts any B+ net has before the tubes conduct, mains at the insulation corner."""
    volts = case.results.operating[COLD].volts
    rectifier = high_tension(case)
    nets = (*case.netlist.b_plus, *((rectifier.plus,) if rectifier else ()))
    return max((volts[net] for net in nets if net in volts), default=0.0)

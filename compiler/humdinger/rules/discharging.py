"""What the rules about discharge have in common: which capacitors count, and how they stand to the reservoir."""

from __future__ import annotations

from collections.abc import Iterator

from ..analysis.results import Discharge
from ..diagnostics import Span
from .model import Case
from .rectifying import high_tension


def supply_nodes(case: Case) -> Iterator[Discharge]:
    """The capacitor nodes of the B+ supply. Coupling capacitors empty through plate loads and grid leaks and hold millijoules."""
    return (node for node in case.results.discharges if node.kind == "supply")


def parted_by(node: Discharge) -> tuple[str, ...]:
    """The fuses and switches without which the node has no way to 60 V; empty when it has one with all of them open, or none at all."""
    if node.seconds is None or node.seconds_alone is not None:
        return ()
    return tuple(ref for ref in node.opened if ref in node.paths) or node.opened


def span_of(case: Case, node: Discharge) -> Span:
    """The spec line of a node's first capacitor."""
    return case.span(node.capacitors[0])


def is_reservoir(case: Case, node: Discharge) -> bool:
    """Whether the rectifier charges this node."""
    rectifier = high_tension(case)
    return rectifier is not None and rectifier.reservoir in node.capacitors


def reported_as_pathless(case: Case, node: Discharge) -> bool:
    """Whether PSU-008 reports the node: nothing empties it, or an open fuse or switch parts it from what does.

    The reservoir is an exception where it has some path, but none of its own: that is DIS-002.
    """
    if node.seconds is not None and is_reservoir(case, node) and not node.fixed_path:
        return False
    return node.seconds is None or node.seconds_alone is None

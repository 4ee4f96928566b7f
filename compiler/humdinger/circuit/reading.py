"""Small readings of a spec that several stage kinds share."""

from __future__ import annotations

from ..spec.model import Field
from ..units.values import SectionName
from .builder import Builder, Scope
from .netlist import Capacitor


def sections_of(field: Field | None) -> tuple[SectionName, ...]:
    """The tube sections a field names: a section, a tube by its name, or a list of either."""
    if field is None:
        return ()
    if isinstance(field.value, tuple):
        return tuple(found for item in field.value for found in sections_of(item))
    if isinstance(field.value, SectionName):
        return (field.value,)
    return (SectionName(field.value, ""),) if isinstance(field.value, str) else ()


def fed_node(builder: Builder, consumer: str, otherwise: int = 0) -> str:
    """The B+ node whose `feeds` names a consumer ("output-plates", "screens"); else the node at that place of the filter, or its last."""
    entries = builder.design.spec.block("supply").blocks("filter")
    for entry in entries:
        if any(item.value == consumer for item in entry.items("feeds")):
            return builder.net(str(entry.get("node")), "supply")
    names = [str(entry.get("node")) for entry in entries if entry.get("node")]
    return builder.net(names[min(otherwise, len(names) - 1)] if names else "B1", "supply")


def blocked(scope: Scope, net: str) -> bool:
    """Whether only capacitors stand on a net so far, so that the stage behind it may set its DC level."""
    on_it = [part for part in scope.builder.parts if any(pin.net == net for pin in part.pins)]
    return all(isinstance(part, Capacitor) for part in on_it)

"""Small readings of a spec that several stage kinds share."""

from __future__ import annotations

from ..diagnostics import Label
from ..spec.model import Field
from ..units.values import SectionName
from .builder import Builder, Scope
from .netlist import GROUND, Capacitor

Pair = tuple[SectionName | None, SectionName | None]


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


def pair_of(scope: Scope) -> Pair:
    """The two triode sections of a stage: both of a twin, or the two the spec lists; (None, None) after a word about it."""
    names = sections_of(scope.block.field("tube"))
    if len(names) == 1 and not names[0].section:
        names = (SectionName(names[0].tube, "a"), SectionName(names[0].tube, "b"))
    if len(names) == 2 and names[0] != names[1]:
        return names[0], names[1]
    if names:  # a poisoned name was reported where it stands
        scope.builder.problem(
            "ELB-014",
            "one-section-for-a-pair",
            f"{scope.id} needs two triode sections",
            scope.block.span_of("tube"),
            notes=("name the whole twin, like V3, or two sections, like [V3a, V4a]",),
        )
    return None, None


def pair_of_triodes(scope: Scope, pair: Pair) -> None:
    """Two common-cathode sections on one cathode resistor, the first driven: all of a paraphase but what drives the second grid.

    Ports: in, out-a, out-b, plate-a, plate-b, grid-a, grid-b, cathode, supply.
    """
    source = scope.port("in", scope.fed())
    scope.resistor("grid_leak", source, GROUND)
    first = source
    if "grid_stopper" in scope.block:
        first = scope.net("grid-a")
        scope.resistor("grid_stopper", source, first)
    scope.port("grid-a", first)
    scope.port("grid-b", scope.net("grid-b"))
    cathode = scope.port("cathode", scope.net("cathode"))
    supply = scope.port("supply", scope.supply())
    for letter, name in zip("ab", pair, strict=True):
        plate = scope.port(f"plate-{letter}", scope.net(f"plate-{letter}"))
        scope.tube(name, plate=plate, grid=scope.ports[f"grid-{letter}"], cathode=cathode)
        scope.resistor("plate_load", supply, plate, suffix=letter)
    scope.resistor("cathode_resistor", cathode, GROUND)
    scope.capacitor("cathode_bypass", cathode, GROUND)
    for letter in "ab":
        scope.capacitor("coupling", scope.ports[f"plate-{letter}"], scope.port(f"out-{letter}", scope.net(f"out-{letter}")), suffix=letter)


def grounded_grids_only(scope: Scope, key: str) -> None:
    """What leads from an output behind its capacitor to ground would pull the bias of an output grid there, or pass a tremolo on."""
    spec = scope.design.spec
    bias, injection = spec.block("bias"), spec.block("modulation").block("injection")
    if bias.get("scheme") == "fixed":
        at, what = bias.span_of("scheme"), "the bias of the output grids"
    elif injection.get("point") == "output-grids":
        at, what = injection.span_of("point"), "the tremolo at the output grids"
    else:
        return
    scope.builder.problem(
        "ELB-090",
        "divider-on-driven-grids",
        f"the {key} of {scope.id} leads from an output grid to ground, and would upset {what}",
        scope.block.span_of(key),
        others=(Label(at, "comes in at the same grids"),),
        helps=("a cathodyne or a long-tailed pair; or cathode bias, and a tremolo elsewhere",),
    )

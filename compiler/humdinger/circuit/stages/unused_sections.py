"""Unused sections: halves of twin tubes that no stage uses, parked so that they draw no current and pick nothing up.

What it does: puts the free electrodes on ground. The section's heater stays on: both halves share the tube's heater.

When to use it: it runs by itself; `unused: {V2b: grid-to-cathode}` picks the other way.

Formulas: none.

Limits: "ground" wires grid, cathode and plate to ground, so that no pin floats (common practice). "grid-to-cathode" links the grid to the
cathode at the socket, takes both to ground and leaves the plate pin free. A tube that nothing at all uses is parked likewise; name
resolution warns of it.

Ports: none.
Roles: none; the pins are on the tube.
"""

from __future__ import annotations

from ...parts.model import Section
from ...spec.design import BoundTube
from ...spec.model import Block
from ...units.values import SectionName
from ..builder import Fill, Scope
from ..netlist import GROUND

KIND = "unused-sections"
SECTION = "preamp"

PARKED = Fill("ground", "ground", "grid, cathode and plate to ground: no floating pin, no current (common practice)")


def elaborate(scope: Scope) -> None:
    """No ports."""
    scope.title = "Unused sections"
    used = {section.ref for section in scope.builder.sections}
    wishes = scope.block.block("unused")
    parked: list[str] = []
    for bound in scope.design.tubes.values():
        for section in bound.type.sections:
            name = f"{bound.ref}{section.name}"
            if section.kind != "rectifier" and name not in used:
                _park(scope, wishes, bound, section)
                parked.append(name)
    scope.facts["sections"] = tuple(parked)


def _park(scope: Scope, wishes: Block, bound: BoundTube, section: Section) -> None:
    """One section out of the way. A tube of one section has no letter to name it by under `unused`."""
    name = f"{bound.ref}{section.name}"
    way = scope.value(name, PARKED, wishes)[0] if section.name else PARKED.value
    plate = "" if way == "grid-to-cathode" else GROUND
    screen = plate if "screen" in section.pins else ""
    scope.tube(SectionName(bound.ref, section.name), plate=plate, grid=GROUND, cathode=GROUND, screen=screen, unused=True)

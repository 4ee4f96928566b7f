"""Grounding: the protective-earth stud, the one bond from circuit ground to it, and how the ground wires run.

What it does: a fault from mains to chassis or from B+ to ground finds a short way to earth and blows the fuse.

When to use it: always. Without a bond the compiler says so and builds none: it never invents a safety part.

Formulas: none.

Limits: one bond, a wire of its own, at least 0.75 mm²; a stud that holds nothing but earth conductors. A loop breaker is a resistor in the
bond, with rectifiers and a capacitor across it that carry a fault; it takes the ground off earth for small voltages only. Each stage
returns to the minus of the capacitor that feeds it, and these points are strung on one bus with one joint to the chassis (common practice).

Ports: ground, earth.
Roles: stud, bond, loop-breaker.
"""

from __future__ import annotations

from ...units.values import Quantity, Resistance
from ..builder import Fill, Scope
from ..netlist import EARTH, GROUND, Bond, Pin, Stud

KIND = "grounding"
SECTION = "mains"

SCHEME = Fill(
    "bus-with-local-stars",
    "bus-with-local-stars",
    "each stage returns to the capacitor that feeds it, strung on one bus (common practice)",
)
JOINT = Fill("input", "input", "the joint at the input keeps hum currents out of the most sensitive return (common practice)")
BREAKER = Fill(
    "10 5W wirewound", Resistance(10.0, 5.0, technology="wirewound"), "10 ohm across two rectifiers back to back (common practice)"
)


def elaborate(scope: Scope) -> None:
    """Ports: ground, earth."""
    scope.title = "Grounding"
    earth = scope.port("earth", scope.builder.net(EARTH, "earth", "protective earth, chassis"))
    ground = scope.port("ground", GROUND)
    scope.facts["scheme"] = scope.value("scheme", SCHEME)[0]
    scope.facts["chassis_joint"] = scope.value("chassis_joint", JOINT)[0]
    _stud(scope, earth)
    _bond(scope, ground, earth)


def _stud(scope: Scope, earth: str) -> None:
    block = scope.block.block("pe_stud")
    scope.facts["pe_stud"] = "pe_stud" in scope.block
    if "pe_stud" not in scope.block:
        return
    scope.keep(
        Stud,
        "stud",
        role="stud",
        path=block.path,
        span=block.span,
        pins=(Pin("PE", earth),),
        label="protective-earth stud",
        thread=str(block.get("thread", "")),
        dedicated=block.get("dedicated"),
    )


def _bond(scope: Scope, ground: str, earth: str) -> None:
    block = scope.block.block("circuit_bond")
    kind = str(block.get("kind", "")) if "circuit_bond" in scope.block else "absent"
    scope.facts["circuit_bond"] = kind
    if kind == "absent":
        return
    far = earth
    if kind == "loop-breaker":
        far = scope.builder.net("ground.breaker", "ground", "circuit ground, behind the loop breaker")
        scope.resistor("resistor", far, earth, role="loop-breaker", fill=BREAKER, block=block)
    area = block.get("area")
    scope.keep(
        Bond,
        "bond",
        role="bond",
        path=block.path,
        span=block.span,
        pins=(Pin("1", ground), Pin("2", far)),
        label="circuit ground to earth stud",
        kind=kind,
        area_mm2=area.value * 1e6 if isinstance(area, Quantity) else None,
    )

"""Bond of circuit ground to earth.

What it checks
    That circuit ground is joined to protective earth by one conductor, direct, thick enough.

Why it matters
    When high tension or mains falls onto the circuit, this wire blows the fuse. Without it the strings and the player are the wire.

How it is computed
    Read off the netlist: the bond, its kind and its cross-section.

Limits and sources
    Absent: danger; where the stud is missing too, PE-001 is the danger and this an info. Below 0.75 mm2: error. A loop breaker: error in a
    kit or a finished amp, warning in one for own use (common practice).

Example (bad)
    over: dunlin
    grounding/circuit_bond: ~

Example (good)
    over: dunlin
    grounding/circuit_bond: {kind: direct, area: 1 mm2}

When to waive it
    The loop breaker, in an amp for own use whose every sleeve is bonded direct.
"""

from __future__ import annotations

from collections.abc import Iterator

from ...circuit.netlist import Bond, Stud
from ...diagnostics import Severity
from ..model import Case, Outcome, failed, passed, undeclared

NAME = "circuit-bond"

SMALLEST_MM2 = 0.75


def check(case: Case) -> Iterator[Outcome]:
    """One outcome for the amp."""
    bond = next(case.netlist.of(Bond), None)
    cure = ("one direct wire of 0.75 mm2 or more from the ground bus to the earth stud",)
    if bond is None and next(case.netlist.of(Stud), None) is None:
        message = "circuit ground is not bonded to protective earth: there is no stud to bond it to (PE-001)"
        yield failed(Severity.INFO, "bond", case.at("grounding"), message, label="no bond")
        return
    if bond is None:
        yield failed(
            Severity.DANGER, "bond", case.at("grounding"), "circuit ground is not bonded to protective earth", label="no bond", helps=cure
        )
        return
    if bond.kind != "direct":
        sold = str(case.spec.block("model").get("sold_as", ""))
        severity = Severity.WARNING if sold == "own-use" else Severity.ERROR
        yield failed(severity, bond.ref, bond.span, f"the bond is a {bond.kind.replace('-', ' ')}, not direct", label=bond.kind, helps=cure)
    elif bond.area_mm2 is None:
        yield undeclared(case, bond.ref, bond.span, "the spec does not give the bond's cross-section (grounding/circuit_bond/area)")
    elif bond.area_mm2 < SMALLEST_MM2:
        said = f"the bond has {bond.area_mm2:g} mm2, less than {SMALLEST_MM2:g} mm2"
        yield failed(Severity.ERROR, bond.ref, bond.span, said, value=bond.area_mm2, limit=SMALLEST_MM2, unit="mm2", helps=cure)
    else:
        yield passed(bond.ref, bond.span, f"direct, {bond.area_mm2:g} mm2")

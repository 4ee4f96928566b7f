"""Heater reference.

What it checks
    That each heater winding is tied to a DC level exactly once; that the winding of a rectifier whose heater is its cathode is not tied
    at all, feeds nothing else and is insulated for the B+; that a winding nobody uses is not tied.

Why it matters
    Untied, the heaters drift to whatever leaks into them and hum. Tied twice, heater current runs through the two references. Tied on the
    rectifier's winding, the reference shorts the B+.

How it is computed
    Counted over `supply/heater_reference`, less the entries that tie a winding to its rectifier's cathode; consumers and cathodes read
    off the netlist; cold B+ against the transformer's insulation.

Limits and sources
    As said: error; a reference on a rectifier's winding is a danger (physics). Insulation below cold B+: error (common practice). The two
    resistors of an artificial centre tap, or a hum-balance pot, above 1 kilohm: warning, above 10 kilohms error: leakage from heater to
    cathode then lifts the heaters, and they hum as if they floated (common practice: 100 to 250 ohms).
    A winding with no reference at all does not get this far: it floats (NET-002).

Example (bad)
    over: dunlin
    supply/heater_reference: [{kind: artificial-centre-tap, resistors: 100 0.5W}, {kind: artificial-centre-tap, resistors: 100 0.5W}]

Example (good)
    over: dunlin
    supply/heater_reference: [{kind: artificial-centre-tap, resistors: 100 0.5W}]

When to waive it
    Not: take the second reference out.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator

from ...analysis.results import HeaterBudget
from ...circuit.netlist import Lamp, Pot, PowerTransformer, Resistor, Tube
from ...diagnostics import Severity
from ...units import show_ohms, show_volts
from ..model import Case, Outcome, failed, passed, undeclared
from ..rectifying import COLD, cold_b_plus

NAME = "heater-reference"
OHMS, HOPELESS_OHMS = 1e3, 10e3


def check(case: Case) -> Iterator[Outcome]:
    """One outcome per heater winding, one more for the insulation of a rectifier's, one for each part of a reference that has ohms."""
    references = [block for block in case.spec.block("supply").blocks("heater_reference") if block.get("kind") != "to-cathode"]
    counts = Counter(str(block.get("winding", "H1")) for block in references)
    tied = {row.winding: row.tube for row in case.results.heater_cathodes if row.tied}
    for budget in case.results.heaters:
        count = counts[budget.winding]
        if budget.winding in tied:
            yield _rectifiers(case, budget, tied[budget.winding], count)
            yield _insulation(case, budget, tied[budget.winding])
        else:
            yield _others(case, budget, count)
    yield from _ohms(case)


def _takers(case: Case, budget: HeaterBudget) -> list[str]:
    """The tubes and lamps on a winding."""
    return [name for name in budget.fed if isinstance(case.netlist.by_ref.get(name), Tube | Lamp)]


def _rectifiers(case: Case, budget: HeaterBudget, tube: str, count: int) -> Outcome:
    name = budget.winding
    span = case.winding(name).span
    if count:
        said = f"the winding {name} of {tube} stands at B+ and is referred to another level: that shorts the B+"
        cure = (f"take the reference off {name}",)
        here = case.at("supply/heater_reference")
        return failed(Severity.DANGER, name, here, said, value=float(count), limit=0.0, label="shorts the B+", helps=cure)
    others = [other for other in _takers(case, budget) if other != tube]
    if others:
        said = f"the winding {name} of {tube} stands at B+ and also feeds {' and '.join(others)}"
        return failed(Severity.ERROR, name, span, said, label="stands at B+", helps=(f"a winding for {tube} alone",))
    return passed(name, span, f"no reference, and nothing but {tube} on it", value=0.0, limit=0.0)


def _insulation(case: Case, budget: HeaterBudget, tube: str) -> Outcome:
    element = f"{budget.winding} insulation"
    span = case.winding(budget.winding).span
    insulation = next((t.insulation_volts for t in case.netlist.of(PowerTransformer)), None)
    if insulation is None:
        return undeclared(case, element, span, "the spec does not give the transformer's insulation (supply/transformer/insulation)")
    cold = cold_b_plus(case)
    equation = f"insulation {show_volts(insulation)} against {show_volts(cold)} cold"
    shared = {"value": cold, "limit": insulation, "unit": "V", "condition": COLD, "equation": equation}
    said = f"the winding of {tube} is insulated for {show_volts(insulation)} and stands at {show_volts(cold)}"
    if cold <= insulation:
        return passed(element, span, said, **shared)
    return failed(Severity.ERROR, element, span, said, label="stands at B+", helps=("a transformer insulated for it",), **shared)


def _others(case: Case, budget: HeaterBudget, count: int) -> Outcome:
    name = budget.winding
    span = case.winding(name).span
    used = bool(_takers(case, budget))
    wanted = 1 if used else 0
    shared = {"value": float(count), "limit": float(wanted)}
    if count == wanted:
        return passed(name, span, "one reference" if used else "unused and not referred to anything", **shared)
    if used:
        said = f"the heater winding {name} has {count or 'no'} references, not one"
        cure = "one reference: centre tap, hum-balance pot, two equal resistors, or one side"
    else:
        said = f"the heater winding {name} feeds nothing and has {count} reference{'s' if count > 1 else ''}"
        cure = "leave an unused winding open, each end insulated by itself"
    return failed(Severity.ERROR, name, case.at("supply/heater_reference"), said, label=f"{count} references", helps=(cure,), **shared)


def _ohms(case: Case) -> Iterator[Outcome]:
    """The ohms between the winding and where it is tied: one outcome per pair of resistors or per pot."""
    found: dict[str, list[Resistor | Pot]] = {}
    for part in case.netlist.parts:
        if (
            isinstance(part, Resistor | Pot)
            and part.stage == "heaters"
            and part.role.endswith(("reference-a", "reference-b", "hum-balance"))
        ):
            found.setdefault(part.role.removesuffix("-a").removesuffix("-b"), []).append(part)
    for parts in found.values():
        names = " and ".join(p.ref for p in parts)
        ohms, span = max(p.ohms for p in parts), parts[0].span
        shared = {"value": ohms, "limit": OHMS, "unit": "ohm", "equation": f"{show_ohms(ohms)} against {show_ohms(OHMS)}"}
        said = f"{names} of {show_ohms(ohms)} tie the heaters" if len(parts) > 1 else f"{names} of {show_ohms(ohms)} ties the heaters"
        if ohms <= OHMS:
            yield passed(names, span, said, **shared)
        else:
            severity = Severity.ERROR if ohms > HOPELESS_OHMS else Severity.WARNING
            helps = ("100 to 250 ohms: two of 100 ohms 0.5 W, or a wire-wound pot",)
            yield failed(severity, names, span, f"{said}: they float and hum", label="too many ohms", helps=helps, **shared)

"""Rectifier heater.

What it checks
    That a rectifier tube whose cathode is its heater has a heater winding to itself, and that any other one shares a winding only within
    its heater-cathode limit.

Why it matters
    The heater of such a rectifier stands at the whole B+. Whatever else hangs on its winding stands there too: the other tubes' heaters
    break down to their cathodes, and a pilot lamp brings B+ to the front panel.

How it is computed
    Read off the wiring of the heaters. Shared: cold B+ against the heater-cathode limit with the cathode positive.

Limits and sources
    Heater tied to cathode and not alone: danger. Separate cathode: volts above the limit of the tube library (handbook, from memory: 500 V
    EZ80 and EZ81, 450 V 6X4) are a danger.

Example (bad)
    over: heron
    supply/pilot: {lamp: filament, winding: H2, volts: 6.3 V, current: 150 mA}
    also: HTR-004

Example (good)
    over: heron
    supply/pilot: {lamp: filament, winding: H1, volts: 6.3 V, current: 150 mA}

When to waive it
    Never: it is a danger.
"""

from __future__ import annotations

from collections.abc import Iterator

from ...circuit.netlist import Lamp, Tube
from ...diagnostics import Label, Severity
from ...units import show_volts
from ..model import Case, Outcome, failed, not_evaluated, passed
from ..rectifying import ratings_of, tube_of

NAME = "rectifier-heater"


def check(case: Case) -> Iterator[Outcome]:
    """One outcome per rectifier tube."""
    rows = {row.section: row for row in case.results.heater_cathodes}
    for rectifier in case.netlist.rectifiers:
        tube = tube_of(case, rectifier)
        row = rows.get(tube.ref) if tube else None
        if tube is None or row is None:
            continue
        if row.tied:
            yield _tied(case, tube, row.winding)
        else:
            yield _separate(case, tube, row.winding, row.cathode_positive_volts)


def _tied(case: Case, tube: Tube, winding: str) -> Outcome:
    budget = next((b for b in case.results.heaters if b.winding == winding), None)
    names = budget.fed if budget else ()
    others = [n for n in names if n != tube.ref and isinstance(case.netlist.by_ref.get(n), Tube | Lamp)]
    if not others:
        return passed(tube.ref, tube.span, f"{tube.ref} has the winding {winding} to itself")
    return failed(
        Severity.DANGER,
        tube.ref,
        case.winding(winding).span,
        f"{' and '.join(others)} shares the winding {winding} with {tube.ref}, whose heater stands at B+",
        label="stands at B+",
        also=tuple(Label(case.span(name), "at B+ with it") for name in others),
        helps=(f"a heater winding that feeds {tube.ref} and nothing else",),
    )


def _separate(case: Case, tube: Tube, winding: str, volts: float) -> Outcome:
    limit = ratings_of(tube).heater_cathode_volts
    if limit is None:
        return not_evaluated(tube.ref, tube.span, f"the library has no heater-cathode limit for {tube.type.name}")
    equation = f"{show_volts(volts)} against {show_volts(float(limit))}, cathode positive"
    shared = {"value": volts, "limit": float(limit), "unit": "V", "condition": "worst of all", "equation": equation}
    said = f"{tube.ref} on {winding} has {show_volts(volts)} between heater and cathode"
    if volts <= float(limit):
        return passed(tube.ref, tube.span, said, **shared)
    message = f"{said}, its limit is {show_volts(float(limit))}"
    cure = f"a heater winding that feeds {tube.ref} and nothing else"
    return failed(Severity.DANGER, tube.ref, tube.span, message, label=f"limit {show_volts(float(limit))}", helps=(cure,), **shared)

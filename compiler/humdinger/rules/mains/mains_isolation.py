"""Isolation from the mains.

What it checks
    That no part leads from the mains into the circuit, and that the insulation of the power transformer was tested high enough.

Why it matters
    The insulation between primary and secondaries is the one barrier between the outlet and the strings.

How it is computed
    Walked over the netlist: any path from line or neutral to another net that is neither a transformer nor a class Y capacitor. The
    declared test voltage of the power transformer, `supply/transformer/insulation`.

Limits and sources
    A path: danger (physics). Tested below 1.5 kV, the test of basic insulation in an earthed amp (standard, from memory): danger. Below
    2 kV: error, and 3 kV is what transformers for 230 V are usually tested at (common practice). Not given: not evaluated, a warning in
    an amp that is sold.

Example (bad)
    over: dunlin
    supply/transformer/insulation: 100 V

Example (good)
    over: dunlin
    supply/transformer/insulation: 2 kV

When to waive it
    The danger never. The error, for a transformer that stood 2 kV on a bench made for that test.
"""

from __future__ import annotations

from collections.abc import Iterator

from ...circuit.netlist import PowerTransformer
from ...diagnostics import Severity
from ...units import show_volts
from ..model import Case, Outcome, failed, passed, undeclared

NAME = "mains-isolation"
BASIC_VOLTS = 1500.0
LEAST_VOLTS = 2000.0


def check(case: Case) -> Iterator[Outcome]:
    """One outcome per path out of the mains (one pass when there is none), and one per power transformer."""
    for path in case.results.mains_paths:
        message = f"{' and '.join(path.refs)} lead{'s' if len(path.refs) == 1 else ''} from {path.mains_net} to {path.net}"
        helps = ("nothing but a transformer between the mains and the circuit",)
        yield failed(Severity.DANGER, path.net, case.span(path.refs[0]), message, label="live", helps=helps)
    if not case.results.mains_paths:
        yield passed("mains", case.at("supply/mains"), "nothing but transformers leads from the mains to the circuit")
    for part in case.netlist.of(PowerTransformer):
        yield _insulation(case, part)


def _insulation(case: Case, part: PowerTransformer) -> Outcome:
    element, span, volts = f"{part.ref} insulation", case.at("supply/transformer/insulation"), part.insulation_volts
    if volts is None:
        missing = f"the spec does not say what the insulation of {part.ref} was tested at (supply/transformer/insulation)"
        return undeclared(case, element, span, missing, helps=("ask the maker, or look on the data sheet; do not guess",))
    equation = f"{show_volts(volts)} against {show_volts(LEAST_VOLTS)}"
    shared = {"value": volts, "limit": LEAST_VOLTS, "unit": "V", "equation": equation}
    said = f"the insulation of the power transformer {part.ref} was tested at {show_volts(volts)}"
    if volts >= LEAST_VOLTS:
        return passed(element, span, said, **shared)
    severity = Severity.DANGER if volts < BASIC_VOLTS else Severity.ERROR
    message = f"{said}, less than {show_volts(LEAST_VOLTS)}: it is what keeps the mains off the player"
    return failed(severity, element, span, message, label="too low", helps=("another transformer",), **shared)

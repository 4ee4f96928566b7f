"""Test point for the bias.

What it checks
    That the cathode current of each output tube can be read with a voltmeter.

Why it matters
    A fixed bias has to be set and checked. Without a resistor under the cathode the builder meters plate current at 400 V, or guesses.

How it is computed
    Read off the netlist: the resistor from each output cathode to ground, and its declared tolerance.

Limits and sources
    In fixed bias a resistor of 10 ohm or less and 1 % or better under each cathode, else warning; 1 ohm shows millivolts for
    milliamps. The cathode resistor of a cathode bias serves as it is (common practice).

Example (bad)
    over: heron
    bias/test_resistor: ~

Example (good)
    over: heron
    bias/test_resistor: 1 1W 1%

When to waive it
    Where sockets with a break for an ammeter are fitted.
"""

from __future__ import annotations

from collections.abc import Iterator

from ...diagnostics import Severity
from ...units import show_ohms
from ..cathodes import resistor_under
from ..model import Case, Outcome, failed, not_evaluated, passed

NAME = "bias-test-point"
TOLERANCE = 0.01


def check(case: Case) -> Iterator[Outcome]:
    """One outcome per output tube."""
    fixed = case.netlist.bias_scheme == "fixed"
    cure = ("a resistor of 1 ohm 1 % from each cathode to ground (bias/test_resistor)",)
    for ref in case.netlist.power_sections:
        part = resistor_under(case, ref)
        span = part.span if part else case.at("bias")
        if part is None:
            yield failed(Severity.WARNING, ref, span, f"the cathode current of {ref} cannot be read", label="no test resistor", helps=cure)
        elif not fixed:
            yield passed(ref, span, f"{part.ref} of {show_ohms(part.ohms)} shows the cathode current of {ref}")
        elif part.tolerance is None:
            yield not_evaluated(ref, span, f"the spec does not give the tolerance of {part.ref}")
        elif part.tolerance > TOLERANCE * (1.0 + 1e-9):
            shared = {"value": 100.0 * part.tolerance, "limit": 100.0 * TOLERANCE, "unit": "%"}
            message = f"{part.ref} reads the current of {ref} to {100 * part.tolerance:g} %, worse than {100 * TOLERANCE:g} %"
            yield failed(Severity.WARNING, ref, span, message, label="tolerance", helps=cure, **shared)
        else:
            yield passed(ref, span, f"{part.ref} of {show_ohms(part.ohms)} shows the cathode current of {ref}")

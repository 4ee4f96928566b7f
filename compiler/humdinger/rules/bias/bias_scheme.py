"""Bias scheme.

What it checks
    That the output tubes have one bias scheme: either a resistor under the cathode and the grid at ground, or a negative grid and the
    cathode at ground but for a test resistor.

Why it matters
    Two schemes on one tube add up: the meter shows the bias the builder set, the tube sees another, and the adjustment no longer
    reaches it.

How it is computed
    Grid volts of the solved amp at nominal mains and the resistance from cathode to ground.

Limits and sources
    Cathode bias: cathode above ground, grid within 0.5 V of it. Fixed bias: grid negative, 10 ohm at most under the cathode, which is a
    test resistor (common practice). Anything else: error. Also known as BIA-011.

Example (bad)
    over: heron
    bias/test_resistor: 220 5W wirewound
    also: BIA-003, BIA-004

Example (good)
    over: heron
    bias/test_resistor: 1 1W 1%

When to waive it
    A mixed bias that was meant: state the volts of both parts in the reason.
"""

from __future__ import annotations

from collections.abc import Iterator

from ...diagnostics import Severity
from ...units import show_ohms
from ..cathodes import resistor_under
from ..model import Case, Outcome, failed, passed
from ..printed import say_volts

NAME = "bias-scheme"
TEST_OHMS = 10.0
STILL_VOLTS = 0.5


def check(case: Case) -> Iterator[Outcome]:
    """One outcome per output tube."""
    fixed = case.netlist.bias_scheme == "fixed"
    for ref in case.netlist.power_sections:
        point = case.results.nominal.sections.get(ref)
        if point is None:
            continue
        under = resistor_under(case, ref)
        ohms = under.ohms if under else 0.0
        grid = point.grid_volts + point.cathode_to_ground_volts
        said = f"{ref} has its grid at {say_volts(grid)} and {show_ohms(ohms)} under its cathode"
        equation = f"grid {say_volts(grid)}, cathode {say_volts(point.cathode_to_ground_volts)} over {show_ohms(ohms)}"
        shared = {"value": ohms, "unit": "ohm", "condition": "nominal", "equation": equation}
        if fixed:
            shared["limit"] = TEST_OHMS
        good = (grid < 0.0 and ohms <= TEST_OHMS) if fixed else (ohms > 0.0 and abs(grid) <= STILL_VOLTS)
        if good:
            yield passed(ref, case.at("bias/scheme"), said, **shared)
            continue
        span = under.span if fixed and under else case.at("bias/scheme")
        helps = ("one scheme: a test resistor of 1 ohm in fixed bias, no negative supply in cathode bias",)
        message = f"{said}: {'cathode bias on top of fixed bias' if fixed and ohms > TEST_OHMS else 'no bias of its scheme'}"
        yield failed(Severity.ERROR, ref, span, message, label="second bias", helps=helps, **shared)

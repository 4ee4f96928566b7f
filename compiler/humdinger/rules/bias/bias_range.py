"""Range of the bias adjustment.

What it checks
    That the adjustment of a fixed bias can bring any tube of the type to any idle a builder may want, from cool to hot.

Why it matters
    Tubes of one type differ by a fifth and more. With too small a range some cannot be set at all: they idle cold and rasp, or
    they cannot be brought below their limit.

How it is computed
    Idle dissipation in percent of the rating, the pot at each end, solved at high mains for the cold end and at low mains for the
    hot one; then 20 % up for the strongest tube and 20 % down for the weakest.

Limits and sources
    The strongest tube at the cold end at high mains 40 % or less, the weakest at the hot end at low mains 90 % or more: else error
    (common practice).

Example (bad)
    over: heron
    bias/range/to_ground: 16k
    controls/BIAS: 6.5

Example (good)
    over: heron

When to waive it
    With tubes bought to a stated current at a stated bias.
"""

from __future__ import annotations

from collections.abc import Iterator

from ...diagnostics import Severity
from ..model import Case, Outcome, failed, not_evaluated, passed
from ..printed import say_ratio
from ..wording import apart

NAME = "bias-range"
COOL, HOT = 40.0, 90.0
SPREAD = 0.2


def check(case: Case) -> Iterator[Outcome]:
    """Two outcomes per amp with an adjustable fixed bias: one per end."""
    if case.netlist.bias_scheme != "fixed":
        return
    found = case.results.bias_range
    if found is None or found.most_percent_cold is None or found.least_percent_hot is None:
        yield not_evaluated("range", case.at("bias/range"), "the amp has no solution with the adjustment at its ends")
        return
    strong, weak = (1.0 + SPREAD) * found.most_percent_cold, (1.0 - SPREAD) * found.least_percent_hot
    cold = f"{say_ratio(found.most_percent_cold)} % x {1 + SPREAD:.1f} = {say_ratio(strong)} % at the cold end; wanted {COOL:.0f} % or less"
    hot = f"{say_ratio(found.least_percent_hot)} % x {1 - SPREAD:.1f} = {say_ratio(weak)} % at the hot end; wanted {HOT:.0f} % or more"
    yield _end(case, "cold end", strong, COOL, strong <= COOL, ("high", cold), "the strongest tube", "a smaller to_negative")
    yield _end(case, "hot end", weak, HOT, weak >= HOT, ("low", hot), "the weakest tube", "a smaller to_ground, or a larger pot")


def _end(case: Case, element: str, value: float, limit: float, good: bool, at: tuple[str, str], tube: str, cure: str) -> Outcome:
    shared = {"value": value, "limit": limit, "unit": "%", "condition": at[0], "equation": at[1]}
    shown, bound = apart(value, limit)
    said = f"at the {element} of the bias {tube} idles at {shown} % of its plate rating"
    if good:
        return passed(element, case.at("bias/range"), said, **shared)
    message = f"{said}; the range must reach {bound} %"
    return failed(Severity.ERROR, element, case.at("bias/range"), message, label=element, helps=(cure,), **shared)

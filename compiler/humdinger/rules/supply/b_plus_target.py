"""B+ target.

What it checks
    The computed volts of each B+ node for which the spec declares a target.

Why it matters
    The target is what the design was drawn for: bias, headroom and life of the tubes follow from it.

How it is computed
    Solved volts at nominal mains, idle, against `performance/b_plus_target`.

Limits and sources
    Up to 5 % off passes, more is a warning; 10 % is about what one preferred value of a dropper moves (common practice).

Example (bad)
    over: dunlin
    performance/b_plus_target: {B1: 360 V}

Example (good)
    over: dunlin
    performance/b_plus_target: {B1: 280 V}

When to waive it
    When the computed figure suits the tubes and the target was a wish.
"""

from __future__ import annotations

from collections.abc import Iterator

from ...diagnostics import Severity
from ...units import Quantity, show_volts
from ..model import Case, Outcome, failed, not_evaluated, passed

NAME = "b-plus-target"
PASS_PERCENT = 5.0


def check(case: Case) -> Iterator[Outcome]:
    """One outcome per declared node."""
    for node, field in case.spec.block("performance").block("b_plus_target"):
        target = field.value
        if not isinstance(target, Quantity):
            continue
        volts = case.results.nominal.volts.get(node)
        if volts is None:
            yield not_evaluated(node, field.span, f"there is no node {node}")
            continue
        percent = 100.0 * (volts / target.value - 1.0)
        equation = f"{show_volts(volts)} / {show_volts(target.value)} = {percent:+.1f} %; limit {PASS_PERCENT:.0f} %"
        shared = {"value": volts, "limit": target.value, "unit": "V", "condition": "nominal", "equation": equation}
        said = f"{node} has {show_volts(volts)}, {percent:+.1f} % off its {show_volts(target.value)}"
        if abs(percent) <= PASS_PERCENT:
            yield passed(node, field.span, said, **shared)
        else:
            cure = "a larger dropper" if percent > 0.0 else "a smaller dropper, or a transformer of more volts"
            yield failed(Severity.WARNING, node, field.span, said, label=f"{show_volts(volts)} computed", helps=(cure,), **shared)

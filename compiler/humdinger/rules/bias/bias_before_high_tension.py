"""Bias before high tension.

What it checks
    That the negative bias is at the output grids before the output tubes begin to conduct.

Why it matters
    Tubes that warm up on a bias still on its way draw all they can for as long as it takes; each switch-on costs them life.

How it is computed
    Mean delay from the bias winding to the grids, the first moment of the step response of the solved amp, against the time an
    indirectly heated output tube takes to conduct. After a short break the tubes are still hot: that case is not computed.

Limits and sources
    10 seconds of warm-up (common practice); longer: warning.

Example (bad)
    over: heron
    bias/feed_capacitor: 220u 100V
    also: TRM-004

Example (good)
    over: heron

When to waive it
    With a standby switch that is labelled, and a manual that says when to use it.
"""

from __future__ import annotations

from collections.abc import Iterator

from ...diagnostics import Severity
from ...units import show_seconds
from ..model import Case, Outcome, failed, not_evaluated, passed

NAME = "bias-before-high-tension"
WARM_UP_SECONDS = 10.0


def check(case: Case) -> Iterator[Outcome]:
    """One outcome per amp with fixed bias."""
    found = case.results.bias_supply
    if found is None:
        return
    span = case.at("bias/filter")
    if found.settle_seconds is None:
        yield not_evaluated("bias", span, "the bias does not reach a grid")
        return
    seconds = found.settle_seconds
    equation = f"{show_seconds(seconds)} against a warm-up of {show_seconds(WARM_UP_SECONDS)}"
    shared = {"value": seconds, "limit": WARM_UP_SECONDS, "unit": "s", "condition": "nominal", "equation": equation}
    said = f"the bias takes {show_seconds(seconds)} to the output grids"
    if seconds < WARM_UP_SECONDS:
        yield passed("bias", span, said, **shared)
    else:
        message = f"{said}, longer than the {show_seconds(WARM_UP_SECONDS)} the tubes take to conduct"
        yield failed(Severity.WARNING, "bias", span, message, label="slow", helps=("smaller filter capacitors or resistors",), **shared)

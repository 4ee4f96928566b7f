"""Cathode bias against the tremolo.

What it checks
    How much of the tremolo's slow wave the cathode resistor of the output stage leaves.

Why it matters
    The wave moves all output tubes together, so their cathode current moves the cathode after the grid and takes the wave back. At some
    cycles a second the usual bypass capacitor is no help.

How it is computed
    |(1 + jwRC)/(1 + n gm R + jwRC)| at the slowest rate, n tubes on the resistor, gm of plate and screen together.

Limits and sources
    Below 0.7: warning; error when the depth (TRM-004) fails with this factor applied (computed).

Example (bad)
    over: curlew
    bias/bypass: 220u 63V

Example (good)
    over: curlew
    bias/bypass: 1000u 63V

When to waive it
    The warning, where the depth was measured and liked.
"""

from __future__ import annotations

from collections.abc import Iterator

from ...diagnostics import Severity
from ...units import show_hertz, show_volts
from ..model import Case, Outcome, failed, passed
from .tremolo_depth import SPARE

NAME = "cathode-bias-against-tremolo"
LEAST = 0.7


def check(case: Case) -> Iterator[Outcome]:
    """One outcome per output tube of an amp with tremolo and cathode bias."""
    found = case.results.tremolo
    if found is None or case.netlist.bias_scheme != "cathode":
        return
    span = case.at("bias/bypass")
    available, needed = found.available_peak_volts, found.needed_peak_volts
    for ref, share in found.retained.items():
        equation = f"|(1 + jwRC)/(1 + n gm R + jwRC)| = {share:.2f} at {show_hertz(found.slow_hertz)}; wanted {LEAST:g}"
        shared = {"value": share, "limit": LEAST, "unit": "x", "condition": "nominal, slowest rate", "equation": equation}
        said = f"the cathode of {ref} leaves {share:.2f} of the tremolo at {show_hertz(found.slow_hertz)}"
        if share >= LEAST:
            yield passed(ref, span, said, **shared)
            continue
        severity = Severity.WARNING
        if available is not None and needed is not None and available * share < SPARE * needed:
            severity = Severity.ERROR
            said += f": {show_volts(available * share)} of the {show_volts(SPARE * needed)} wanted"
        helps = ("2200 µF or more across the cathode resistor, a faster slow end, or fixed bias",)
        yield failed(severity, ref, span, said, label=f"retains {share:.2f}", helps=helps, **shared)

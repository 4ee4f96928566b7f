"""Depth of the tremolo.

What it checks
    Whether the wave that reaches the output grids is large enough for a tremolo that is plainly heard.

Why it matters
    Mixing resistors and the intensity pot eat most of the wave. What is left decides between a pulse and a faint wobble.

How it is computed
    At the output grids and their bias: estimated swing of the oscillator's plate at its slowest rate times the share that arrives at the
    grids, intensity full up; needed: the peak at whose crests the transconductance of an output tube differs by 6 dB, by its own law,
    plate and screen standing still. At any other point: gain from input to speaker over one turn of the wave, solved for the whole amp.

Limits and sources
    Available below 1.3 times needed, or less than 6 dB from softest to loudest where the gain is solved: warning (computed). 6 dB from
    loudest to softest is a depth of 0.33 (own choice).

Example (bad)
    over: curlew
    modulation/injection/through: 10M

Example (good)
    over: curlew

When to waive it
    For a tremolo that is meant to be slight.
"""

from __future__ import annotations

from collections.abc import Iterator

from ...analysis.results import Tremolo
from ...diagnostics import Severity, Span
from ..model import Case, Outcome, failed, not_evaluated, passed
from ..oscillating import AT_THE_GRIDS, oscillator
from ..printed import say_volts

NAME = "tremolo-depth"
SPARE = 1.3
LEAST_DB = 6.0


def _solved(found: Tremolo, span: Span) -> Outcome:
    run = found.running
    if run is None:
        return not_evaluated("depth", span, "the wave of the running tremolo has no solution, or the oscillator does not start")
    said = f"the tremolo moves the gain by {run.depth_db:.1f} dB"
    shared = {
        "value": run.depth_db,
        "limit": LEAST_DB,
        "unit": "dB",
        "condition": "nominal, intensity full, slowest rate",
        "equation": f"{run.loudest_gain:.3g} at its loudest / {run.softest_gain:.3g} at its softest; wanted {LEAST_DB:g} dB",
    }
    if run.depth_db >= LEAST_DB:
        return passed("depth", span, said, **shared)
    helps = ("more of the wave at the injection: a smaller resistor there, a follower, or a larger plate load of the oscillator",)
    return failed(Severity.WARNING, "depth", span, f"{said}, wanted {LEAST_DB:g}", label=f"{run.depth_db:.1f} dB", helps=helps, **shared)


def check(case: Case) -> Iterator[Outcome]:
    """One outcome per tremolo."""
    if oscillator(case) is None:
        return
    found, span = case.results.tremolo, case.at("modulation/injection")
    if found is not None and found.injection not in AT_THE_GRIDS:
        yield _solved(found, span)
        return
    if found is None or found.available_peak_volts is None or found.needed_peak_volts is None:
        yield not_evaluated("depth", span, "the swing of the oscillator or the law of the output tubes is not known")
        return
    available, needed = found.available_peak_volts, found.needed_peak_volts
    ratio = available / needed if needed > 0.0 else float("inf")
    equation = f"{say_volts(available)} peak / {say_volts(needed)} for 6 dB = {ratio:.2f}; wanted {SPARE:g}"
    shared = {"value": ratio, "limit": SPARE, "unit": "x", "condition": "nominal, intensity full, slowest rate", "equation": equation}
    said = f"{say_volts(available)} of tremolo arrive at the output grids, {say_volts(needed)} make 6 dB"
    if ratio >= SPARE:
        yield passed("depth", span, said, **shared)
    else:
        helps = ("less loss in the mixing resistors, or a larger plate load of the oscillator",)
        yield failed(Severity.WARNING, "depth", span, said, label=f"{ratio:.2f} x", helps=helps, **shared)

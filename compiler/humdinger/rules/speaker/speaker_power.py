"""Speaker power.

What it checks
    The rated watts of the speaker against the clean watts of the amp.

Why it matters
    A guitar amp is driven into clipping, where it gives up to twice its clean power; a speaker rated for less loses its voice coil.

How it is computed
    Rated watts over clean watts into the load, by the tube's own law; of several speakers alike, each over its share.

Limits and sources
    Below 1.5 warning, below 1.0 error; for an amp that is played overdriven 2, because a square wave has twice the power of a sine
    of its height (common practice; computed).

Example (bad)
    over: dunlin
    speaker/power: 5 W

Example (good)
    over: dunlin
    speaker/power: 15 W

When to waive it
    The warning, for an amp that never leaves the shop with a knob above half.
"""

from __future__ import annotations

from collections.abc import Iterator
from itertools import islice

from ...circuit.netlist import Speaker
from ...diagnostics import Severity
from ...units import show_watts
from ..model import Case, Outcome, failed, not_evaluated, passed

NAME = "speaker-power"
LEAST, GOOD, DRIVEN = 1.0, 1.5, 2.0


def check(case: Case) -> Iterator[Outcome]:
    """One outcome for the speakers, which are of one kind."""
    load = case.results.load
    if load is None:
        return
    count = sum(1 for _ in case.netlist.of(Speaker))
    share = load.clean_watts / max(count, 1)
    for speaker in islice(case.netlist.of(Speaker), 1):
        span = case.at("speaker/power")
        if speaker.watts is None:
            message = f"the spec does not give the speaker's power; it gets {show_watts(share)} clean"
            yield not_evaluated(speaker.ref, span, message)
            continue
        if load.clean_watts <= 0.0:
            yield not_evaluated(speaker.ref, span, "the output stage gives no clean power to compare with")
            continue
        ratio = speaker.watts / share
        equation = f"{show_watts(speaker.watts)} / {show_watts(share)} clean = {ratio:.2f}; wanted {GOOD:g}, overdriven {DRIVEN:g}"
        shared = {"value": ratio, "limit": GOOD, "unit": "x", "condition": "nominal", "equation": equation}
        each = "the speaker is" if count == 1 else f"each of {count} speakers is"
        said = f"{each} rated {show_watts(speaker.watts)}, {ratio:.2f} times the clean {show_watts(share)}"
        if ratio >= GOOD:
            yield passed(speaker.ref, span, said, **shared)
            continue
        severity = Severity.WARNING if ratio >= LEAST else Severity.ERROR
        helps = (f"a speaker of {show_watts(DRIVEN * share)} or more",)
        yield failed(severity, speaker.ref, span, said, label=f"{ratio:.2f} x", helps=helps, **shared)

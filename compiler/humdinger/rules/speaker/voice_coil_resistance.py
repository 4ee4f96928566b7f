"""Voice coil resistance.

What it checks
    The measured resistance of the speaker against its declared impedance.

Why it matters
    A speaker out of a donor is often unmarked, or marked wrong, or two in a box. The ohmmeter tells before the output tubes do.

How it is computed
    Direct-current resistance over nominal impedance.

Limits and sources
    Outside 0.65 to 0.95: warning (common practice). Not measured: not evaluated.

Example (bad)
    over: dunlin
    speaker/resistance: 4

Example (good)
    over: dunlin
    speaker/resistance: 6.3

When to waive it
    When the impedance was measured at 400 Hz.
"""

from __future__ import annotations

from collections.abc import Iterator
from itertools import islice

from ...circuit.netlist import Speaker
from ...diagnostics import Severity
from ...units import show_ohms
from ..model import Case, Outcome, failed, not_evaluated, passed

NAME = "voice-coil-resistance"
LOW, HIGH = 0.65, 0.95


def check(case: Case) -> Iterator[Outcome]:
    """One outcome for the speakers, which are of one kind."""
    for speaker in islice(case.netlist.of(Speaker), 1):
        span = case.at("speaker/resistance")
        if speaker.resistance is None:
            yield not_evaluated(speaker.ref, span, "the voice coil was not measured (speaker/resistance)")
            continue
        ratio = speaker.resistance / speaker.ohms
        equation = f"{show_ohms(speaker.resistance)} / {show_ohms(speaker.ohms)} = {ratio:.2f}; usual {LOW:g} to {HIGH:g}"
        shared = {"value": ratio, "limit": HIGH if ratio > HIGH else LOW, "unit": "x", "equation": equation}
        said = f"the voice coil has {ratio:.2f} of the declared {show_ohms(speaker.ohms)}"
        if LOW <= ratio <= HIGH:
            yield passed(speaker.ref, span, said, **shared)
        else:
            message = f"{said}, usual are {LOW:g} to {HIGH:g}"
            yield failed(Severity.WARNING, speaker.ref, span, message, label=f"{ratio:.2f} x", helps=("check the impedance",), **shared)

"""Speaker impedance.

What it checks
    The impedance of the speaker against the tap it hangs on.

Why it matters
    The load of the output tubes goes with it: a wrong tap halves or doubles what they see.

How it is computed
    Ohms of the speakers on the tap, in parallel, over the ohms of the tap.

Limits and sources
    Within 25 % pass; up to 2:1 either way, and above, warning; below one half error (common practice). What the tubes make of it is judged
    by OTX-001.

Example (bad)
    over: curlew
    speaker/impedance: 12 ohm
    speaker/resistance: 9
    speaker/load_resistor: 390 5W
    also: OTX-001

Example (good)
    over: curlew
    speaker/impedance: 8 ohm

When to waive it
    The warning, for a load chosen by OTX-001.
"""

from __future__ import annotations

from collections.abc import Iterator

from ...circuit.netlist import OutputTransformer, Speaker
from ...diagnostics import Severity
from ...units import show_ohms
from ..model import Case, Outcome, failed, passed

NAME = "speaker-impedance"
CLOSE = 0.25
LOWEST = 0.5


def check(case: Case) -> Iterator[Outcome]:
    """One outcome per tap with a speaker on it."""
    transformer = next(case.netlist.of(OutputTransformer), None)
    if transformer is None:
        return
    for tap in transformer.taps:
        speakers = [s for s in case.netlist.of(Speaker) if transformer.net(tap.pin) in {pin.net for pin in s.pins}]
        if not speakers:
            continue
        ohms = 1.0 / sum(1.0 / s.ohms for s in speakers)
        ratio = ohms / tap.ohms
        equation = f"{show_ohms(ohms)} / {show_ohms(tap.ohms)} = {ratio:.2f}"
        limit = 1.0 + CLOSE if ratio > 1.0 else 1.0 - CLOSE
        shared = {"value": ratio, "limit": limit, "unit": "x", "equation": equation}
        said = f"a speaker of {show_ohms(ohms)} hangs on the {tap.pin} ohm tap"
        span = speakers[0].span
        if 1.0 - CLOSE <= ratio <= 1.0 + CLOSE:
            yield passed(f"tap {tap.pin}", span, said, **shared)
            continue
        severity = Severity.ERROR if ratio < LOWEST else Severity.WARNING
        helps = ("the tap of the speaker's impedance (speaker/tap)",)
        yield failed(severity, f"tap {tap.pin}", span, f"{said}, {ratio:.2f} times it", label=f"{ratio:.2f} x", helps=helps, **shared)

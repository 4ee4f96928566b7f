"""Power of the output transformer.

What it checks
    The rated watts of the output transformer against the clean watts of the amp.

Why it matters
    A core too small saturates on low notes: the bass turns to mud, the plate current peaks, and the winding heats.

How it is computed
    Clean watts into the load by the tube's own law, over the rated watts at the maker's lowest frequency.

Limits and sources
    Rated watts below the clean watts: error. One and a half times the clean watts are better (common practice).

Example (bad)
    over: dunlin
    output/transformer/power: 4 W

Example (good)
    over: dunlin
    output/transformer/power: 8 W

When to waive it
    For a transformer that was measured at the lowest note and the full power.
"""

from __future__ import annotations

from collections.abc import Iterator

from ...circuit.netlist import OutputTransformer
from ...diagnostics import Severity
from ...units import show_hertz, show_watts
from ..model import Case, Outcome, failed, not_evaluated, passed

NAME = "output-transformer-power"
LEAST = 1.0
GOOD = 1.5


def check(case: Case) -> Iterator[Outcome]:
    """One outcome for the output transformer."""
    load = case.results.load
    part = next(case.netlist.of(OutputTransformer), None)
    if load is None or part is None:
        return
    span = case.at("output/transformer/power")
    if part.watts is None:
        yield not_evaluated(part.ref, span, "the spec does not give the transformer's power (output/transformer/power)")
        return
    if load.clean_watts <= 0.0:
        yield not_evaluated(part.ref, span, "the output stage gives no clean power to compare with")
        return
    ratio = part.watts / load.clean_watts
    at = f" at {show_hertz(part.watts_hertz)}" if part.watts_hertz else ""
    equation = f"{show_watts(part.watts)}{at} / {show_watts(load.clean_watts)} clean = {ratio:.2f}; {load.formula}"
    shared = {"value": ratio, "limit": LEAST, "unit": "x", "condition": "nominal", "equation": equation}
    said = f"{part.ref} is rated {show_watts(part.watts)}{at} and gets {show_watts(load.clean_watts)}"
    if ratio >= LEAST:
        yield passed(part.ref, span, said if ratio >= GOOD else f"{said}; {GOOD:g} times is better", **shared)
    else:
        yield failed(Severity.ERROR, part.ref, span, said, label=f"{ratio:.2f} x", helps=("a larger output transformer",), **shared)

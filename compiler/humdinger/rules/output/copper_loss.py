"""Copper loss of the output transformer.

What it checks
    How much of the output power stays in the windings of the output transformer.

Why it matters
    What heats copper is not heard. A resistance far above what such windings have was measured wrong or written in the wrong place, and
    every figure of the output stage is wrong with it.

How it is computed
    The primary's resistance, the secondary's times the turns ratio squared, over both and the load that the speaker makes through the tap.

Limits and sources
    Up to 10 % of the power passes, more is info (common practice). Above 25 % warning, above 50 % error: no audio transformer is wound
    like that (common practice). Into a load that is wrong itself (OTX-001) an info only.

Example (bad)
    over: dunlin
    output/transformer/resistance: {primary: 280, secondary: 30}

Example (good)
    over: curlew
    output/transformer/resistance: {primary: 240, secondary: 0.4}

When to waive it
    For a transformer whose resistances were measured cold, at its own leads, with the resistance of the meter's leads taken off.
"""

from __future__ import annotations

from collections.abc import Iterator

from ...circuit.netlist import OutputTransformer
from ...diagnostics import Severity
from ...units import show_ohms
from ..model import Case, Outcome, failed, passed
from .output_load import HIGHEST, LOWEST

NAME = "copper-loss"
PASS_PERCENT, WARNING_PERCENT, ERROR_PERCENT = 10.0, 25.0, 50.0


def check(case: Case) -> Iterator[Outcome]:
    """One outcome for the output transformer."""
    loss, load = case.results.copper, case.results.load
    if loss is None or load is None:
        return
    part = case.part(loss.ref)
    if not isinstance(part, OutputTransformer):
        return
    percent, span = 100.0 * loss.share, case.at("output/transformer/resistance")
    primary, secondary = 100.0 * loss.primary_share, 100.0 * loss.secondary_share
    equation = (
        f"primary {primary:.1f} % + secondary {secondary:.1f} % = {percent:.1f} %, into {show_ohms(load.load_ohms)} on tap {load.tap}"
    )
    shared = {"value": percent, "limit": PASS_PERCENT, "unit": "%", "condition": "nominal", "equation": equation}
    said = f"{percent:.0f} % of the power stays in the windings of {part.ref}"
    if percent <= PASS_PERCENT:
        yield passed(part.ref, span, said, **shared)
        return
    side = "secondary" if secondary > primary else "primary"
    severity = Severity.INFO
    if percent > WARNING_PERCENT and (load.ratio is None or LOWEST <= load.ratio <= HIGHEST):
        severity = Severity.ERROR if percent > ERROR_PERCENT else Severity.WARNING
    helps = (f"measure the {side} again, less the meter's own leads; if it is right, a better transformer",)
    if severity is Severity.INFO:
        helps = ("a transformer with more copper gives more power",)
    yield failed(severity, part.ref, span, said, label=f"most in the {side}", helps=helps, **shared)

"""Mains match.

What it checks
    The mains of the region against the volts and the frequency the primary was made for.

Why it matters
    Above its volts per hertz a core saturates: the primary then draws amps with no load at all and burns. Off its volts, every other
    voltage in the amp is off in proportion, the heaters first.

How it is computed
    Nominal mains over the volts of the tap in use; the same times the lowest rated frequency over that of the mains, where that is lower.

Limits and sources
    Volts: above 1.15 or below 0.75 danger, above 1.10 error, above 1.06 or below 0.93 warning. Volts per hertz above 1.10 of the rating for
    a part not made for this frequency: danger; above 1.06 warning (a transformer maker's note on saturation, as quoted; bands: common
    practice).

Example (bad)
    over: curlew
    supply/transformer/primary/0/hz: [60]

Example (good)
    over: curlew
    supply/transformer/primary/0/hz: [50, 60]

When to waive it
    The warning, when the measured mains of the place is nearer to the tap than the nominal.
"""

from __future__ import annotations

from collections.abc import Iterator

from ...circuit.netlist import PowerTransformer
from ...diagnostics import Severity
from ...units import show_hertz, show_volts
from ..model import Case, Outcome, failed, passed

NAME = "mains-match"
DANGER_HIGH, ERROR_HIGH, WARNING_HIGH = 1.15, 1.10, 1.06
WARNING_LOW, DANGER_LOW = 0.93, 0.75


def check(case: Case) -> Iterator[Outcome]:
    """Two outcomes per power transformer: volts, and volts per hertz."""
    mains = float(case.netlist.region.nominal_volts)
    for transformer in case.netlist.of(PowerTransformer):
        ratio = mains / transformer.primary_volts
        yield _ratio(case, transformer, mains, ratio)
        yield _flux_ratio(case, transformer, ratio)


def _ratio(case: Case, transformer: PowerTransformer, mains: float, ratio: float) -> Outcome:
    element = f"{transformer.ref} volts"
    span = case.at("supply/transformer/primary")
    equation = f"{show_volts(mains)} / {show_volts(transformer.primary_volts)} = {ratio:.2f}"
    limit = WARNING_LOW if ratio < 1.0 else WARNING_HIGH
    shared = {"value": ratio, "limit": limit, "unit": "x", "equation": equation}
    said = f"{show_volts(mains)} mains on a primary for {show_volts(transformer.primary_volts)}"
    severity = _volts(ratio)
    if severity is None:
        return passed(element, span, said, **shared)
    message = f"{said}: {ratio:.2f} times, limit {limit:g}"
    return failed(severity, element, span, message, helps=("a transformer with a tap for this mains",), **shared)


def _flux_ratio(case: Case, transformer: PowerTransformer, ratio: float) -> Outcome:
    element = f"{transformer.ref} volts per hertz"
    span = case.at("supply/transformer/primary")
    hertz = case.netlist.mains_hertz
    lowest = min(transformer.primary_hertz, default=hertz)
    flux = ratio * max(lowest / hertz, 1.0)
    equation = f"{ratio:.2f} x {show_hertz(max(lowest, hertz))} / {show_hertz(hertz)} = {flux:.2f} of the rated volts per hertz"
    shared = {"value": flux, "limit": WARNING_HIGH, "unit": "x", "equation": equation}
    severity = _flux(flux, lowest > hertz)
    if severity is None:
        return passed(element, span, f"{flux:.2f} times the rated volts per hertz", **shared)
    message = (
        f"a primary for {show_hertz(lowest)} and more on {show_hertz(hertz)}: {flux:.2f} times its volts per hertz, limit {WARNING_HIGH:g}"
    )
    helps = ("a transformer for this frequency",)
    return failed(severity, element, span, message, label=f"for {show_hertz(lowest)}", helps=helps, **shared)


def _volts(ratio: float) -> Severity | None:
    if ratio > DANGER_HIGH or ratio < DANGER_LOW:
        return Severity.DANGER
    if ratio > ERROR_HIGH:
        return Severity.ERROR
    return Severity.WARNING if ratio > WARNING_HIGH or ratio < WARNING_LOW else None


def _flux(flux: float, foreign: bool) -> Severity | None:
    """foreign: the mains' frequency is below every rated one; otherwise the volts have said it all."""
    if not foreign:
        return None
    if flux > ERROR_HIGH:
        return Severity.DANGER
    return Severity.WARNING if flux > WARNING_HIGH else None

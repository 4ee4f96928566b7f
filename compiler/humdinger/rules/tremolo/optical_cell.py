"""Optical cell.

What it checks
    The ratings of the cell that the tremolo lights: current of its diode, direct volts across the cell, and whether it can follow.

Why it matters
    A diode above its current grows dim for good. A cell across direct volts heats itself and goes. A slow one leaves half of the depth
    that was computed, and the more so the faster the tremolo runs.

How it is computed
    Current of the diode at the brightest moment of the solved wave, intensity full; direct volts across the cell; the time it takes to
    darken against the period of the fastest rate.

Limits and sources
    Above the figures that the spec takes from the cell's maker: warning (common practice). Darkening slower than a quarter of the fastest
    period: information (own choice). Without a figure in the spec: not evaluated.

Example (bad)
    over: curlew
    signal/3: {stage: optical-cell, id: p, arrangement: series, resistor: 220k, cell: {dark: 1M, bright: 2k, at: 1 mA}}
    signal/3/cell/light_current: 1 mA
    modulation/injection: {point: optical, stage: p, follower: {tube: V2b, supply: B3, cathode_resistor: 47k 1W}}

Example (good)
    over: curlew
    signal/3: {stage: optical-cell, id: p, arrangement: series, resistor: 220k, cell: {dark: 1M, bright: 2k, at: 1 mA}}
    signal/3/cell/light_current: 20 mA
    modulation/injection: {point: optical, stage: p, follower: {tube: V2b, supply: B3, cathode_resistor: 47k 1W}}

When to waive it
    The time, for a tremolo that is liked slow and soft.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator

from ...circuit.netlist import Coupler
from ...diagnostics import Severity
from ...units import show_amps, show_seconds, show_volts
from ..model import Case, Outcome, failed, not_evaluated, passed

NAME = "optical-cell"
QUARTER = 0.25


def check(case: Case) -> Iterator[Outcome]:
    """Up to three outcomes per coupler."""
    found = case.results.tremolo
    for part in case.netlist.of(Coupler):
        run = found.running if found is not None else None
        if found is None or run is None or run.cell is None:
            yield not_evaluated(part.ref, part.span, f"the wave that lights {part.ref} has no solution")
            continue
        yield _limit(part, "current", part.light_amps, run.cell.most_amps, "A", show_amps, "of the diode at its brightest")
        yield _limit(part, "volts", part.cell_volts, abs(run.cell.dc_volts), "V", show_volts, "of direct voltage across the cell")
        yield _time(part, 1.0 / found.fast_hertz)


def _limit(part: Coupler, what: str, limit: float | None, value: float, unit: str, show: Callable[[float], str], words: str) -> Outcome:
    about = f"{part.ref} {what}"
    if limit is None:
        return not_evaluated(about, part.span, f"the spec gives {part.ref} no greatest {what}; here it is {show(value)}")
    said = f"{part.ref} has {show(value)} {words}"
    shared = {
        "value": value,
        "limit": limit,
        "unit": unit,
        "condition": "nominal, intensity full, slowest rate",
        "equation": f"{show(value)} against {show(limit)}",
    }
    if value <= limit:
        return passed(about, part.span, said, **shared)
    helps = ("a larger cathode resistor of the follower",) if what == "current" else ("a coupling capacitor ahead of the cell",)
    return failed(Severity.WARNING, about, part.span, f"{said}, more than its {show(limit)}", label=show(value), helps=helps, **shared)


def _time(part: Coupler, period: float) -> Outcome:
    about = f"{part.ref} time"
    if part.fall_seconds is None:
        return not_evaluated(about, part.span, f"the spec does not say how long {part.ref} takes to darken")
    limit = QUARTER * period
    said = f"{part.ref} darkens in {show_seconds(part.fall_seconds)}, the fastest tremolo turns in {show_seconds(period)}"
    shared = {
        "value": part.fall_seconds,
        "limit": limit,
        "unit": "s",
        "condition": "nominal, fastest rate",
        "equation": f"{show_seconds(part.fall_seconds)} against a quarter of {show_seconds(period)}",
    }
    if part.fall_seconds <= limit:
        return passed(about, part.span, said, **shared)
    helps = ("a quicker cell, or a slower tremolo",)
    return failed(Severity.INFO, about, part.span, f"{said}: it loses depth there", label="slow", helps=helps, **shared)

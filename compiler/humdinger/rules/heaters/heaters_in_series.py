"""Heaters in series.

What it checks
    That two heaters in series take the same current, and that an output tube does not stand in series with a small one.

Why it matters
    One current runs through both. The heater that is made for less gets more volts than it is made for, and dies of it; the other stays
    cold and loses its emission. And with one of the two out of its socket the other is dark: first power has a step with small tubes only.

How it is computed
    Rated amps of both, the larger over the smaller; volts of each as hot resistances share them.

Limits and sources
    Up to 5 % apart passes, above is an error (handbook, from memory: series heaters are made within 5 %). An output tube with another:
    warning (common practice).

Example (bad)
    over: curlew
    supply/transformer/heaters: [{volts: 12.6 V, current: 2 A, no_load: 13.2 V, series: [[V4, V1], [V5, V2]]}]
    supply/heater_reference/resistors: 220 1W

Example (good)
    over: curlew
    supply/transformer/heaters: [{volts: 12.6 V, current: 1.6 A, no_load: 13.2 V, series: [[V4, V5]]}]
    supply/heater_reference/resistors: 220 1W

When to waive it
    The mixed pair, when first power is done with other tubes in those sockets. The current: not.
"""

from __future__ import annotations

from collections.abc import Iterator

from ...analysis.results import HeatersInSeries
from ...diagnostics import Label, Severity
from ...units import show_amps
from ..model import Case, Outcome, failed, passed
from ..printed import say_volts

NAME = "heaters-in-series"
APART = 0.05


def check(case: Case) -> Iterator[Outcome]:
    """Two outcomes per pair: current and company."""
    power = {case.netlist.by_section[ref].tube for ref in case.netlist.power_sections}
    for budget in case.results.heaters:
        for pair in budget.series:
            yield _amps(case, budget.winding, pair)
            yield _company(case, budget.winding, pair, power)


def _amps(case: Case, name: str, pair: HeatersInSeries) -> Outcome:
    first, second = pair.tubes
    element, winding = f"{first} and {second} current", case.winding(name)
    amps = f"{show_amps(pair.amps[first])} against {show_amps(pair.amps[second])}"
    equation = f"{amps}: {100.0 * pair.apart:.0f} % apart; limit {100.0 * APART:.0f} %"
    shared = {"value": 100.0 * pair.apart, "limit": 100.0 * APART, "unit": "%", "condition": "nominal", "equation": equation}
    if pair.apart <= APART:
        return passed(element, winding.span, f"{first} and {second} take the same current", **shared)
    most = max(pair.tubes, key=lambda ref: pair.volts[ref] / pair.rated_volts[ref])
    volts = say_volts(pair.volts[most], pair.rated_volts[most])
    return failed(
        Severity.ERROR,
        element,
        winding.span,
        f"{first} and {second} in series on {name} take different currents: {most} gets {volts} instead of {pair.rated_volts[most]:g} V",
        label="in series here",
        also=tuple(Label(case.span(ref), f"wants {show_amps(pair.amps[ref])}") for ref in pair.tubes),
        helps=("pairs of one heater current, or a winding for each",),
        **shared,
    )


def _company(case: Case, name: str, pair: HeatersInSeries, power: set[str]) -> Outcome:
    first, second = pair.tubes
    element, winding = f"{first} and {second} company", case.winding(name)
    if (first in power) == (second in power):
        return passed(element, winding.span, f"{first} and {second} come out together")
    small, output = (second, first) if first in power else (first, second)
    return failed(
        Severity.WARNING,
        element,
        winding.span,
        f"{small} is dark while {output} is out of its socket: first power with small tubes only has nothing to read there",
        label="an output tube in series with a small one",
        helps=("output tubes with output tubes",),
    )

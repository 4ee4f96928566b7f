"""Imbalance of the output pair.

What it checks
    That the output tubes are of one type, and draw the same current at idle.

Why it matters
    The difference of their currents magnetises the core of the output transformer one way; bass goes, hum comes. Of two types on one
    bias one runs hot and the other cold.

How it is computed
    The types as the library knows them, so that two names of one type are one. Largest less smallest cathode current at nominal mains,
    over their mean; the tubes are taken as average ones.

Limits and sources
    Two types: error. A difference above 10 %: warning (common practice; 5 % is a good pair).

Example (bad)
    over: curlew
    tubes/V5: 6V6GT
    also: TRM-004, TUB-001

Example (good)
    over: curlew
    tubes/V5: EL84

When to waive it
    The warning, for a pair that was measured and set.
"""

from __future__ import annotations

from collections.abc import Iterator

from ...diagnostics import Label, Severity
from ...units import show_amps
from ..model import Case, Outcome, failed, passed

NAME = "pair-imbalance"
PERCENT = 10.0
ELEMENT = "pair"


def check(case: Case) -> Iterator[Outcome]:
    """One outcome per output stage of two tubes or more."""
    refs = case.netlist.power_sections
    if len(refs) < 2:
        return
    types = {ref: case.design.tubes[case.netlist.by_section[ref].tube].type.name for ref in refs}
    names = tuple(dict.fromkeys(types.values()))
    if len(names) > 1:
        usual = types[refs[0]]
        odd = next(ref for ref in refs if types[ref] != usual)
        message = f"the output tubes are of two types: {refs[0]} is {usual}, {odd} is {types[odd]}"
        also = (Label(case.span(refs[0]), usual),)
        helps = (f"a pair of {usual}, or of {types[odd]} with the bias and load for it",)
        yield failed(Severity.ERROR, ELEMENT, case.span(odd), message, label="another type", also=also, helps=helps)
        return
    amps = [case.results.nominal.sections[ref].cathode_amps for ref in refs if ref in case.results.nominal.sections]
    mean = sum(amps) / len(amps) if amps else 0.0
    if mean <= 0.0:
        return
    percent = 100.0 * (max(amps) - min(amps)) / mean
    equation = f"({show_amps(max(amps))} - {show_amps(min(amps))}) / {show_amps(mean)} = {percent:.1f} %; limit {PERCENT:.0f} %"
    shared = {"value": percent, "limit": PERCENT, "unit": "%", "condition": "nominal", "equation": equation}
    said = f"the currents of the output tubes differ by {percent:.0f} %"
    if percent <= PERCENT:
        yield passed(ELEMENT, case.at("output/tubes"), said, **shared)
    else:
        helps = ("the same bias for each of them",)
        yield failed(Severity.WARNING, ELEMENT, case.at("output/tubes"), said, label="unequal", helps=helps, **shared)

"""Resistor volts.

What it checks
    The volts across each resistor in every state, cold included, against what its element stands.

Why it matters
    A carbon or metal film arcs from turn to turn of its spiral long before its watts are reached.

How it is computed
    Highest of all states and mains corners. A shorted tube, which lays its whole B+ over its plate load, is not counted.

Limits and sources
    Unless the part says otherwise 1/4 W 200, 1/2 W 300, 1 W 350, 2 W 500, 3 W and more 750 V: above is an error (common practice; a
    published list is higher). A resistor without a rating is taken as a 1/4 W part, the smallest in use; where that would not do, it is
    not evaluated. Bleeders: DIS-003.

Example (bad)
    over: heron
    supply/heater_reference/divider/upper: 470k 1W

Example (good)
    over: heron
    supply/heater_reference/divider/upper: 470k 2W

When to waive it
    Not: two in series, or a part whose maker says more.
"""

from __future__ import annotations

from collections.abc import Iterator

from ...circuit.netlist import Resistor
from ...diagnostics import Severity
from ...units import show_volts
from ..model import Case, Outcome, failed, not_evaluated, passed
from ..printed import say_volts
from ..resistor_limits import element_volts, is_bleeder, what

NAME = "resistor-volts"


def check(case: Case) -> Iterator[Outcome]:
    """One outcome per resistor."""
    for part in case.netlist.of(Resistor):
        stress = case.results.stresses.get(part.ref)
        if stress is None or is_bleeder(part):
            continue
        volts, found = stress.worst_volts, element_volts(part)
        unrated = part.watts is None and part.volts_max is None
        if found is None or (unrated and volts > found[0]):
            yield not_evaluated(part.ref, part.span, f"nothing says what volts {part.ref} stands; it gets {say_volts(volts)}")
            continue
        limit, why = found
        equation = f"{say_volts(volts, limit)} against {show_volts(limit)}, {why}"
        shared = {"value": volts, "limit": limit, "unit": "V", "condition": stress.volts_condition, "equation": equation}
        said = f"{part.ref} ({what(part)}) has {say_volts(volts, limit)} across it"
        if volts <= limit:
            yield passed(part.ref, part.span, said, **shared)
        else:
            message = f"{said}, its element stands {show_volts(limit)}"
            helps = ("two in series, or a part of more volts",)
            label = f"{show_volts(limit)}, {why}"
            yield failed(Severity.ERROR, part.ref, part.span, message, label=label, helps=helps, **shared)

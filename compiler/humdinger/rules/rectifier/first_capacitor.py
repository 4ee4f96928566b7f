"""First capacitor.

What it checks
    The capacitance a rectifier tube charges, against the largest its maker allows.

Why it matters
    A larger reservoir takes higher, shorter pulses and a longer surge at a hot restart, and the tube arcs.

How it is computed
    The reservoir's capacitance, with any other capacitor right across it.

Limits and sources
    Tube library (handbook, from memory, where it says so). Above: error.

Example (bad)
    over: heron
    supply/filter/0/capacitor: 100u 500V

Example (good)
    over: heron

When to waive it
    Not: put the rest of the capacitance behind the choke or a resistor.
"""

from __future__ import annotations

from collections.abc import Iterator

from ...analysis.stacks import series_farads, stack_of
from ...circuit.netlist import Capacitor
from ...diagnostics import Severity
from ...units import show_farads
from ..model import Case, Outcome, failed, not_evaluated, passed
from ..rectifying import ratings_of, tube_of

NAME = "first-capacitor"


def check(case: Case) -> Iterator[Outcome]:
    """One outcome per rectifier tube."""
    for rectifier in case.netlist.rectifiers:
        tube = tube_of(case, rectifier)
        reservoir = case.netlist.by_ref.get(rectifier.reservoir)
        if tube is None or not isinstance(reservoir, Capacitor):
            continue
        cited = ratings_of(tube).first_capacitor_farads
        if cited is None:
            yield not_evaluated(reservoir.ref, reservoir.span, f"the library has no largest first capacitor for {tube.type.name}")
            continue
        limit = float(cited)
        stack = stack_of(case.netlist, reservoir.ref)
        nets = {reservoir.pins[0].net, stack[-1].pins[1].net}
        across = [c for c in case.netlist.of(Capacitor) if {pin.net for pin in c.pins} == nets and c not in stack]
        farads = series_farads(stack) + sum(c.farads for c in across)
        series = " in series with ".join(c.ref for c in stack)
        equation = f"{' + '.join((series, *(c.ref for c in across)))} = {show_farads(farads)} against {show_farads(limit)}"
        shared = {"value": farads, "limit": limit, "unit": "F", "equation": equation}
        said = f"{tube.ref} charges {show_farads(farads)}"
        if farads <= limit:
            yield passed(reservoir.ref, reservoir.span, said, **shared)
        else:
            message = f"{said}, more than the {show_farads(limit)} that its type, {tube.type.name}, may have"
            helps = ("a smaller reservoir, the rest behind the choke or a resistor",)
            yield failed(Severity.ERROR, reservoir.ref, reservoir.span, message, label="too large", helps=helps, **shared)

"""Polarity.

What it checks
    That no polarised capacitor has its plus end negative in any state, nor lies across AC.

Why it matters
    Reversed, an electrolytic draws current, boils and bursts, in a bias supply within minutes: and the bias goes with it.

How it is computed
    Volts from plus to minus in every state of the solved amp, tubes in and out; the domains of its nets for AC.

Limits and sources
    More than 0.5 V reversed, or AC across it: danger (common practice: an electrolytic stands about a volt reversed).

Example (bad)
    over: curlew
    supply/mains/x_capacitor: {value: 1u, rating: 450 V, type: electrolytic}
    also: CAP-012

Example (good)
    over: curlew

When to waive it
    Never: it is a danger.
"""

from __future__ import annotations

from collections.abc import Iterator

from ...circuit.netlist import Capacitor
from ...diagnostics import Severity
from ...units import show_volts
from ..model import Case, Outcome, failed, passed

NAME = "capacitor-polarity"
REVERSED_VOLTS = 0.5
AC_DOMAINS = ("mains", "high-tension-ac", "speaker")


def check(case: Case) -> Iterator[Outcome]:
    """One outcome per electrolytic."""
    for part in case.netlist.of(Capacitor):
        if not part.polarised:
            continue
        domains = {case.netlist.nets[pin.net].domain for pin in part.pins if pin.net in case.netlist.nets}
        found = {name: o.parts[part.ref].volts for name, o in case.results.operating.items() if part.ref in o.parts}
        helps = ("turn it round, or take a film capacitor",)
        if domains & set(AC_DOMAINS):
            where = " and ".join(sorted(domains & set(AC_DOMAINS))).replace("-", " ")
            message = f"the electrolytic {part.ref} lies across AC ({where})"
            yield failed(Severity.DANGER, part.ref, part.span, message, label="polarised", helps=("a film capacitor of the right class",))
            continue
        if not found:
            continue
        condition = min(found, key=lambda name: found[name])
        volts = found[condition]
        equation = f"{show_volts(volts)} from plus to minus at its lowest; limit {show_volts(-REVERSED_VOLTS)}"
        shared = {"value": volts, "limit": -REVERSED_VOLTS, "unit": "V", "condition": condition, "equation": equation}
        if volts >= -REVERSED_VOLTS:
            yield passed(part.ref, part.span, f"{part.ref} is never reversed", **shared)
        else:
            message = f"the electrolytic {part.ref} is reversed by {show_volts(-volts)}"
            yield failed(Severity.DANGER, part.ref, part.span, message, label="reversed", helps=helps, **shared)

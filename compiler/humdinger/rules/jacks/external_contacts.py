"""External contacts.

What it checks
    The volts on everything a cable or a finger reaches through a jack, at work and with one coupling capacitor shorted.

Why it matters
    A footswitch cable lies on a stage and a guitar hangs on a player. One old capacitor must not put B+ on either.

How it is computed
    Volts on the open contact in the worst normal condition. Each capacitor that keeps DC off it shorted in turn, at high mains: the volts,
    and the amps into 2 kilohms. The rating of those capacitors against the cold B+, and the resistance from the contact to ground.

Limits and sources
    60 V at work; with one fault 60 V, or 2 mA into 2 kilohms; capacitors rated for the cold B+; 1 megohm at most to ground. Anything else:
    danger (standard IEC 62368-1, energy class ES1, from memory).

Example (bad)
    over: dunlin
    signal/0/grid_leak: 2M2

Example (good)
    over: dunlin
    signal/0/grid_leak: 1M

When to waive it
    Never.
"""

from __future__ import annotations

from collections.abc import Iterator

from ...analysis.results import ContactFault
from ...circuit.netlist import Capacitor
from ...diagnostics import Severity, Span
from ...units import show_amps, show_ohms, show_volts
from ..model import Case, Outcome, failed, not_evaluated, passed
from ..printed import say_amps, say_ohms, say_volts
from ..rectifying import COLD, cold_b_plus

NAME = "external-contacts"
VOLTS = 60.0
AMPS = 2e-3
OHMS = 1e6
ROUNDING = 1.0 + 1e-6


def check(case: Case) -> Iterator[Outcome]:
    """Three outcomes per contact: at work, with a fault, path to ground; one more per capacitor that keeps DC off it."""
    for found in case.results.contacts:
        name = f"{found.jack} {found.contact}"
        span = case.span(found.jack)
        yield _work(found, name, span)
        if found.capacitor:
            yield _fault(found, name, span)
        yield _path(found, name, span)
        for ref in found.blocking:
            yield _rating(case, name, ref)


def _work(found: ContactFault, name: str, span: Span) -> Outcome:
    volts = abs(found.normal_volts)
    equation = f"{say_volts(volts, VOLTS)} against {show_volts(VOLTS)}"
    shared = {"value": volts, "limit": VOLTS, "unit": "V", "condition": found.normal_condition, "equation": equation}
    said = f"the contact {name} stands at {say_volts(volts, VOLTS)}"
    if volts <= VOLTS:
        return passed(name, span, said, **shared)
    helps = ("a blocking capacitor and a resistor to ground behind it",)
    return failed(Severity.DANGER, name, span, f"{said}, above {show_volts(VOLTS)}", label="can be touched", helps=helps, **shared)


def _fault(found: ContactFault, name: str, span: Span) -> Outcome:
    volts = abs(found.fault_volts)
    into = f"{say_amps(found.fault_amps, AMPS)} into 2 kΩ"
    equation = f"{say_volts(volts, VOLTS)} and {into}, against {show_volts(VOLTS)} or {show_amps(AMPS)}"
    condition = f"high, {found.capacitor} shorted"
    shared = {"value": volts, "limit": VOLTS, "unit": "V", "condition": condition, "equation": equation}
    said = f"with {found.capacitor} shorted the contact {name} stands at {say_volts(volts, VOLTS)}"
    if volts <= VOLTS or found.fault_amps <= AMPS:
        return passed(f"{name} fault", span, said, **shared)
    message = f"{said} and gives {say_amps(found.fault_amps, AMPS)}"
    helps = ("two capacitors in series, or a point of the circuit that is at ground",)
    return failed(Severity.DANGER, f"{name} fault", span, message, label="one fault away", helps=helps, **shared)


def _path(found: ContactFault, name: str, span: Span) -> Outcome:
    element = f"{name} path"
    if found.path_ohms is None:
        message = f"the contact {name} has no DC path to ground"
        return failed(Severity.DANGER, element, span, message, label="floats", helps=(f"a resistor of {show_ohms(OHMS)} to ground",))
    equation = f"{say_ohms(found.path_ohms, OHMS)} to ground, at most {show_ohms(OHMS)}"
    shared = {"value": found.path_ohms, "limit": OHMS, "unit": "ohm", "equation": equation}
    said = f"the contact {name} has {say_ohms(found.path_ohms, OHMS)} to ground"
    if found.path_ohms <= OHMS * ROUNDING:
        return passed(element, span, said, **shared)
    helps = (f"a resistor of {show_ohms(OHMS)} or less to ground",)
    return failed(Severity.DANGER, element, span, f"{said}, more than {show_ohms(OHMS)}", label="charges up", helps=helps, **shared)


def _rating(case: Case, name: str, ref: str) -> Outcome:
    part, element = case.part(ref), f"{name} {ref}"
    cold = cold_b_plus(case)
    rated = part.volts if isinstance(part, Capacitor) else None
    if rated is None:
        return not_evaluated(element, part.span, f"{ref}, which keeps DC off the contact {name}, has no rated volts")
    equation = f"cold B+ {say_volts(cold, rated)} against {show_volts(rated)}"
    shared = {"value": rated, "limit": cold, "unit": "V", "condition": COLD, "equation": equation}
    said = f"{ref} keeps DC off the contact {name}, rated {show_volts(rated)}"
    if rated >= cold:
        return passed(element, part.span, said, **shared)
    message = f"{said}, below the cold B+ of {say_volts(cold, rated)}"
    helps = ("a film capacitor rated for the whole cold B+",)
    return failed(Severity.DANGER, element, part.span, message, label=f"rated {show_volts(rated)}", helps=helps, **shared)

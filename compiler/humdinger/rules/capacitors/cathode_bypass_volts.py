"""Volts of a cathode bypass capacitor.

What it checks
    The rating of each capacitor across a cathode resistor, against the cathode's volts.

Why it matters
    When a tube shorts or loses its bias its cathode rises to several times its volts, and a small capacitor there bursts or shorts; as a
    short it takes the bias away from the next tube as well.

How it is computed
    Highest cathode volts of all conditions x 1.5; the volts with the tube shorted from plate to cathode are printed beside them.

Limits and sources
    Below the cathode's own volts: error. Below 1.5 times them, 50 V in the output stage or 25 V elsewhere: warning (common practice). No
    rating given: not evaluated.

Example (bad)
    over: dunlin
    bias/bypass: 220u 25V

Example (good)
    over: dunlin
    bias/bypass: 220u 63V

When to waive it
    When a fuse in that tube's supply was shown to open before the capacitor does.
"""

from __future__ import annotations

from collections.abc import Iterator

from ...circuit.netlist import Capacitor
from ...diagnostics import Severity
from ...units import show_volts
from ..bypassing import is_bypass, sections_on
from ..model import Case, Outcome, failed, not_evaluated, passed

NAME = "cathode-bypass-volts"
TIMES = 1.5
OUTPUT_VOLTS = 50.0
OTHER_VOLTS = 25.0


def check(case: Case) -> Iterator[Outcome]:
    """One outcome per bypass capacitor."""
    for part in case.netlist.of(Capacitor):
        stress = case.results.stresses.get(part.ref)
        if stress is None or not is_bypass(case, part):
            continue
        sections = sections_on(case, part)
        output = any(ref in case.netlist.power_sections for ref in sections)
        least = OUTPUT_VOLTS if output else OTHER_VOLTS
        needed = max(TIMES * stress.worst_volts, least)
        who = " and ".join(sections) or part.stage
        if part.volts is None:
            missing = f"{part.ref} has no rated volts; the cathode of {who} wants {show_volts(needed)}"
            yield not_evaluated(part.ref, part.span, missing)
            continue
        equation = f"larger of {TIMES:g} x {show_volts(stress.worst_volts)} and {show_volts(least)} = {show_volts(needed)}"
        notes = (f"with {who} shorted from plate to cathode it gets {show_volts(stress.fault_volts)}",) if stress.fault_volts else ()
        shared = {
            "value": needed,
            "limit": part.volts,
            "unit": "V",
            "condition": stress.volts_condition,
            "equation": equation,
            "notes": notes,
        }
        if part.volts >= needed:
            yield passed(part.ref, part.span, f"{part.ref} on the cathode of {who} is rated {show_volts(part.volts)}", **shared)
        else:
            message = f"{part.ref} on the cathode of {who} is rated {show_volts(part.volts)}, less than {show_volts(needed)}"
            label = f"rated {show_volts(part.volts)}"
            severity = Severity.ERROR if part.volts < stress.worst_volts else Severity.WARNING
            yield failed(severity, part.ref, part.span, message, label=label, helps=("a higher rating",), **shared)

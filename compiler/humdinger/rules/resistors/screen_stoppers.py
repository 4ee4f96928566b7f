"""Screen stoppers.

What it checks
    That each output tube has a resistor of its own between its screen and what the screen hangs on: a B+ node, the plate or a tap.

Why it matters
    At full drive the plate swings below the screen, and the screen takes the current. Nothing but the stopper limits it; with none, the
    screen glows and melts.

How it is computed
    Read off the netlist: the resistor on each screen's net.

Limits and sources
    None, or less than 100 ohm: warning; error above 350 V on the screen or in fixed bias (common practice). Usual: 470 ohm to 1 k and 2 W
    to 5 W for 6V6 and 6L6, 100 ohm to 1 k and 1 W for EL84, 1 k and 5 W for EL34; 100 ohm from screen to plate in triode connection, and
    100 ohm to 1 k to the tap in ultralinear connection, where it keeps the tube from oscillating (common practice).

Example (bad)
    over: dunlin
    output/screen_stopper: ~

Example (good)
    over: dunlin
    output/screen_stopper: 470 2W flameproof

When to waive it
    The warning, for screens below 250 V whose dissipation at full drive was measured.
"""

from __future__ import annotations

from collections.abc import Iterator

from ...circuit.netlist import Resistor
from ...diagnostics import Severity
from ...units import show_ohms, show_volts
from ..model import Case, Outcome, failed, passed

NAME = "screen-stoppers"
LEAST_OHMS = 100.0
HIGH_VOLTS = 350.0


def check(case: Case) -> Iterator[Outcome]:
    """One outcome per output tube with a screen."""
    for ref in case.netlist.power_sections:
        section = case.netlist.by_section[ref]
        if not section.screen:
            continue
        stopper = _stopper(case, section.screen)
        point = case.results.nominal.sections[ref]
        volts = point.screen_volts or 0.0
        ohms = stopper.ohms if stopper else 0.0
        shared = {"value": ohms, "limit": LEAST_OHMS, "unit": "ohm", "condition": "nominal"}
        if stopper is not None and ohms >= LEAST_OHMS:
            yield passed(ref, stopper.span, f"{stopper.ref} of {show_ohms(ohms)} stands before the screen of {ref}", **shared)
            continue
        fixed = case.netlist.bias_scheme == "fixed"
        severity = Severity.ERROR if fixed or volts > HIGH_VOLTS else Severity.WARNING
        have = f"only {show_ohms(ohms)}" if stopper else "no resistor of its own"
        at = f"{show_volts(volts)}{' in fixed bias' if fixed else ''}"
        message = f"the screen of {ref} has {have} before it, at {at}"
        span = stopper.span if stopper else case.at("output")
        yield failed(severity, ref, span, message, label="screen stopper", helps=("470 ohm to 1 k, flameproof, on the pin",), **shared)


def _stopper(case: Case, screen: str) -> Resistor | None:
    """The resistor that ends on one screen and no other."""
    if sum(1 for s in case.netlist.sections if s.screen == screen) > 1 or screen in case.netlist.b_plus:
        return None
    return next((part for part, _ in case.netlist.on_net.get(screen, ()) if isinstance(part, Resistor)), None)

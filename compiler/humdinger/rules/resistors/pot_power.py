"""Pot power.

What it checks
    The watts in the track of each pot, against its rating.

Why it matters
    A track is a film on a strip of board. Overloaded it burns through where the wiper stands; the bias or the heater reference is then
    gone.

How it is computed
    The largest current in any part of the track, of all states and mains corners, squared, times the ohms of the whole track: a rating
    holds for the whole track, and a part of it (a rheostat) has no more than its share. With the heater winding's AC where it runs
    through the pot, and a sine at full drive.

Limits and sources
    Above 50 % of the rated watts warning, above 100 % error (common practice). A pot without a rating is taken as the smallest carbon
    pot, 0.1 W (common practice); where that would not do it is not evaluated, a warning in an amp that is sold.

Example (bad)
    over: dunlin
    supply/heater_reference: {kind: hum-balance, pot: 100 carbon 0.1W, to: ground}

Example (good)
    over: dunlin
    supply/heater_reference: {kind: hum-balance, pot: 250 wirewound 1W, to: ground}

When to waive it
    The warning, for a wire-wound or cermet pot that is bolted to metal.
"""

from __future__ import annotations

from collections.abc import Iterator

from ...circuit.netlist import Pot
from ...diagnostics import Severity
from ...units import show_ohms, show_watts
from ..model import Case, Outcome, failed, passed, undeclared
from ..printed import say_amps, say_watts

NAME = "pot-power"
WARNING_SHARE = 0.5
SMALLEST_WATTS = 0.1
"""A small carbon pot of audio taper (common practice)."""


def check(case: Case) -> Iterator[Outcome]:
    """One outcome per pot."""
    for pot in case.netlist.of(Pot):
        load = case.results.tracks.get(pot.ref)
        if load is None:
            continue
        what = pot.control or pot.role.replace("-", " ")
        said = f"the track of {pot.ref} ({what}) takes {say_watts(load.watts)}"
        rated = SMALLEST_WATTS if pot.watts is None else pot.watts
        percent = 100.0 * load.watts / rated
        if pot.watts is None and percent > 100.0 * WARNING_SHARE:
            yield undeclared(case, pot.ref, pot.span, f"{said}, and the spec gives it no watts (`{show_ohms(pot.ohms)} linear 1W`)")
            continue
        equation = (
            f"{say_amps(load.amps)} squared x {show_ohms(pot.ohms)} = {say_watts(load.watts)} / {show_watts(rated)} = {percent:.0f} %"
        )
        shared = {"value": load.watts, "limit": WARNING_SHARE * rated, "unit": "W", "condition": load.condition, "equation": equation}
        if percent <= 100.0 * WARNING_SHARE:
            yield passed(pot.ref, pot.span, said, **shared)
        else:
            severity = Severity.ERROR if percent > 100.0 else Severity.WARNING
            message = f"{said}, {percent:.0f} % of its {show_watts(rated)}"
            helps = ("a pot of more watts",) if pot.ohms >= USUAL_OHMS else ("a pot of more ohms, and of more watts",)
            yield failed(severity, pot.ref, pot.span, message, label=f"rated {show_watts(rated)}", helps=helps, **shared)


USUAL_OHMS = 100.0
"""Below it a hum-balance pot is more load than balance (common practice)."""

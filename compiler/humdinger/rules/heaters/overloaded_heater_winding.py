"""Overloaded heater winding.

What it checks
    The current that all heaters and lamps on a winding take, against the winding's rating.

Why it matters
    An overloaded winding runs hot for as long as the amp is on, its volts sag, and its insulation ages next to the high tension.

How it is computed
    Sum of the heater currents of the tubes on the winding at their rated volts, plus lamps, divided by the rated current.

Limits and sources
    Above 100 % error, above 90 % warning (common practice). Heater currents: the tube library, each with its source.

Example (bad)
    over: dunlin
    supply/transformer/heaters/0/current: 0.7 A

Example (good)
    over: dunlin
    supply/transformer/heaters/0/current: 1 A

When to waive it
    The warning, when the maker states a rating for continuous service at the temperature inside the cabinet. Never the error.
"""

from __future__ import annotations

from collections.abc import Iterator

from ...diagnostics import Label, Severity
from ...units import show_amps
from ..model import Case, Outcome, failed, passed
from ..printed import say_amps

NAME = "overloaded-heater-winding"
ERROR_PERCENT = 100.0
WARNING_PERCENT = 90.0


def check(case: Case) -> Iterator[Outcome]:
    """One outcome per heater winding."""
    for budget in case.results.heaters:
        percent = 100.0 * budget.load_amps / budget.rated_amps
        winding = case.winding(budget.winding)
        takes = " + ".join(f"{name} {say_amps(amps)}" for name, amps in budget.consumers) or "nothing"
        equation = f"{takes} = {say_amps(budget.load_amps, budget.rated_amps)}, {percent:.0f} % of the rating; limit {ERROR_PERCENT:.0f} %"
        shared = {"value": percent, "limit": ERROR_PERCENT, "unit": "%", "condition": "nominal", "equation": equation}
        message = f"the heater winding {budget.winding} is asked for {say_amps(budget.load_amps, budget.rated_amps)}"
        if percent <= WARNING_PERCENT:
            yield passed(budget.winding, winding.span, f"{message}, rated {show_amps(budget.rated_amps)}", **shared)
            continue
        severity = Severity.ERROR if percent > ERROR_PERCENT else Severity.WARNING
        share = "all" if percent > 99.5 else f"{percent:.0f} %"
        short = f"{message} but is rated {show_amps(budget.rated_amps)}"
        yield failed(
            severity,
            budget.winding,
            winding.span,
            short if severity is Severity.ERROR else f"{message}, which takes {share} of its rating",
            label=f"rated {show_amps(budget.rated_amps)} at {winding.volts:g} V",
            also=tuple(
                Label(case.span(name), f"takes {show_amps(amps)}") for name, amps in budget.consumers if name in case.netlist.by_ref
            ),
            helps=("a winding rated higher, or a second heater transformer",),
            **shared,
        )

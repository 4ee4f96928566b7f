"""Screen dissipation at idle.

What it checks
    The watts each screen dissipates without signal, against its rating.

Why it matters
    A screen has little metal: over its rating it melts before the plate glows.

How it is computed
    (screen volts to cathode) x (screen current) of the solved operating point, screen current by the fitted law.

Limits and sources
    Above 100 % error, above 90 % warning (common practice); limits: tube library with sources.

Example (bad)
    over: curlew
    bias/resistor: 120 5W wirewound
    supply/filter/0/feeds: [screens]
    supply/filter/1/feeds: [output-plates]
    supply/filter/1/through: 1k2 40W wirewound
    supply/transformer/high_tension/current: 220 mA
    supply/mains/fuse: T 630mA H 250V
    also: TRM-004

Example (good)
    over: dunlin

When to waive it
    Not: screens fail without warning.
"""

from __future__ import annotations

from collections.abc import Iterator

from ...diagnostics import Severity
from ...units import show_amps, show_volts, show_watts
from ..model import Case, Outcome, failed, not_evaluated, passed
from ..ratings import rated

NAME = "screen-dissipation"

WARNING_PERCENT = 90.0


def check(case: Case) -> Iterator[Outcome]:
    """One outcome per section with a screen."""
    for section, rating, point, condition in rated(case):
        if point.screen_watts is None or point.screen_volts is None or point.screen_amps is None:
            continue
        span = case.span(section.ref)
        if rating.screen_watts is None:
            yield not_evaluated(section.ref, span, "the library has no screen dissipation for the type")
            continue
        limit = float(rating.screen_watts)
        percent = 100.0 * point.screen_watts / limit
        equation = f"{show_volts(point.screen_volts)} x {show_amps(point.screen_amps)} = {show_watts(point.screen_watts)}, {percent:.0f} %"
        shared = {"value": point.screen_watts, "limit": limit, "unit": "W", "condition": condition, "equation": equation}
        said = (
            f"the screen of {section.ref} dissipates {show_watts(point.screen_watts)} at idle, {percent:.0f} % of its {show_watts(limit)}"
        )
        if percent <= WARNING_PERCENT:
            yield passed(section.ref, span, said, **shared)
        else:
            severity = Severity.ERROR if percent > 100.0 else Severity.WARNING
            helps = ("less screen voltage: a larger dropper or screen stopper",)
            yield failed(severity, section.ref, span, said, label=f"rated {show_watts(limit)}", helps=helps, **shared)

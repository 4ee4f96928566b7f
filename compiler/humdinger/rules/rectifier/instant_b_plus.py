"""B+ that is there at once.

What it checks
    Where capacitors are rated below the cold B+: whether the rectifier puts it on them at every switch-on.

Why it matters
    Silicon or a directly heated rectifier is ready in a second, the other tubes in fifteen. All that time nothing draws current and
    the capacitors see the whole cold B+, every time, not only in a fault.

How it is computed
    Kind and warm-up of the rectifier; the comparison is that of the cold B+ (CAP-001).

Limits and sources
    Error, only where CAP-001 finds an error (common practice).

Example (bad)
    over: dunlin
    supply/filter/0/capacitor: 47u 300V
    also: CAP-001

Example (good)
    over: dunlin
    supply/filter/0/capacitor: 47u 450V

When to waive it
    Not: capacitors for the cold B+, or a rectifier that warms up with the tubes.
"""

from __future__ import annotations

from collections.abc import Iterator

from ...diagnostics import Label, Severity
from ...units import show_volts
from ..capacitors.cold_b_plus import comparisons
from ..model import Case, Outcome, failed, passed
from ..rectifying import COLD, high_tension, ready_at_once, tube_of

NAME = "instant-b-plus"


def check(case: Case) -> Iterator[Outcome]:
    """One outcome for the rectifier of the B+."""
    rectifier = high_tension(case)
    if rectifier is None:
        return
    tube = tube_of(case, rectifier)
    kind = tube.type.name if tube else "silicon"
    if not ready_at_once(case, rectifier):
        yield passed(rectifier.id, rectifier.span, f"{kind} warms up with the tubes")
        return
    over = [(part, volts, rated) for part, volts, rated in comparisons(case) if rated is not None and volts > rated]
    if not over:
        yield passed(rectifier.id, rectifier.span, f"{kind} is ready at once, and every capacitor is rated for the cold B+")
        return
    part, volts, rated = max(over, key=lambda row: row[1] / row[2] if row[2] else 0.0)
    names = ", ".join(row[0].ref for row in over)
    yield failed(
        Severity.ERROR,
        rectifier.id,
        rectifier.span,
        f"the rectifier ({kind}) is ready before the tubes: at every switch-on up to {show_volts(volts)} on {names}",
        value=volts,
        limit=rated,
        unit="V",
        condition=COLD,
        equation=f"{part.ref}: {show_volts(volts)} cold against {show_volts(rated or 0.0)}",
        label="ready at once",
        also=tuple(Label(row[0].span, f"{show_volts(row[1])} cold") for row in over),
        helps=("capacitors rated for the cold B+, or an indirectly heated rectifier",),
    )

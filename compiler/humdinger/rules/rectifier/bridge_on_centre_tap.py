"""Bridge on a centre-tapped winding.

What it checks
    That the tap of a winding that feeds a bridge joins neither of the bridge's DC terminals, nor the ground that one of them is on.

Why it matters
    It shorts half of the winding through two diodes: they fail, then the transformer burns.

How it is computed
    Walk over the netlist from the tap, over fuses, switches and small resistors.

Limits and sources
    Joined: danger (physics). Legal: the tap insulated, or on the junction of stacked capacitors.

Example (bad)
    over: curlew
    supply/transformer/high_tension: {volts: 110-0-110 V, current: 250 mA, basis: rms, resistance: [35, 36], no_load: 118 V}
    supply/rectifier: {kind: silicon, arrangement: bridge, diodes: {part: 1N4007, in_series: 1}}
    supply/mains/fuse: T 400mA H 250V
    supply/ht_fuse: {rating: T 200mA 500V, where: centre-tap}

Example (good)
    over: curlew
    supply/transformer/high_tension: {volts: 110-0-110 V, current: 250 mA, basis: rms, resistance: [35, 36], no_load: 118 V}
    supply/rectifier: {kind: silicon, arrangement: bridge, diodes: {part: 1N4007, in_series: 1}}
    supply/mains/fuse: T 400mA H 250V

When to waive it
    Never: it is a danger.
"""

from __future__ import annotations

from collections.abc import Iterator

from ...circuit.netlist import WHOLE_WINDING
from ...diagnostics import Label, Severity
from ..model import Case, Outcome, failed, passed

NAME = "bridge-on-centre-tap"


def check(case: Case) -> Iterator[Outcome]:
    """One outcome per bridge on a winding with a tap."""
    arrangements = {r.id: r for r in case.netlist.rectifiers}
    for tap in case.results.centre_taps:
        rectifier = arrangements[tap.rectifier]
        if rectifier.arrangement not in WHOLE_WINDING:
            continue
        if tap.legal:
            yield passed(tap.rectifier, rectifier.span, f"the tap of {tap.winding} joins no terminal of the bridge")
            continue
        over = f" through {' and '.join(tap.through)}" if tap.through else ""
        where = " and ".join("circuit ground" if name == "ground" else f"the bridge's {name}" for name in tap.joined)
        yield failed(
            Severity.DANGER,
            tap.rectifier,
            rectifier.span,
            f"the centre tap of {tap.winding} goes to {where}{over}: that shorts half of the winding through the bridge",
            label="a bridge",
            also=tuple(Label(case.span(ref), "joins the tap") for ref in tap.through),
            helps=("insulate the tap, or make it a full-wave rectifier of two diodes",),
        )

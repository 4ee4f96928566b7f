"""Mains switch rating.

What it checks
    That the mains switch is rated for the mains, for twice the primary current, and for what the mains fuse lets through.

Why it matters
    A switch that is too small welds shut at the inrush of the transformer, and then nothing switches the amp off.

How it is computed
    Rated volts against 250 V, rated amps against twice the computed primary rms current at idle or, where that is more, once the current
    at full sine drive, and against the mains fuse.

Limits and sources
    250 V, twice the idle current, the full-drive current, the amps of the fuse: below is an error (common practice). A single pole in the
    line: info (common practice); in the neutral it is MNS-001's.

Example (bad)
    over: dunlin
    supply/mains/switch: {poles: 2, rating: 125 V 4 A}

Example (good)
    over: dunlin
    supply/mains/switch: {poles: 2, rating: 250 V 4 A}

When to waive it
    Not: take the right switch.
"""

from __future__ import annotations

from collections.abc import Iterator

from ...circuit.netlist import Fuse, Switch
from ...diagnostics import Severity
from ...units import show_amps, show_volts
from ..model import Case, Outcome, failed, passed, undeclared
from ..printed import say_amps

NAME = "mains-switch-rating"

VOLTS = 250.0
TIMES = 2.0


def check(case: Case) -> Iterator[Outcome]:
    """One outcome per mains switch."""
    idle, full = case.results.mains.primary_rms_amps, case.results.mains.full_drive_rms_amps or 0.0
    wanted = max(TIMES * idle, full)
    how = f"full drive {say_amps(full)}" if full > TIMES * idle else f"{TIMES:g} x {say_amps(idle)}"
    fused = max((fuse.amps for fuse in case.netlist.of(Fuse) if fuse.where == "mains"), default=0.0)
    for switch in case.netlist.of(Switch):
        if switch.where != "mains":
            continue
        if switch.volts is None or switch.amps is None:
            yield undeclared(case, switch.ref, switch.span, "the spec does not give the switch's rating (supply/mains/switch/rating)")
            continue
        equation = f"{show_volts(switch.volts)} against {show_volts(VOLTS)}; {show_amps(switch.amps)} against {how}"
        shared = {"value": wanted, "limit": switch.amps, "unit": "A", "condition": "nominal", "equation": equation}
        said = f"{switch.ref} is rated {show_volts(switch.volts)} {show_amps(switch.amps)} and carries {say_amps(max(idle, full))}"
        if switch.amps < fused:
            message = f"{switch.ref} is rated {show_amps(switch.amps)} and stands behind a fuse of {show_amps(fused)}"
            facts = shared | {"value": fused, "equation": f"{show_amps(switch.amps)} against the {show_amps(fused)} of the fuse"}
            helps = ("a switch rated for more than the fuse",)
            yield failed(Severity.ERROR, switch.ref, switch.span, message, label="below the fuse", helps=helps, **facts)
        elif switch.volts < VOLTS or switch.amps < wanted:
            yield failed(
                Severity.ERROR, switch.ref, switch.span, said, label="too small", helps=("a switch rated for mains and inrush",), **shared
            )
        elif switch.poles < 2 and not all("neutral" in pin.net for pin in switch.pins):
            message = f"{switch.ref} has one pole and opens the line only"
            helps = ("a switch of two poles opens line and neutral",)
            yield failed(Severity.INFO, switch.ref, switch.span, message, helps=helps, **shared)
        else:
            yield passed(switch.ref, switch.span, said, **shared)

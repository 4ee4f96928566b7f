"""Standby switch.

What it checks
    That a standby switch does not stand between a rectifier tube and its reservoir, and that its contacts are rated for the DC.

Why it matters
    Closed on an empty reservoir, the switch hands a hot rectifier tube a short. And a contact made for AC keeps an arc when it opens 400 V
    of DC: it burns or welds.

How it is computed
    Where the spec puts it; cold B+ and the direct amps against the DC rating.

Limits and sources
    In the charging loop of a rectifier tube: error, the surge is many times what the tube may give. Rated below the volts or the amps:
    error (both common practice; most amps of this size need no standby switch). No DC rating given: not evaluated, a warning in an amp
    that is sold.

Example (bad)
    over: heron
    supply/standby/where: before-reservoir

Example (good)
    over: heron
    supply/standby/where: between-reservoir-and-choke

When to waive it
    The rating, for a switch that was tried some hundred times at this voltage. The position: not.
"""

from __future__ import annotations

from collections.abc import Iterator

from ...circuit.netlist import Switch
from ...diagnostics import Severity
from ...units import show_amps, show_volts
from ..model import Case, Outcome, failed, passed, undeclared
from ..rectifying import COLD, cold_b_plus, high_tension, points, tube_of

NAME = "standby-position"
IN_THE_CHARGING_LOOP = ("before-reservoir", "centre-tap")


def check(case: Case) -> Iterator[Outcome]:
    """Two outcomes for the standby switch: position and rating."""
    for switch in case.netlist.of(Switch):
        if switch.where == "standby":
            yield _position(case, switch)
            yield _rating(case, switch)


def _position(case: Case, switch: Switch) -> Outcome:
    element = f"{switch.ref} position"
    where = str(case.spec.block("supply").block("standby").get("where", ""))
    rectifier = high_tension(case)
    tube = tube_of(case, rectifier) if rectifier else None
    words = where.replace("-", " ")
    if tube is None or where not in IN_THE_CHARGING_LOOP:
        return passed(element, switch.span, f"{switch.ref} stands {words}")
    return failed(
        Severity.ERROR,
        element,
        switch.span,
        f"the standby switch {switch.ref} stands {words}: closed, it puts an empty reservoir on the hot {tube.ref}",
        label=f"between {tube.ref} and its reservoir",
        helps=("no standby switch, or one behind the reservoir",),
    )


def _rating(case: Case, switch: Switch) -> Outcome:
    element = f"{switch.ref} rating"
    if switch.dc_volts is None:
        return undeclared(case, element, switch.span, "the spec does not give the switch's DC rating (supply/standby/dc_rating)")
    volts = cold_b_plus(case)
    amps = next((point.dc_amps for r, point in points(case, "nominal") if r.id == "high-tension"), 0.0)
    said = f"{switch.ref} opens {show_volts(volts)} DC"
    helps = ("no standby switch, or one whose maker rates it for the DC",)
    if switch.amps is not None and amps > switch.amps:
        message = f"{switch.ref} carries {show_amps(amps)}, its contacts are rated {show_amps(switch.amps)}"
        equation = f"{show_amps(amps)} against {show_amps(switch.amps)}"
        shared = {"value": amps, "limit": switch.amps, "unit": "A", "condition": "nominal", "equation": equation}
        return failed(Severity.ERROR, element, switch.span, message, label="rating", helps=helps, **shared)
    equation = f"{show_volts(volts)} cold against {show_volts(switch.dc_volts)}"
    shared = {"value": volts, "limit": switch.dc_volts, "unit": "V", "condition": COLD, "equation": equation}
    if volts <= switch.dc_volts:
        return passed(element, switch.span, said, **shared)
    message = f"{said}, its contacts are rated {show_volts(switch.dc_volts)}"
    return failed(Severity.ERROR, element, switch.span, message, label="DC rating", helps=helps, **shared)

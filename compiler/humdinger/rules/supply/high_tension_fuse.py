"""High-tension fuse.

What it checks
    Where there is a fuse in the B+ supply: its rating, its type, its volts, and where it stands.

Why it matters
    It saves transformer and rectifier from a shorted capacitor or a tube that ran away. In the wrong place it leaves a charged capacitor
    without its bleeder, and a fuse made for 250 V of AC keeps an arc at 400 V of DC.

How it is computed
    Rated amps over the direct amps of the rectifier, the highest of the mains corners at idle and of full drive at nominal mains (half
    sines of class B, the supply taken as stiff). A fuse heats by the rms amps where it stands, so these are held against its rating too:
    in a centre tap's lead and before the reservoir the pulses of all legs pass, sqrt 2 times what each end of the winding carries. At
    full drive the form factor of idle is taken. Cold B+ against the fuse's volts.

Limits and sources
    1.5 to 2 times the direct current, or the next rating above the rms amps of idle, time-lag, in the leads of the winding or its tap or
    between rectifier and reservoir: anything else is a warning (common practice). More rms amps at idle than its rating, or at full drive
    than the 1.5 times that a time-lag fuse has to bear for an hour (IEC 60127 time-lag gates, from memory): warning. At full drive
    between the two: info, it bears that but ages. Rated below the cold B+: error, its arc does not go out (physics). No volts given: not
    evaluated, a warning in an amp that is sold. The spec says volts, not of which kind: see that the maker means DC. No fuse is proposed
    while something that decides the current stands open.

Example (bad)
    over: heron
    supply/ht_fuse: {rating: T 1A 500V, where: centre-tap}
    also: BIA-004

Example (good)
    over: heron

When to waive it
    The rating, where the current at full power was measured and the fuse chosen by it.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from ...circuit.netlist import Fuse
from ...diagnostics import Severity
from ...units import fuse_at_least, show_amps, show_volts
from ..discharging import parted_by, supply_nodes
from ..drawing_current import DRAWN, FIRST
from ..fuse_gates import BEARS
from ..model import Case, Outcome, failed, not_evaluated, passed, undeclared
from ..rectifying import COLD, cold_b_plus, points

NAME = "high-tension-fuse"
WAITS_FOR, WAITING = DRAWN, FIRST
LOW, HIGH = 1.5, 2.0
TIME_LAG = ("T", "TT")
DRIVEN = "nominal, full drive"


def check(case: Case) -> Iterator[Outcome]:
    """Four outcomes per fuse in the B+ supply: rating, heating, volts, position."""
    for fuse in case.netlist.of(Fuse):
        if fuse.where == "high-tension":
            yield _rating(case, fuse)
            yield _heating(case, fuse)
            yield _volts(case, fuse)
            yield _position(case, fuse)


def _rating(case: Case, fuse: Fuse) -> Outcome:
    element = f"{fuse.ref} rating"
    amps = _direct(case)
    condition = max(amps, key=lambda name: amps[name])
    ratio = fuse.amps / amps[condition]
    equation = f"{show_amps(fuse.amps)} / {show_amps(amps[condition])} = {ratio:.2f}; wanted {LOW:g} to {HIGH:g}"
    shared = {"value": ratio, "limit": HIGH if ratio > 1.0 else LOW, "unit": "x", "condition": condition, "equation": equation}
    said = f"the fuse {fuse.ref} is {ratio:.2f} times the direct current of {show_amps(amps[condition])}"
    lag = fuse.characteristic in TIME_LAG
    heats = max(_rms(case, fuse)[0].values(), default=0.0)
    least_above = fuse_at_least(heats) or 0.0
    if ratio >= LOW and (ratio <= HIGH or fuse.amps <= least_above) and lag:
        return passed(element, fuse.span, said, **shared)
    wanted = fuse_at_least(LOW * amps[condition])
    helps = (f"T {show_amps(wanted)} is the next rating of the series",) if wanted else ()
    extra = "" if lag else f", and of type {fuse.characteristic}, not time-lag"
    return failed(Severity.WARNING, element, fuse.span, said + extra, label=f"{ratio:.2f} x", helps=helps, **shared)


def _direct(case: Case) -> dict[str, float]:
    """Condition -> direct amps of the B+ rectifier: the mains corners at idle, and full drive."""
    amps = {name: point.dc_amps for name in ("nominal", "high", "low") for r, point in points(case, name) if r.id == "high-tension"}
    driven = case.results.load.full_drive_dc_amps if case.results.load else None
    return amps if driven is None else {**amps, DRIVEN: driven}


def _rms(case: Case, fuse: Fuse) -> tuple[Mapping[str, float], float | None]:
    """rms amps where the fuse stands: idle by mains corner, and at full drive."""
    found = next((load for load in case.results.fuses if load.fuse == fuse.ref), None)
    return (found.idle_rms_amps, found.full_drive_rms_amps) if found else ({}, None)


def _heating(case: Case, fuse: Fuse) -> Outcome:
    element = f"{fuse.ref} heating"
    idle, driven = _rms(case, fuse)
    found = dict(idle) if driven is None else {**idle, DRIVEN: driven}
    if not found:
        return not_evaluated(element, fuse.span, "the current where the fuse stands is not solved")
    condition = max(found, key=lambda name: found[name] / (BEARS if name == DRIVEN else 1.0))
    rms = found[condition]
    equation = f"{show_amps(rms)} rms against {show_amps(fuse.amps)}"
    shared = {"value": rms, "limit": fuse.amps, "unit": "A", "condition": condition, "equation": equation}
    said = f"{fuse.ref} carries {show_amps(rms)} rms, {rms / fuse.amps:.2f} times its rating"
    if rms <= fuse.amps:
        return passed(element, fuse.span, said, **shared)
    borne = condition == DRIVEN and rms < BEARS * fuse.amps
    if borne:
        message = f"{said}: it has to bear {BEARS:g} times for an hour, but a long evening at full drive ages it"
        helps = ("a spare in the back; the next rating, if it still opens when the bias is lost (BIA-004)",)
        return failed(Severity.INFO, element, fuse.span, message, label=f"{rms / fuse.amps:.2f} x", helps=helps, **shared)
    wanted = fuse_at_least(rms)
    helps = (f"T {show_amps(wanted)} is the next rating of the series",) if wanted else ()
    return failed(Severity.WARNING, element, fuse.span, said, label=f"{rms / fuse.amps:.2f} x", helps=helps, **shared)


def _volts(case: Case, fuse: Fuse) -> Outcome:
    element = f"{fuse.ref} volts"
    if fuse.volts is None:
        return undeclared(case, element, fuse.span, f"the spec does not give the volts of {fuse.ref}")
    cold = cold_b_plus(case)
    equation = f"{show_volts(cold)} cold against {show_volts(fuse.volts)}"
    shared = {"value": cold, "limit": fuse.volts, "unit": "V", "condition": COLD, "equation": equation}
    said = f"{fuse.ref} has to break {show_volts(cold)} DC"
    if cold <= fuse.volts:
        return passed(element, fuse.span, said, **shared)
    message = f"{said}, it is rated {show_volts(fuse.volts)}"
    return failed(Severity.ERROR, element, fuse.span, message, label="volts", helps=("a fuse rated for the DC",), **shared)


def _position(case: Case, fuse: Fuse) -> Outcome:
    element = f"{fuse.ref} position"
    where = str(case.spec.block("supply").block("ht_fuse").get("where", ""))
    words = where.replace("-", " ")
    cut = [node.net for node in supply_nodes(case) if fuse.ref in parted_by(node)]
    if where != "after-reservoir" and not cut:
        return passed(element, fuse.span, f"{fuse.ref} stands {words}")
    message = f"the fuse {fuse.ref} stands {words}: the reservoir stays on the rectifier when it opens"
    if cut:
        message = f"the fuse {fuse.ref} stands {words}: open, it parts {' and '.join(cut)} from its bleeder"
    helps = ("in the winding's leads or its tap, or between rectifier and reservoir",)
    return failed(Severity.WARNING, element, fuse.span, message, label=words, helps=helps)

"""Fixed bias that fails safe.

What it checks
    Where the output grids go when the wiper of the bias pot lifts, and whether a fuse opens when the bias supply itself is lost.

Why it matters
    An output tube without bias draws several times its current. Its plate glows within seconds, the glass may crack, the transformers
    burn.

How it is computed
    The amp solved with the wiper off its track: the volts at the grids against those at the cold end. Then with the filtered bias
    shorted to ground, which a shorted filter capacitor or an open rectifier comes to: rms amps through each fuse over its rating.

Limits and sources
    Wiper open: the grids at the most negative value of the range or below, else danger (common practice). Bias lost, by what the HT fuse
    carries. From 2.75 times its rating it opens within about 10 s and passes. From 2.1 times it has to open, but a time-lag fuse may take
    2 minutes (IEC 60127 time-lag gates, from memory; one of high breaking capacity 30 minutes, and 80 s at 2.75 times): info, and a
    warning where a plate takes more than three times its rating (common practice). Only the mains fuse opens: warning; none: error.

Example (bad)
    over: heron
    bias/range/fail_safe: ~

Example (good)
    over: heron

When to waive it
    The open wiper never. The fuse, where a protection of another kind stands in for it; say which.
"""

from __future__ import annotations

from collections.abc import Iterator

from ...analysis.results import BiasSupply
from ...circuit.netlist import Fuse
from ...diagnostics import Severity
from ...units import show_amps, show_volts, show_watts
from ..fuse_gates import OPENS, SOON
from ..model import Case, Outcome, failed, not_evaluated, passed

NAME = "bias-fail-safe"
NEAR = 1.1
"""Up to so many times the least, a mains on its low side may not do it."""
GLOWS = 3.0
"""Times its rated dissipation, from which a plate does not stand two minutes (common practice)."""
HOLDS = {"H": ("30 minutes", "80 s")}
HOLDS_LOW = ("2 minutes", "10 s")
"""How long a time-lag fuse may hold at 2.1 and at 2.75 times its rating."""


def check(case: Case) -> Iterator[Outcome]:
    """Two outcomes per amp with fixed bias: the wiper, and the supply."""
    if case.netlist.bias_scheme != "fixed":
        return
    yield _wiper(case)
    yield _supply(case, case.results.bias_supply)


def _wiper(case: Case) -> Outcome:
    found = case.results.bias_range
    if found is None:
        return not_evaluated("wiper", case.at("bias/range"), "the amp has no solution with the wiper open")
    equation = f"{show_volts(found.wiper_open_volts)} open against {show_volts(found.coldest_volts)} at the cold end"
    shared = {"value": found.wiper_open_volts, "limit": found.coldest_volts, "unit": "V", "condition": "nominal", "equation": equation}
    said = f"with the wiper of the bias pot open the output grids go to {show_volts(found.wiper_open_volts)}"
    if found.wiper_open_volts <= found.coldest_volts:
        return passed("wiper", case.at("bias/range/fail_safe"), said, **shared)
    message = f"{said}, above the {show_volts(found.coldest_volts)} of the cold end"
    helps = ("a resistor from the wiper to the negative end (bias/range/fail_safe)",)
    return failed(Severity.DANGER, "wiper", case.at("bias/range/fail_safe"), message, label="runs away", helps=helps, **shared)


def _supply(case: Case, found: BiasSupply | None) -> Outcome:
    if found is None or not found.lost_fuse_amps:
        return not_evaluated("supply", case.at("bias"), "the amp has no solution without bias")
    high_tension, mains = (_best(case, found, where) for where in ("high-tension", "mains"))
    if high_tension is not None and high_tension[0] >= OPENS:
        return _opens(case, found, high_tension)
    if mains is not None and mains[0] >= OPENS:
        return _judged(case, found, mains, Severity.WARNING)
    fuse = high_tension or mains
    if fuse is None:
        return not_evaluated("supply", case.at("bias"), "there is no fuse to open")
    return _judged(case, found, fuse, Severity.ERROR)


def _best(case: Case, found: BiasSupply, where: str) -> tuple[float, Fuse] | None:
    """The fuse of a place that carries most of its rating, with how many times that is."""
    rows = [(found.lost_fuse_amps[p.ref] / p.amps, p) for p in case.netlist.of(Fuse) if p.where == where and p.ref in found.lost_fuse_amps]
    return max(rows, key=lambda row: row[0], default=None)


def _opens(case: Case, found: BiasSupply, fuse: tuple[float, Fuse]) -> Outcome:
    """An HT fuse that has to open: at once, or some time."""
    ratio, part = fuse
    slow, soon = HOLDS.get(part.breaking, HOLDS_LOW)
    amps = found.lost_fuse_amps[part.ref]
    equation = (
        f"{show_amps(amps)} / {show_amps(part.amps)} = {ratio:.2f} in {part.ref}; at {OPENS:g} within {slow}, at {SOON:g} within {soon}"
    )
    shared = {"value": ratio, "limit": SOON, "unit": "x", "condition": "nominal, bias lost", "equation": equation}
    times, watts = _hottest(case, found)
    if ratio >= SOON:
        return passed(
            "supply", part.span, f"without bias {watts}{part.ref} carries {ratio:.2f} times its rating: open within {soon}", **shared
        )
    message = f"without bias {watts}{part.ref} carries {ratio:.2f} times its rating: it opens, but may hold for {slow}"
    helps = ("switch off at once when a plate glows; trust the eye, not the fuse",)
    severity = Severity.WARNING if times > GLOWS else Severity.INFO
    notes = (f"at low mains it carries less, and below {OPENS:g} times no fuse has to open",) if ratio < NEAR * OPENS else ()
    return failed(severity, "supply", part.span, message, label=f"up to {slow}", notes=notes, helps=helps, **shared)


def _hottest(case: Case, found: BiasSupply) -> tuple[float, str]:
    """Times its rating that the hottest plate dissipates without bias (0 where unknown), and the words for it."""
    ref = max(found.lost_plate_watts, key=lambda one: round(found.lost_plate_watts[one], 6), default="")
    if not ref:
        return 0.0, ""
    rating = case.netlist.by_section[ref].section.rating()
    rated = float(rating.plate_watts) if rating and rating.plate_watts is not None else None
    watts = found.lost_plate_watts[ref]
    of = f" of its {show_watts(rated)}" if rated else ""
    return watts / rated if rated else 0.0, f"{ref} dissipates {show_watts(watts)}{of}, and "


def _judged(case: Case, found: BiasSupply, fuse: tuple[float, Fuse], severity: Severity) -> Outcome:
    ratio, part = fuse
    amps = found.lost_fuse_amps[part.ref]
    equation = f"{show_amps(amps)} / {show_amps(part.amps)} = {ratio:.2f} in {part.ref}; opens at {OPENS:g}"
    shared = {"value": ratio, "limit": OPENS, "unit": "x", "condition": "nominal, bias lost", "equation": equation}
    _, watts = _hottest(case, found)
    said = f"without bias {watts}{part.ref} carries {ratio:.2f} times its rating"
    message = f"{said}: only the mains fuse opens" if severity is Severity.WARNING else f"{said}: no fuse opens for certain"
    helps = ("an HT fuse of the next smaller rating that stands full drive", "cathode bias")
    return failed(severity, "supply", case.at("bias"), message, label="no HT fuse opens", helps=helps, **shared)

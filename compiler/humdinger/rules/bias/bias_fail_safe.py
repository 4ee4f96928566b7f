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
    Wiper open: the grids at the most negative value of the range or below, else danger (common practice). Bias lost: an HT fuse
    carries 2.1 times its rating or more, where IEC 60127 asks a time-lag fuse to open (standard, from memory); only the mains fuse
    does: warning; none does: error.

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
from ..model import Case, Outcome, failed, not_evaluated, passed

NAME = "bias-fail-safe"
OPENS = 2.1


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
        return _judged(case, found, high_tension, None)
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


def _judged(case: Case, found: BiasSupply, fuse: tuple[float, Fuse], severity: Severity | None) -> Outcome:
    ratio, part = fuse
    amps = found.lost_fuse_amps[part.ref]
    equation = f"{show_amps(amps)} / {show_amps(part.amps)} = {ratio:.2f} in {part.ref}; opens at {OPENS:g}"
    shared = {"value": ratio, "limit": OPENS, "unit": "x", "condition": "nominal, bias lost", "equation": equation}
    hottest = max(found.lost_plate_watts, key=lambda ref: found.lost_plate_watts[ref], default="")
    watts = f"{hottest} dissipates {show_watts(found.lost_plate_watts[hottest])}, and " if hottest else ""
    said = f"without bias {watts}{part.ref} carries {ratio:.2f} times its rating"
    if severity is None:
        return passed("supply", part.span, said, **shared)
    message = f"{said}: only the mains fuse opens" if severity is Severity.WARNING else f"{said}: no fuse opens for certain"
    helps = ("an HT fuse of the next smaller rating that stands full drive", "cathode bias")
    return failed(severity, "supply", case.at("bias"), message, label="no HT fuse opens", helps=helps, **shared)

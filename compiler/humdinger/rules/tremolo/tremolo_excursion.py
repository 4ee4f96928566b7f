"""Excursion of the tremolo.

What it checks
    That the tremolo at full intensity neither drives a grid positive nor cuts its tube off: the output tubes', and where it goes in
    elsewhere also the tube it moves.

Why it matters
    A grid that draws current at idle thumps and charges the coupling capacitor; a wave far below cut-off mutes the amp for
    half of every cycle, and the knob does all its work in its first third.

How it is computed
    Bias plus and minus the wave between grid and cathode: what arrives at the grid times the share the cathode leaves. Cut-off: where the
    tube's own law leaves 1 % of the plate current of idle, plate and screen standing still.

Limits and sources
    Above 0 V, or more than 20 % below cut-off: warning (common practice). Where the tremolo goes in elsewhere, the grids are read off the
    solved wave: above 0 V, or less than 1 % of the idle plate current for more than a quarter of its turn: warning (own choice).

Example (bad)
    over: curlew
    modulation/injection/through: 220k

Example (good)
    over: curlew

When to waive it
    For a player who wants it to chop; the thump was listened to.
"""

from __future__ import annotations

from collections.abc import Iterator

from ...analysis.results import RunningTremolo
from ...diagnostics import Severity, Span
from ...units import show_volts
from ..model import Case, Outcome, failed, not_evaluated, passed
from ..oscillating import AT_THE_GRIDS

NAME = "tremolo-excursion"
BEYOND = 0.2
LONGEST = 0.25


def _solved(case: Case, run: RunningTremolo | None, span: Span) -> Iterator[Outcome]:
    if run is None:
        yield not_evaluated("wave", span, "the wave of the running tremolo has no solution, or the oscillator does not start")
        return
    for one in run.excursions:
        said = (
            f"the tremolo moves the grid of {one.section} from {show_volts(one.lowest_grid_volts)} to {show_volts(one.highest_grid_volts)}"
        )
        positive = one.highest_grid_volts > 0.0
        cut = f"{100.0 * one.cut_off_share:.0f} % of the turn cut off"
        shared = {
            "value": one.highest_grid_volts if positive else one.cut_off_share,
            "limit": 0.0 if positive else LONGEST,
            "unit": "V" if positive else "x",
            "condition": "nominal, intensity full, slowest rate",
            "equation": f"highest {show_volts(one.highest_grid_volts)}, {cut}; wanted 0 V and {100.0 * LONGEST:.0f} % at the most",
        }
        if not positive and one.cut_off_share <= LONGEST:
            yield passed(one.section, span, said, **shared)
            continue
        why = "the grid draws current at idle" if positive else cut
        output = one.section in case.netlist.power_sections
        helps = (
            ("a smaller coupling capacitor or a bass cut behind the stage that is moved",)
            if output
            else ("less of the wave at the injection",)
        )
        yield failed(Severity.WARNING, one.section, span, f"{said}: {why}", label="too much", helps=helps, **shared)


def check(case: Case) -> Iterator[Outcome]:
    """One outcome per output tube of an amp with tremolo."""
    found = case.results.tremolo
    span = case.at("modulation/injection")
    if found is not None and found.injection not in AT_THE_GRIDS:
        yield from _solved(case, found.running, span)
        return
    if found is None or found.available_peak_volts is None:
        return
    for ref in case.netlist.power_sections:
        point = case.results.nominal.sections[ref]
        wave = found.available_peak_volts * found.retained.get(ref, 1.0)
        top, bottom = point.grid_volts + wave, point.grid_volts - wave
        cut_off = found.cut_off_grid_volts.get(ref)
        if cut_off is None:
            yield not_evaluated(ref, span, f"the library has no law of {ref} to find its cut-off by")
            continue
        least = (1.0 + BEYOND) * cut_off
        reach = f"{show_volts(bottom)} to {show_volts(top)}"
        equation = f"{show_volts(point.grid_volts)} ± {show_volts(wave)}: {reach}; wanted {show_volts(least)} to 0 V"
        positive = top > 0.0
        shared = {
            "value": top if positive else bottom,
            "limit": 0.0 if positive else least,
            "unit": "V",
            "condition": "nominal, intensity full, slowest rate",
            "equation": equation,
        }
        said = f"the tremolo moves the grid of {ref} from {show_volts(bottom)} to {show_volts(top)}"
        if not positive and bottom >= least:
            yield passed(ref, span, said, **shared)
            continue
        why = "the grid draws current at idle" if positive else f"more than {100 * BEYOND:.0f} % below cut-off"
        helps = ("a larger mixing resistor, or a smaller capacitor into the bias",)
        yield failed(Severity.WARNING, ref, span, f"{said}: {why}", label="too much", helps=helps, **shared)

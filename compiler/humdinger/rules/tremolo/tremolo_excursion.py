"""Excursion of the tremolo.

What it checks
    That the tremolo at full intensity neither drives an output grid positive nor cuts its tube off far below cut-off.

Why it matters
    A grid that draws current at idle thumps and charges the coupling capacitor; a wave far below cut-off mutes the amp for
    half of every cycle, and the knob does all its work in its first third.

How it is computed
    Bias plus and minus the wave between grid and cathode: what arrives at the grid times the share the cathode leaves. Cut-off: where the
    tube's own law leaves 1 % of the plate current of idle, plate and screen standing still.

Limits and sources
    Above 0 V, or more than 20 % below cut-off: warning (common practice).

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

from ...diagnostics import Severity
from ...units import show_volts
from ..model import Case, Outcome, failed, not_evaluated, passed

NAME = "tremolo-excursion"
BEYOND = 0.2


def check(case: Case) -> Iterator[Outcome]:
    """One outcome per output tube of an amp with tremolo."""
    found = case.results.tremolo
    if found is None or found.available_peak_volts is None:
        return
    span = case.at("modulation/injection")
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

"""Balance of the phase inverter.

What it checks
    How alike the two outputs of the phase inverter are, loaded as in the amp.

Why it matters
    What is not balanced drives one output tube harder: less power, more second harmonic, and hum that no longer cancels.

How it is computed
    Magnitudes of the gains from the inverter's input to its two outputs at 1 kHz: difference over mean.

Limits and sources
    Up to 5 % pass, more warning; up to 10 % is often lived with (computed; common practice). What sets the balance is another part in each
    kind: plate loads and tail of a long-tailed pair, the divider of a paraphase, the see-saw of a floating one.

Example (bad)
    over: curlew
    signal/5/plate_load_b: 68k 1W

Example (good)
    over: curlew
    signal/5/plate_load_b: 91k 1W

When to waive it
    Where an uneven pair is wanted for its sound: up to 10 %.
"""

from __future__ import annotations

from collections.abc import Iterator

from ...diagnostics import Severity
from ..model import Case, Outcome, failed, passed
from ..signal_path import at_stage

NAME = "inverter-balance"
LIMIT = 5.0
KEYS = {"paraphase": "divider", "floating-paraphase": "seesaw", "cathodyne": "load", "interstage-transformer": "transformer"}


def check(case: Case) -> Iterator[Outcome]:
    """One outcome per phase inverter."""
    found = case.results.inverter
    if found is None:
        return
    weak = "a" if found.imbalance < 0.0 else "b"
    span = at_stage(case, found.stage, KEYS.get(found.kind, f"plate_load_{weak}"))
    percent = 100.0 * abs(found.imbalance)
    equation = f"({found.gain_a:.3g} - {found.gain_b:.3g}) / mean = {100 * found.imbalance:.1f} %; limit {LIMIT:g} %"
    shared = {"value": percent, "limit": LIMIT, "unit": "%", "condition": "nominal, 1 kHz", "equation": equation}
    said = f"the outputs of {found.stage} differ by {percent:.1f} %"
    if percent <= LIMIT:
        yield passed(found.stage, span, said, **shared)
    else:
        helps = (_cure(found.kind, weak),)
        yield failed(Severity.WARNING, found.stage, span, said, label=f"{percent:.1f} %", helps=helps, **shared)


def _cure(kind: str, weak: str) -> str:
    """weak: the side with the smaller output."""
    if kind == "paraphase":
        return f"a {'larger' if weak == 'b' else 'smaller'} lower resistor in the divider (divider/lower)"
    if kind == "floating-paraphase":
        return f"a {'smaller' if weak == 'b' else 'larger'} resistor from output a to the middle (seesaw/a)"
    if kind == "cathodyne":
        return "a larger grid leak of the output tubes, so that they load both outputs less"
    if kind == "interstage-transformer":
        return "alike loads on both halves of the secondary, or another transformer"
    return f"a larger plate load on side {weak}, or a larger tail"

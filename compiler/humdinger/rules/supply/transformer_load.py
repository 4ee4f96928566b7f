"""Transformer load.

What it checks
    The volt-amps of all secondary windings together against the power transformer's rating.

Why it matters
    Each winding may be within its own rating while the core and the primary carry too much of them together.

How it is computed
    Sum of rated volts x computed rms amps over all windings, nominal mains, idle; losses are not in it.

Limits and sources
    Above the rating: error (common practice: a rating in volt-amps is of what the secondaries give). No rating: not evaluated.

Example (bad)
    over: dunlin
    supply/transformer/power: 20 VA

Example (good)
    over: dunlin
    supply/transformer/power: 40 VA

When to waive it
    Not: take a larger transformer.
"""

from __future__ import annotations

from collections.abc import Iterator

from ...circuit.netlist import PowerTransformer
from ...diagnostics import Severity
from ...units import show
from ...units.values import Quantity
from ..model import Case, Outcome, failed, not_evaluated, passed

NAME = "transformer-load"


def check(case: Case) -> Iterator[Outcome]:
    """One outcome per power transformer."""
    for transformer in case.netlist.of(PowerTransformer):
        if transformer.watts is None:
            missing = "the spec does not give the transformer's power (supply/transformer/power)"
            yield not_evaluated(transformer.ref, transformer.span, missing)
            continue
        rows = [budget for budget in case.results.windings if budget.transformer == transformer.ref]
        load = sum(budget.volt_amps for budget in rows)
        terms = " + ".join(f"{budget.winding} {_volt_amps(budget.volt_amps)}" for budget in rows)
        equation = f"{terms} = {_volt_amps(load)}, {100 * load / transformer.watts:.0f} % of {_volt_amps(transformer.watts)}"
        shared = {"value": load, "limit": transformer.watts, "unit": "VA", "condition": "nominal", "equation": equation}
        said = f"the windings of {transformer.ref} give {_volt_amps(load)}"
        if load <= transformer.watts:
            yield passed(transformer.ref, transformer.span, f"{said} of {_volt_amps(transformer.watts)}", **shared)
        else:
            message = f"{said}, it is rated {_volt_amps(transformer.watts)}"
            span = case.at("supply/transformer/power")
            yield failed(Severity.ERROR, transformer.ref, span, message, label="overloaded", helps=("a larger transformer",), **shared)


def _volt_amps(value: float) -> str:
    return show(Quantity(value, "VA"))

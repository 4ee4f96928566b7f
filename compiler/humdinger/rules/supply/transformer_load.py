"""Transformer load.

What it checks
    The volt-amps of all secondary windings together against the power transformer's rating.

Why it matters
    Each winding may be within its own rating while the core and the primary carry too much of them together.

How it is computed
    Sum of rated volts x computed rms amps over all windings, nominal mains, idle; losses are not in it. The same at full sine drive, the
    high-tension winding at the amps of PSU-001.

Limits and sources
    Idle above the rating: error (common practice: a rating in volt-amps is of what the secondaries give). Full drive alone above it:
    warning, since a guitar amp is there for moments and a core warms in many minutes (common practice). No rating: not evaluated.

Example (bad)
    over: dunlin
    supply/transformer/power: 20 VA

Example (good)
    over: dunlin
    supply/transformer/power: 40 VA

When to waive it
    The warning, after an hour at full power with the winding's rise measured by its resistance. Never the error.
"""

from __future__ import annotations

from collections.abc import Iterator

from ...circuit.netlist import PowerTransformer
from ...diagnostics import Severity
from ...units import show
from ...units.values import Quantity
from ..model import Case, Outcome, failed, not_evaluated, passed
from ..printed import say_volt_amps

NAME = "transformer-load"


def check(case: Case) -> Iterator[Outcome]:
    """One outcome per power transformer."""
    for transformer in case.netlist.of(PowerTransformer):
        if transformer.watts is None:
            missing = "the spec does not give the transformer's power (supply/transformer/power)"
            yield not_evaluated(transformer.ref, transformer.span, missing)
            continue
        rows = [budget for budget in case.results.windings if budget.transformer == transformer.ref]
        driven = sum(budget.full_drive_volt_amps for budget in rows)
        load = sum(budget.volt_amps for budget in rows)
        rated = _volt_amps(transformer.watts)
        terms = " + ".join(f"{budget.winding} {say_volt_amps(budget.volt_amps)}" for budget in rows)
        equation = (
            f"{terms} = {say_volt_amps(load, transformer.watts)}, {100 * load / transformer.watts:.0f} % of {_volt_amps(transformer.watts)}"
        )
        shared = {"value": load, "limit": transformer.watts, "unit": "VA", "condition": "nominal", "equation": equation}
        said = f"the windings of {transformer.ref} give {say_volt_amps(load, transformer.watts)}"
        if load <= transformer.watts < driven:
            yield _overdriven(case, transformer, load, driven)
        elif load <= transformer.watts:
            yield passed(transformer.ref, transformer.span, f"{said} of {rated}", **shared)
        else:
            message = f"{said}, it is rated {rated}"
            span = case.at("supply/transformer/power")
            yield failed(Severity.ERROR, transformer.ref, span, message, label="overloaded", helps=("a larger transformer",), **shared)


def _overdriven(case: Case, transformer: PowerTransformer, load: float, driven: float) -> Outcome:
    rated = transformer.watts or 0.0
    message = f"the windings of {transformer.ref} give {say_volt_amps(driven, rated)} at full drive, it is rated {_volt_amps(rated)}"
    equation = f"{say_volt_amps(driven, rated)} at full drive, {100 * driven / rated:.0f} % of {_volt_amps(rated)}"
    return failed(
        Severity.WARNING,
        transformer.ref,
        case.at("supply/transformer/power"),
        message,
        value=driven,
        limit=rated,
        unit="VA",
        condition="nominal, full drive",
        equation=equation,
        label="overloaded at full drive",
        notes=(f"at idle {say_volt_amps(load, rated)}",),
        helps=("a larger transformer, or a higher load on the output tubes",),
    )


def _volt_amps(value: float) -> str:
    return show(Quantity(value, "VA"))

"""High-tension current.

What it checks
    The load on the high-tension winding against its rating, in the basis the maker's amps are given in.

Why it matters
    A capacitor takes its current in short pulses whose rms is far above the direct current: a winding that seems half loaded runs at its
    limit, and its heat ages all the insulation in the transformer.

How it is computed
    rms amps of the computed charging pulses, or the direct amps where the rating is in direct amps, over the rated amps; nominal mains,
    idle. The same at full sine drive: the form factor of idle times the direct amps of full drive.

Limits and sources
    At idle above 100 % error, above 85 % warning (common practice; makers' guidance on rectifier windings, as quoted). At full drive
    above 100 % warning: a guitar amp is there for moments, and a winding warms in many minutes (common practice). Basis unknown: error.

Example (bad)
    over: curlew
    supply/transformer/high_tension/current: 100 mA

Example (good)
    over: curlew

When to waive it
    The warning, after an hour at full power with the winding's rise measured by its resistance.
"""

from __future__ import annotations

from collections.abc import Iterator

from ...analysis.results import WindingBudget
from ...diagnostics import Severity, Span
from ...units import show_amps
from ..model import Case, Outcome, failed, passed

NAME = "high-tension-current"
ERROR_PERCENT = 100.0
WARNING_PERCENT = 85.0


def check(case: Case) -> Iterator[Outcome]:
    """One outcome per high-tension winding."""
    for budget in case.results.windings:
        winding = case.winding(budget.winding)
        if winding.kind != "high-tension":
            continue
        said = f"the winding {budget.winding} is asked for {show_amps(budget.rms_amps)} rms"
        if budget.percent is None:
            message = f"{said}, and nothing says what its {show_amps(budget.rated_amps)} mean: rms or direct"
            helps = ("ask the maker: rms, dc-capacitor-input or dc-choke-input",)
            yield failed(Severity.ERROR, budget.winding, winding.span, message, label="no basis", helps=helps)
            continue
        direct = budget.basis != "rms"
        amps = (budget.dc_amps or 0.0) if direct else budget.rms_amps
        form = f" = {budget.form_factor:.2f} x {show_amps(budget.dc_amps or 0.0)} direct" if budget.form_factor and not direct else ""
        equation = f"{show_amps(amps)}{form}; / {show_amps(budget.rated_amps)} {budget.basis} = {budget.percent:.0f} %"
        shared = {"value": budget.percent, "limit": ERROR_PERCENT, "unit": "%", "condition": "nominal", "equation": equation}
        said = f"the winding {budget.winding} gives {show_amps(amps)} {'direct' if direct else 'rms'}"
        if budget.full_drive_percent is not None and budget.percent <= ERROR_PERCENT < budget.full_drive_percent:
            yield _full_drive(budget, winding.span)
            continue
        if budget.percent <= WARNING_PERCENT:
            yield passed(budget.winding, winding.span, f"{said}, {budget.percent:.0f} % of its rating", **shared)
            continue
        severity = Severity.ERROR if budget.percent > ERROR_PERCENT else Severity.WARNING
        message = f"{said}, {budget.percent:.0f} % of its {show_amps(budget.rated_amps)}"
        label = f"rated {show_amps(budget.rated_amps)} {budget.basis}"
        helps = ("a transformer rated higher, or less load on the B+",)
        yield failed(severity, budget.winding, winding.span, message, label=label, helps=helps, **shared)


def _full_drive(budget: WindingBudget, span: Span) -> Outcome:
    driven, form = budget.full_drive_rms_amps or 0.0, budget.form_factor or 1.0
    amps, word = (driven, "rms") if budget.basis == "rms" else (driven / form, "direct")
    percent = budget.full_drive_percent or 0.0
    equation = f"{form:.2f} x {show_amps(driven / form)} direct at full drive = {show_amps(driven)} rms; {percent:.0f} % of the rating"
    message = (
        f"the winding {budget.winding} gives {show_amps(amps)} {word} at full drive, {percent:.0f} % of its {show_amps(budget.rated_amps)}"
    )
    return failed(
        Severity.WARNING,
        budget.winding,
        span,
        message,
        value=percent,
        limit=ERROR_PERCENT,
        unit="%",
        condition="nominal, full drive",
        equation=equation,
        label=f"rated {show_amps(budget.rated_amps)} {budget.basis}",
        notes=(f"at idle {budget.percent or 0.0:.0f} %",),
        helps=("a transformer rated higher, or a higher load on the output tubes",),
    )

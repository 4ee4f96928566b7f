"""Comparing what the spec declares: a word about the donor, or a distance. Shared by the rules that read nothing else.

A block that is missing as a whole is one finding, of the first rule that reads it: DNR-001 for `donor`, PE-002 for `safety`.
"""

from __future__ import annotations

from collections.abc import Iterator

from ..diagnostics import Severity
from ..units import Quantity
from .model import Case, Outcome, failed, not_evaluated, passed, undeclared


def unsaid_in_safety(case: Case, element: str, missing: str) -> Outcome:
    """A datum that `safety:` lacks. Where the whole block is missing PE-002 says so, and this only that it was not evaluated."""
    if "safety" in case.spec:
        return undeclared(case, element, case.at("safety"), missing)
    return not_evaluated(element, case.at("safety"), missing)


def donor_word(case: Case, key: str, bad: tuple[object, ...], severity: Severity, message: str, cure: str) -> Iterator[Outcome]:
    """One outcome when the amp has a donor: fails when `donor/KEY` is one of `bad`. Not said: as in `undeclared`."""
    if "donor" not in case.spec:
        return
    found = case.spec.block("donor").get(key)
    if found is None:
        yield undeclared(case, f"donor {key.replace('_', ' ')}", case.at("donor"), f"the spec does not say (donor/{key})")
    elif found in bad:
        yield failed(severity, "donor", case.at(f"donor/{key}"), message, label="stop", helps=(cure,))
    else:
        word = ("yes" if found else "no") if isinstance(found, bool) else found
        yield passed("donor", case.at(f"donor/{key}"), f"{key.replace('_', ' ')} declared: {word}")


def distance(case: Case, key: str, between: str, bands: tuple[tuple[float, Severity], ...]) -> Iterator[Outcome]:
    """One outcome for `safety/clearances/KEY`: the first band (millimetres, severity) it falls below. The last band is the limit."""
    element = key.replace("_", " ")
    declared = case.spec.block("safety").block("clearances").get(key)
    if not isinstance(declared, Quantity):
        yield unsaid_in_safety(case, element, f"no distance declared (safety/clearances/{key})")
        return
    mm = 1000.0 * declared.value
    limit = bands[-1][0]
    span = case.at(f"safety/clearances/{key}")
    equation = f"{mm:g} mm against {limit:g} mm"
    for least, severity in bands:
        if mm < least:
            yield failed(
                severity,
                element,
                span,
                f"{between} are {mm:g} mm apart, less than {least:g} mm",
                value=mm,
                limit=limit,
                unit="mm",
                equation=equation,
                label="too close",
                helps=("more air, or an insulating barrier",),
            )
            return
    yield passed(element, span, f"{between} are {mm:g} mm apart", value=mm, limit=limit, unit="mm", equation=equation)

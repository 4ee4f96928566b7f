"""Protective-earth stud.

What it checks
    That there is a stud for protective earth, M4 or larger, that fixes nothing else.

Why it matters
    Earth under a transformer bolt comes loose with the transformer, and nobody notices until the day it is needed.

How it is computed
    Read off the spec: `grounding/pe_stud`.

Limits and sources
    Absent, shared, or below M4: danger (product-safety practice as quoted by an engineering society list). Lug at the bottom with its
    own star washer and nut; other bonds above. Not said whether it is shared: not evaluated, a warning in an amp that is sold. Where the
    bond of circuit ground is missing too, this is the one danger that says so.

Example (bad)
    over: dunlin
    grounding/pe_stud: {thread: M4, dedicated: false}

Example (good)
    over: dunlin
    grounding/pe_stud: {thread: M4, dedicated: true}

When to waive it
    Never: it is a danger.
"""

from __future__ import annotations

from collections.abc import Iterator

from ...circuit.netlist import Bond, Stud
from ...diagnostics import Severity
from ..model import Case, Outcome, failed, passed, undeclared

NAME = "earth-stud"
BOND_CURE = ("one direct wire of 0.75 mm2 or more from the ground bus to that stud (grounding/circuit_bond)",)

SMALLEST_MM = 4.0


def check(case: Case) -> Iterator[Outcome]:
    """One outcome for the amp."""
    stud = next(case.netlist.of(Stud), None)
    bonded = next(case.netlist.of(Bond), None) is not None
    cure = ("a stud of its own, M4 or M5, with star washer and nut for the earth lug, first thing on the bare metal",)
    if stud is None:
        message = "there is no protective-earth stud" + ("" if bonded else ", and circuit ground is not bonded to earth")
        both = cure if bonded else (*cure, *BOND_CURE)
        yield failed(Severity.DANGER, "PE", case.at("grounding"), message, label="no pe_stud", helps=both)
        return
    size = float(stud.thread.upper().lstrip("M") or 0)
    if size < SMALLEST_MM:
        yield failed(
            Severity.DANGER,
            stud.ref,
            stud.span,
            f"the earth stud is {stud.thread}, below M4",
            value=size,
            limit=SMALLEST_MM,
            unit="mm",
            helps=cure,
        )
    elif stud.dedicated is None:
        yield undeclared(
            case, stud.ref, stud.span, "the spec does not say whether the stud fixes anything else (grounding/pe_stud/dedicated)"
        )
    elif not stud.dedicated:
        yield failed(Severity.DANGER, stud.ref, stud.span, "the earth stud also fixes something else", label="shared", helps=cure)
    else:
        yield passed(stud.ref, stud.span, f"{stud.thread} stud, it fixes nothing else")

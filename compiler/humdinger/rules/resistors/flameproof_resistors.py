"""Flameproof resistors.

What it checks
    That droppers, bleeders, screen stoppers, resistors of the output cathodes and in the rectifier's leads are flameproof, fusible or
    wire-wound.

Why it matters
    These are the resistors that a shorted capacitor or tube makes glow; a common film resistor then burns with a flame.

How it is computed
    Read off the netlist: role and declared type.

Limits and sources
    Any other type there: warning (common practice).

Example (bad)
    over: dunlin
    output/screen_stopper: 470 2W film

Example (good)
    over: dunlin
    output/screen_stopper: 470 2W flameproof

When to waive it
    For a part of many times the watts it can ever get in a fault.
"""

from __future__ import annotations

from collections.abc import Iterator

from ...circuit.netlist import Resistor
from ...diagnostics import Severity
from ..model import Case, Outcome, failed, passed
from ..resistor_limits import is_bleeder, what

NAME = "flameproof-resistors"
SAFE = ("flameproof", "fusible", "wirewound")


def check(case: Case) -> Iterator[Outcome]:
    """One outcome per resistor in such a place."""
    kinds = {stage.id: stage.kind for stage in case.netlist.stages}
    for part in case.netlist.of(Resistor):
        if not _fault_can_heat(part, kinds.get(part.stage, "")):
            continue
        if part.technology in SAFE:
            yield passed(part.ref, part.span, f"{part.ref} ({what(part)}) is {part.technology}")
        else:
            message = f"{part.ref} ({what(part)}) is a {part.technology} resistor in a place where a fault makes it glow"
            helps = ("a flameproof or wire-wound part",)
            yield failed(Severity.WARNING, part.ref, part.span, message, label=part.technology, helps=helps)


def _fault_can_heat(part: Resistor, stage: str) -> bool:
    if is_bleeder(part) or part.role.endswith("-through") or part.role.startswith(("screen-stopper", "plate-resistor")):
        return True
    return stage == "cathode-bias" and part.role.startswith("resistor")

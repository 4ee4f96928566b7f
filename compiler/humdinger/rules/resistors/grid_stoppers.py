"""Grid stoppers.

What it checks
    That a resistor stands right before the grids of the output tubes, of the first stage, and of cathode followers and cathodynes.

Why it matters
    A grid on a wire is an aerial and half of an oscillator. The stopper with the tube's own capacitance takes radio off the first grid,
    parasitic oscillation off the output grids and blips off a follower.

How it is computed
    Read off the netlist: the resistor between the grid and what drives it.

Limits and sources
    None, or less than 1.5 k on an output grid, 10 k on the first one, 10 k on a cathode follower or cathodyne: warning. Usual: 1.5 k to
    10 k, 10 k to 68 k, 10 k and more (common practice).

Example (bad)
    over: dunlin
    output/grid_stopper: ~

Example (good)
    over: dunlin
    output/grid_stopper: 2k2

When to waive it
    When the stage was swept with a scope on the plate, controls full, and found quiet.
"""

from __future__ import annotations

from collections.abc import Iterator

from ...circuit.netlist import Resistor, TubeSection
from ...diagnostics import Severity
from ...units import show_ohms
from ..model import Case, Outcome, failed, passed

NAME = "grid-stoppers"
OUTPUT_OHMS = 1.5e3
INPUT_OHMS = 10e3
FOLLOWER_OHMS = 10e3
FOLLOWERS = ("cathode-follower", "cathodyne")


def check(case: Case) -> Iterator[Outcome]:
    """One outcome per grid that wants a stopper."""
    kinds = {stage.id: stage.kind for stage in case.netlist.stages}
    first = _first(case)
    for section in case.netlist.sections:
        if section.unused or not section.grid:
            continue
        least, what, path = 0.0, "", ""
        if section.ref in case.netlist.power_sections:
            least, what, path = OUTPUT_OHMS, "output grid", "output"
        elif section.ref == first:
            least, what, path = INPUT_OHMS, "first grid", "signal/0"
        elif kinds.get(section.stage) in FOLLOWERS:
            least, what = FOLLOWER_OHMS, f"grid of the {kinds[section.stage].replace('-', ' ')}"
        if not least:
            continue
        stopper = _stopper(case, section)
        ohms = stopper.ohms if stopper else 0.0
        shared = {"value": ohms, "limit": least, "unit": "ohm"}
        if ohms >= least and stopper is not None:
            yield passed(section.ref, stopper.span, f"{stopper.ref} of {show_ohms(ohms)} stands before the {what}", **shared)
            continue
        have = f"only {show_ohms(ohms)}" if stopper else "no stopper"
        span = stopper.span if stopper else case.at(path) if path else case.netlist.stage(section.stage).span
        message = f"the {what} of {section.ref} has {have} before it, wanted {show_ohms(least)} or more"
        helps = (f"{show_ohms(least)} or more, its body on the pin of the socket",)
        yield failed(Severity.WARNING, section.ref, span, message, label="grid stopper", helps=helps, **shared)


def _first(case: Case) -> str:
    """The section the input's stopper feeds: its grid is on the input stage's output, or one resistor behind it."""
    stage = case.stage("input")
    out = stage.ports.get("out", "") if stage else ""
    nets = {out}
    for part, _ in case.netlist.on_net.get(out, ()):
        if isinstance(part, Resistor) and part.role.startswith("grid-stopper"):
            nets |= {pin.net for pin in part.pins}
    return next((s.ref for s in case.netlist.sections if s.grid in nets and not s.unused), "")


def _stopper(case: Case, section: TubeSection) -> Resistor | None:
    """The grid stopper that ends on the grid."""
    rows = case.netlist.on_net.get(section.grid, ())
    return next((part for part, _ in rows if isinstance(part, Resistor) and part.role.startswith("grid-stopper")), None)

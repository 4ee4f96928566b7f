"""Grid leak.

What it checks
    The direct resistance from each grid to where it returns, against the limit for its bias.

Why it matters
    Grid current of a warm or gassy tube lifts the grid across its leak; the tube draws more, warms more, and runs away.

How it is computed
    Own resistance of the grid by a solution of the resistor network, pots at their worst.

Limits and sources
    Limits by bias scheme: tube library with sources (handbook, from memory, where it says so). Above: error; in fixed bias up to 2.2
    times the limit is a warning when the tube idles at 70 % or less and each tube has its own adjustment or there is a high-tension fuse
    (common practice).

Example (bad)
    over: dunlin
    output/grid_leak: 1M

Example (good)
    over: curlew

When to waive it
    The warning, with tubes tested for grid current.
"""

from __future__ import annotations

from collections.abc import Iterator

from ...circuit.netlist import GROUND, Fuse, Pot, Resistor
from ...diagnostics import Label, Severity
from ...units import show_ohms
from ..model import Case, Outcome, failed, not_evaluated, passed
from ..printed import say_ohms

NAME = "grid-leak"

COOL_PERCENT = 70.0
STRETCH = 2.2


def check(case: Case) -> Iterator[Outcome]:
    """One outcome per grid whose type has a limit."""
    for path in case.results.grid_paths:
        yield from compare(case, path.section, path.own_ohms, f"{path.section} has {say_ohms(path.own_ohms)} from grid to {path.ends_at}")


def compare(case: Case, ref: str, ohms: float, said: str, equation: str = "", *, own: bool = True) -> Iterator[Outcome]:
    """The comparison, shared with the rule on shared paths. own: whether most of it is the grid's own leak, which is then to blame."""
    section = case.netlist.by_section[ref]
    power = ref in case.netlist.power_sections
    rating = section.section.rating()
    fixed = power and case.netlist.bias_scheme == "fixed"
    cited = (rating.grid_leak_fixed_ohms if fixed else rating.grid_leak_cathode_ohms) if rating else None
    span = case.span(ref)
    if section.unused:
        return
    if cited is None:
        if power:
            yield not_evaluated(ref, span, f"the library has no grid leak limit in {case.netlist.bias_scheme} bias for the type")
        return
    limit = float(cited)
    equation = equation or f"{say_ohms(ohms, limit)} against {show_ohms(limit)} in {'fixed' if fixed else 'cathode'} bias"
    shared = {"value": ohms, "limit": limit, "unit": "ohm", "condition": "pots at their worst", "equation": equation}
    if ohms <= limit:
        yield passed(ref, span, said, **shared)
        return
    largest = _largest(case, section.grid, leak=own)
    if largest is not None:
        span = largest.span
    severity = Severity.WARNING if fixed and ohms <= STRETCH * limit and _guarded(case, ref) else Severity.ERROR
    which = f"a smaller {largest.ref} ({show_ohms(largest.ohms)})" if largest else "smaller grid leaks"
    helps = (f"{which}, or cathode bias" if fixed else which,)
    also = (Label(case.span(ref), f"limit {show_ohms(limit)}"),)
    label = f"most of it is {largest.ref}" if largest else ""
    yield failed(severity, ref, span, f"{said}, its limit is {show_ohms(limit)}", label=label, also=also, helps=helps, **shared)


def _largest(case: Case, grid: str, *, leak: bool) -> Resistor | Pot | None:
    """The largest resistor or pot that a grid's leakage can run through, B+ nodes and ground being the ends; with `leak` the grid leak."""
    ends, seen, todo = {GROUND, *case.netlist.b_plus}, {grid}, [grid]
    found: dict[str, Resistor | Pot] = {}
    while todo:
        for part, _ in case.netlist.on_net.get(todo.pop(), ()):
            if not isinstance(part, Resistor | Pot):
                continue
            found[part.ref] = part
            fresh = {pin.net for pin in part.pins} - seen - ends
            seen |= fresh
            todo += sorted(fresh)
    leaks = {ref: part for ref, part in found.items() if "grid-leak" in part.role}
    found = leaks if leak and leaks else {ref: part for ref, part in found.items() if ref not in leaks} or leaks
    return max(found.values(), key=lambda part: part.ohms, default=None)


def _guarded(case: Case, ref: str) -> bool:
    """Idles cool, and a fuse or an adjustment of its own stands by."""
    rating = case.netlist.by_section[ref].section.rating()
    point = case.results.nominal.sections[ref]
    cool = rating is not None and rating.plate_watts is not None and 100.0 * point.plate_watts <= COOL_PERCENT * float(rating.plate_watts)
    fused = any(fuse.where == "high-tension" for fuse in case.netlist.of(Fuse))
    return cool and (fused or case.spec.block("bias").get("adjustment") == "per-tube")

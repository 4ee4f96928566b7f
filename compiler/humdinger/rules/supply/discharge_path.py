"""Discharge path.

What it checks
    That every high-tension capacitor falls below 60 V by itself with the tubes out, whatever fuse or standby switch is open.

Why it matters
    A capacitor that keeps its charge waits for the next hand in the amp, for days.

How it is computed
    The network of all resistances and capacitors, every fuse and switch of the supply open at once. A node that empties only through a
    dropper or a choke passes, and is listed: if that part or its joint opens, the node stays charged.

Limits and sources
    No path: danger (common practice; 60 V of direct voltage: product safety standards, from memory). One part that holds it all: info.
    Nodes that keep their charge for one reason are one finding. The rule for the bleeder on the reservoir is DIS-002.

Example (bad)
    over: heron
    supply/filter/0/bleeder: ~
    supply/filter/1/bleeder: ~
    supply/heater_reference: {kind: hum-balance, pot: 250 wirewound 1W, to: ground}

Example (good)
    over: heron

When to waive it
    Never: it is a danger.
"""

from __future__ import annotations

from collections.abc import Iterator

from ...analysis.results import Discharge
from ...diagnostics import Severity
from ...units import show_seconds, show_volts
from ..discharging import is_reservoir, parted_by, reported_as_pathless, span_of, supply_nodes
from ..model import Case, Outcome, failed, passed
from ..rectifying import COLD

NAME = "discharge-path"


def check(case: Case) -> Iterator[Outcome]:
    """One outcome per high-tension capacitor node; one danger for all that keep their charge for the same reason."""
    yield from _kept(case)
    for node in supply_nodes(case):
        if node.seconds is None or node.seconds_alone is None:
            continue
        span = span_of(case, node)
        names = " and ".join(node.capacitors)
        shared = {"value": node.seconds_alone, "unit": "s", "condition": COLD}
        if node.fixed_path:
            said = f"{node.net} falls below 60 V in {show_seconds(node.seconds_alone)} with every fuse and switch open"
            yield passed(node.net, span, said, **shared)
        else:
            way = " and ".join(node.paths)
            kept = show_volts(node.start_volts)
            message = f"{names} on {node.net} empties through {way} only; with one of them or a joint open it keeps {kept}"
            helps = ("meter every capacitor before touching it; a bleeder of its own would make it safer",)
            yield failed(Severity.INFO, node.net, span, message, label=f"through {way}", helps=helps, **shared)


def _kept(case: Case) -> Iterator[Outcome]:
    """The nodes that nothing empties, by what opens them: the missing bleeder is one cause however many capacitors hang on it."""
    groups: dict[tuple[str, ...], list[Discharge]] = {}
    for node in supply_nodes(case):
        if reported_as_pathless(case, node):
            groups.setdefault(parted_by(node), []).append(node)
    for opened, nodes in groups.items():
        first = next((node for node in nodes if is_reservoir(case, node)), nodes[0])
        names = " and ".join(first.capacitors)
        when = f" with {' or '.join(opened)} open" if opened else ""
        message = f"{names} on {first.net} keeps {show_volts(first.start_volts)}{when}: no resistance empties it"
        notes = tuple(f"so does {' and '.join(n.capacitors)} on {n.net}, {show_volts(n.start_volts)}" for n in nodes if n is not first)
        shared = {"value": first.start_volts, "limit": 60.0, "unit": "V", "condition": COLD}
        helps = ("a bleeder right across it",)
        yield failed(Severity.DANGER, first.net, span_of(case, first), message, label="stays charged", notes=notes, helps=helps, **shared)

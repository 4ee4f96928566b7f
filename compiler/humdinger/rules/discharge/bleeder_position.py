"""Bleeder position.

What it checks
    That a resistor stands right across the reservoir, with no fuse, switch, choke or connector between.

Why it matters
    A bleeder behind a standby switch is no bleeder on the night the switch stands open, and the reservoir holds the most.

How it is computed
    Read off the netlist: a resistor, or a chain of them with nothing else on its joints, on the reservoir's own two nets; the
    discharge with every fuse and switch of the supply open.

Limits and sources
    Absent or parted: danger (common practice). A capacitor that nothing empties at all, and every other one that an open fuse or switch
    parts from its bleeder, is PSU-008: one cause, one danger.

Example (bad)
    over: dunlin
    supply/filter/0/bleeder: ~
    supply/filter/1/bleeder: 100k 3W flameproof

Example (good)
    over: dunlin

When to waive it
    Never: it is a danger.
"""

from __future__ import annotations

from collections.abc import Iterator

from ...diagnostics import Severity
from ...units import show_seconds
from ..discharging import is_reservoir, parted_by, reported_as_pathless, span_of, supply_nodes
from ..model import Case, Outcome, failed, passed
from ..rectifying import COLD

NAME = "bleeder-position"


def check(case: Case) -> Iterator[Outcome]:
    """One outcome for the reservoir, and one per other node with a path."""
    for node in supply_nodes(case):
        if reported_as_pathless(case, node):
            continue
        span = span_of(case, node)
        names = " and ".join(node.capacitors)
        helps = ("a bleeder soldered right across its terminals",)
        if is_reservoir(case, node) and not node.fixed_path:
            message = f"no resistor stands right across the reservoir {names}"
            parted = f"an open {' or '.join(parted_by(node))} parts it from every bleeder" if parted_by(node) else ""
            yield failed(
                Severity.DANGER,
                node.net,
                span,
                message,
                condition=COLD,
                label="no bleeder of its own",
                helps=helps,
                notes=(parted,) if parted else (),
            )
        else:
            where = "right across it" if node.fixed_path else f"over {' + '.join(node.paths)}"
            slowest = node.seconds_alone or node.seconds or 0.0
            said = f"{names} on {node.net} has a path {where}"
            yield passed(node.net, span, said, value=slowest, unit="s", condition=COLD, equation=f"{show_seconds(slowest)} to 60 V")

"""Stages on one B+ node.

What it checks
    How many stages of the signal path hang on one B+ node, and whether two of them are in phase.

Why it matters
    Two stages in a row draw opposite signal currents from their node. The third is in phase with the first: what it draws comes back
    to the first amplified, and the amp motor-boats.

How it is computed
    Stages by their supply node, each with the phase of its current against the input; a long-tailed pair draws no net signal.

Limits and sources
    More than two on a node, two of them in phase: warning (common practice).

Example (bad)
    over: heron
    signal/5/supply: B4

Example (good)
    over: heron

When to waive it
    When the loop through the node was computed or measured at a tenth of a cycle to twenty cycles a second.
"""

from __future__ import annotations

from collections.abc import Iterator

from ...circuit.netlist import StageInstance
from ...circuit.polarity import INVERTING
from ...diagnostics import Severity
from ..model import Case, Outcome, failed, passed
from ..signal_path import at_stage

NAME = "stages-per-node"
MOST = 2
NO_NET_CURRENT = ("long-tailed-pair", "paraphase", "floating-paraphase")
DRAWING = ("common-cathode", "pentode-gain", "feedback-tone", "cathode-follower", "cathodyne", "interstage-transformer", *NO_NET_CURRENT)


def check(case: Case) -> Iterator[Outcome]:
    """One outcome per B+ node that feeds stages of the signal path."""
    phases = _phases(case)
    for node in case.netlist.b_plus:
        stages = [s for s in case.netlist.stages if s.kind in DRAWING and s.ports.get("supply") == node]
        if not stages:
            continue
        groups = [[s.id for s in stages if s.kind not in NO_NET_CURRENT and phases.get(s.id) == sign] for sign in (1, -1)]
        most = max(groups, key=len)
        shared = {"value": float(len(stages)), "limit": float(MOST), "unit": "stages"}
        said = f"{node} feeds {' and '.join(s.id for s in stages)}"
        if len(stages) <= MOST or len(most) < 2:
            yield passed(node, at_stage(case, stages[0].id, "supply"), said, **shared)
        else:
            helps = ("a B+ node of its own for one of them",)
            message = f"{said}: {' and '.join(most)} are in phase"
            yield failed(
                Severity.WARNING,
                node,
                at_stage(case, stages[-1].id, "supply"),
                message,
                label=f"the {len(stages)}. on {node}",
                helps=helps,
                **shared,
            )


def _phases(case: Case) -> dict[str, int]:
    """Stage -> +1 when its current rises with the amp's input, -1 when it falls."""
    nets = {case.netlist.input_net: 1}
    found: dict[str, int] = {}
    for stage in case.netlist.stages:
        sign = nets.get(stage.ports.get("in", ""))
        if sign is None:
            continue
        found[stage.id] = sign
        for port, net in stage.ports.items():
            if port.startswith("out"):
                nets.setdefault(net, _through(stage, port, sign))
    return found


def _through(stage: StageInstance, port: str, sign: int) -> int:
    return -sign if (stage.kind, port) in INVERTING else sign

"""Which way round a signal comes out of a chain of stages, so that feedback is connected the right way round."""

from __future__ import annotations

from collections.abc import Sequence

from .netlist import StageInstance

INVERTING = frozenset(
    {
        ("common-cathode", "out"),
        ("pentode-gain", "out"),
        ("feedback-tone", "out"),
        *((kind, "out-a") for kind in ("long-tailed-pair", "cathodyne", "paraphase", "floating-paraphase", "interstage-transformer")),
    }
)
"""(kind, port) of outputs that are upside down against the stage's input."""


def channel_input(stages: Sequence[StageInstance], stage: StageInstance) -> str:
    """The tip of the input that a stage is fed from, "" when none leads to it. Behind a mixer: that of its first channel."""
    for _ in stages:
        if stage.kind == "input":
            return stage.ports.get("in", "")
        net = stage.ports.get("in", "")
        driver = next(
            (s for s in reversed(stages) if s is not stage and any(p.startswith("out") and n == net for p, n in s.ports.items())), None
        )
        if driver is None:
            return ""
        stage = driver
    return ""


def inversion(stages: Sequence[StageInstance], target: str, net: str) -> int | None:
    """+1 when `net` is in phase with the input of stage `target`, -1 when it is upside down, None when that stage does not drive it.

    Walks back from the net over ports: a stage's "in" is the output of the stage that feeds it.
    """
    sign = 1
    for _ in stages:
        driver = next(((s, p) for s in reversed(stages) for p, n in s.ports.items() if p.startswith("out") and n == net), None)
        if driver is None:
            return None
        stage, port = driver
        if (stage.kind, port) in INVERTING:
            sign = -sign
        if stage.id == target:
            return sign
        net = stage.ports.get(port.replace("out", "in")) or stage.ports.get("in", "")
    return None

"""B+ filter: node after node to the right, each with its arrow, capacitor and bleeder; what leads to it stands in the line before it.

Every node is a block of its own, so a long chain wraps onto the next row.
"""

from __future__ import annotations

from ...circuit.netlist import Rectifier, StageInstance
from ..chain import run, walk
from ..common import other_net
from ..geometry import SIDE, Point
from ..pen import Pen, role
from .power_transformer import TOP

FOOT = TOP - 3.2


def draw(pen: Pen, stage: StageInstance) -> None:
    """The rectifier's plus on the left; arrows carry the nodes away."""
    names = [str(name) for name in stage.facts.get("nodes", ())]  # type: ignore[union-attr]
    found: Rectifier | None = next((r for r in pen.netlist.rectifiers if r.id == "high-tension"), None)
    before = found.plus if found else ""
    for index, name in enumerate(names):
        node = stage.ports[name.lower()]
        if index:
            pen.next_block()
        pen.block.port(f"in-{name}", before, (0.0, TOP), "left")
        at: Point = (0.3, TOP)
        pen.wire(before, (0.0, TOP), at)
        net = before
        if not index and stage.ports["reservoir"] != node:
            # the reservoir's own capacitor stands before what leads to the first node
            net = stage.ports["reservoir"]
            at = run(pen, walk(pen, stage, before, net), before, at, label="below")
            right, last = _shunts(pen, stage, name, net, at)
            pen.wire(net, at, (max(right, last), TOP))
            at = (max(right, last), TOP)
        at = run(pen, walk(pen, stage, net, node), net, at, label="below")
        here = at[0] + 0.35
        pen.wire(node, at, (here, TOP))
        right, last = _shunts(pen, stage, name, node, (here, TOP)) if stage.ports["reservoir"] == node or index else (here, here)
        pen.wire(node, (here, TOP), (here, TOP + 0.5))
        pen.supply(node, (here, TOP + 0.5))
        if index < len(names) - 1:
            last = max(right, here + 0.4)
            pen.block.port(f"out-{name}", node, (last, TOP), "right")
        pen.wire(node, (here, TOP), (last, TOP))
        before = node


def _shunts(pen: Pen, stage: StageInstance, name: str, net: str, at: Point) -> tuple[float, float]:
    """Capacitor under the node, bleeder to its right. Returns how far right they reach, and the x of the last one."""
    x = at[0]
    right = x
    for kind in ("capacitor", "bleeder"):
        ref = role(stage, f"{name}-{kind}")
        if ref is None:
            continue
        if right > x:
            x = right + 0.5
        pen.two(ref, (x, TOP), (x, FOOT), start=net, label="right")
        pen.ground((x, FOOT), other_net(pen, ref, net))
        right = x + SIDE + pen.width(ref)
    return right, x

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
STEP = 2.4
"""Height of one of several capacitors in series."""


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
    """Capacitor under the node, or several in series, bleeder to its right. Returns how far right they reach, and the x of the last one."""
    x = at[0]
    right = x
    if role(stage, f"{name}-capacitor-1"):
        right, x = _stack(pen, stage, name, net, x)
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


def _stack(pen: Pen, stage: StageInstance, name: str, net: str, x: float) -> tuple[float, float]:
    """Capacitors in series under the node, the resistor of each beside it. Returns how far right they reach, and the resistors' x."""
    count = sum(1 for key in stage.parts if key.startswith(f"{name}-capacitor-"))
    fed = next((r.middle for r in pen.netlist.rectifiers if r.middle), "")
    pairs = [(stage.parts[f"{name}-capacitor-{k}"], role(stage, f"{name}-balancing-{k}")) for k in range(1, count + 1)]
    beside = x + SIDE + max(pen.width(capacitor) for capacitor, _ in pairs) + 0.5
    right = beside
    y, above = TOP, net
    for number, (capacitor, resistor) in enumerate(pairs, 1):
        below = other_net(pen, capacitor, above)
        foot = y - STEP
        pen.two(capacitor, (x, y), (x, foot), start=above, label="right")
        if resistor:
            pen.two(resistor, (beside, y), (beside, foot), start=above, label="right")
            right = max(right, beside + SIDE + pen.width(resistor))
        if number < count:
            pen.wire(below, (x, foot), (beside, foot))
            if below == fed:  # the winding's other end comes in there
                pen.block.port("middle", below, (0.0, foot), "left")
                pen.wire(below, (0.0, foot), (x, foot))
            pen.node_volts(below, (x - 0.2, foot - (0.45 if below == fed else 0.08)))
        else:
            pen.ground((x, foot), below)
            pen.ground((beside, foot), below)
        y, above = foot, below
    return right, beside

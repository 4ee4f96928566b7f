"""What several cells have in common: leaks and stoppers along a grid line, cathode networks, coupling capacitors."""

from __future__ import annotations

from ..circuit.netlist import StageInstance
from .geometry import GRID, LOW, SIDE, Point
from .pen import Pen

STOPPER = 1.9
"""Room along the line for a level resistor."""

BYPASS = 1.15
"""From a cathode resistor to its bypass."""


def section_of(pen: Pen, stage: StageInstance) -> str:
    """The tube section of a stage. Raises StopIteration when it has none."""
    return next(s.ref for s in pen.netlist.sections if s.stage == stage.id and not s.unused)


def chain_leak(pen: Pen, ref: str | None, net: str, start: float, x: float) -> float:
    """The grid line from `start` on, with a grid leak hanging from it at x, label to the right. Returns the next free x on the line."""
    if ref is None:
        pen.wire(net, (start, GRID), (x, GRID))
        return x
    pen.wire(net, (start, GRID), (x, GRID), (x + 0.35, GRID))
    pen.two(ref, (x, GRID), (x, LOW), start=net, label="right")
    pen.ground((x, LOW), other_net(pen, ref, net))
    return x + 0.35


def chain_stopper(pen: Pen, ref: str | None, net: str, behind: str, x: float, y: float, *, label: str = "above") -> tuple[float, str]:
    """A stopper along the line, label above. Returns x behind it and the net there."""
    if ref is None:
        return x, net
    way = max(STOPPER, pen.width(ref, level=True) + 0.2)
    pen.two(ref, (x, y), (x + way, y), start=net, label=label)
    return x + way, behind


def cathode_network(pen: Pen, resistor: str | None, bypass: str | None, node: Point, net: str, *, foot: float = LOW) -> float:
    """Cathode resistor straight under the node, its bypass to the right. Returns how far right it reaches."""
    x, y = node
    right = x
    if resistor is not None:
        back = other_net(pen, resistor, net)
        pen.two(resistor, (x, y), (x, foot), start=net, label="left")
        pen.ground((x, foot), back)
    if bypass is not None:
        back = other_net(pen, bypass, net)
        far = x + BYPASS
        pen.block.wire(net, (x, y), (far, y))
        pen.two(bypass, (far, y), (far, foot), start=net, label="right")
        pen.ground((far, foot), back)
        right = far + SIDE + pen.width(bypass)
    return right


def coupling(pen: Pen, ref: str | None, net: str, at: Point, *, label: str = "above", way: float = 1.9) -> Point:
    """A coupling capacitor to the right along a line. Returns the far end; without one, the same point."""
    if ref is None:
        return at
    need = max(way, pen.width(ref, level=True) + 0.3)
    end = (at[0] + need, at[1])
    pen.two(ref, at, end, start=net, label=label)
    return end


def other_net(pen: Pen, ref: str, net: str) -> str:
    """The net at the other end of a two-terminal part."""
    nets = [pin.net for pin in pen.part(ref).pins]
    return nets[1] if nets[0] == net else nets[0]

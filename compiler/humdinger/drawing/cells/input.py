"""Input jack with its shorting contact, grid leak and grid stopper; two jacks stand one above the other and meet behind the stoppers."""

from __future__ import annotations

from ...circuit.netlist import StageInstance
from ..common import STOPPER, chain_leak, chain_stopper
from ..geometry import GRID, LOW, OUT, SIDE
from ..jacks import jack, jack_ground
from ..pen import Pen, role

SECOND = 3.6
"""Height of the second jack's tip."""
FOOT = 4.55
"""Ground of the first jack, above the second."""


def draw(pen: Pen, stage: StageInstance) -> None:
    """Signal leaves to the right at grid height."""
    if "low" in stage.ports:
        _two(pen, stage)
        return
    tip = stage.ports["in"]
    ref = stage.parts["jack"]
    tags = jack(pen, ref, (0.0, GRID))
    x = jack_ground(pen, ref, tags, GRID, LOW) + 0.75
    x = chain_leak(pen, role(stage, "grid-leak"), tip, tags, x)
    x, net = chain_stopper(pen, role(stage, "grid-stopper"), tip, stage.ports["out"], x, GRID)
    pen.block.port("out", net, (x, GRID), "right")


def _two(pen: Pen, stage: StageInstance) -> None:
    """The first jack on the OUT line, the second under it; the signal leaves between them at grid height."""
    high, low, out = (stage.ports[name] for name in ("in", "low", "out"))
    first, second = stage.parts["jack"], stage.parts["jack-low"]
    tags = jack(pen, first, (0.0, OUT))
    jack_ground(pen, first, tags, OUT, FOOT)
    jack(pen, second, (0.0, SECOND))
    column = jack_ground(pen, second, tags, SECOND, LOW)
    x = column + 0.45
    pen.wire(high, (tags, OUT), (x, OUT))
    part = pen.part(second)
    if any(pin.name == "tip-switch" and pin.net == high for pin in part.pins):
        pen.wire(high, (tags, SECOND - 0.5), (x, SECOND - 0.5), (x, OUT))
    leak = x + 0.5
    x = leak + 0.35
    pen.wire(high, (x - 0.85, OUT), (leak, OUT), (x, OUT))
    pen.two(stage.parts["grid-leak"], (leak, OUT), (leak, FOOT - 0.2), start=high, label="right")
    pen.ground((leak, FOOT - 0.2))
    pen.wire(low, (tags, SECOND), (leak, SECOND), (x, SECOND))
    other = stage.parts.get("grid-leak-low")
    if other:
        pen.two(other, (leak, SECOND), (leak, LOW), start=low, label="right")
        pen.ground((leak, LOW))
    refs = (stage.parts["grid-stopper"], stage.parts["grid-stopper-low"])
    x = max(x, leak + SIDE + pen.width(stage.parts["grid-leak"]) - 0.4)
    way = max([STOPPER, *(pen.width(ref, level=True) + 0.2 for ref in refs)])
    for ref, net, y in zip(refs, (high, low), (OUT, SECOND), strict=True):
        pen.wire(net, (leak + 0.35, y), (x, y))
        pen.two(ref, (x, y), (x + way, y), start=net, label="above")
        pen.wire(out, (x + way, y), (x + way, GRID))
    pen.wire(out, (x + way, GRID), (x + way + 0.4, GRID))
    pen.block.port("out", out, (x + way + 0.4, GRID), "right")

"""Rectifier: full-wave with silicon or a tube, a silicon or a hybrid bridge, or a doubler; whatever stands in its leads is drawn in its
place."""

from __future__ import annotations

from ...circuit.netlist import GROUND, StageInstance, Tube
from ..chain import run, walk
from ..geometry import SIDE, Point
from ..pen import Pen
from ..shapes import TubeShape
from .power_transformer import TOP, TURNS

LOW = TOP - TURNS * 0.42
CENTRE = (TOP + LOW) / 2


def draw(pen: Pen, stage: StageInstance) -> None:
    """Winding ends on the left, plus on the right."""
    found = next(r for r in pen.netlist.rectifiers if r.id == "high-tension")
    part = pen.part(found.transformer)
    ends = {leg: pen.net(found.transformer, f"HT-{leg.upper()}") for leg in "ab"}
    for leg, y in (("a", TOP), ("b", LOW)):
        pen.block.port(f"ht-{leg}", ends[leg], (0.0, y), "left")
    tap = next((p.net for p in part.pins if p.name == "HT-CT"), "")
    clear = 0.0
    if tap and tap != GROUND and not pen.loose(tap):
        clear = _centre_tap(pen, stage, tap)
    if found.arrangement == "hybrid-bridge":
        end = _hybrid(pen, stage, found.devices[0], ends, found.plus, clear)
    elif found.kind == "tube":
        end = _tube(pen, stage, found.devices[0], ends, found.plus, clear)
    elif found.arrangement == "doubler":
        end = _doubler(pen, stage, ends, found.plus, clear)
    elif found.arrangement == "bridge":
        end = _bridge(pen, stage, ends, found.plus, clear)
    else:
        end = _full_wave(pen, stage, ends, found.plus, clear)
    pen.block.port("plus", found.plus, end, "right")


def _centre_tap(pen: Pen, stage: StageInstance, tap: str) -> float:
    """What stands between the centre tap and ground. Returns how far right it reaches."""
    pen.block.port("ht-ct", tap, (0.0, CENTRE), "left")
    x, y = run(pen, walk(pen, stage, tap, GROUND, avoid=()), tap, (0.0, CENTRE), label="below")
    pen.wire(GROUND, (x, y), (x + 0.25, y), (x + 0.25, y - 0.4))
    pen.ground((x + 0.25, y - 0.4))
    return x + 0.25 + 0.3


def _full_wave(pen: Pen, stage: StageInstance, ends: dict[str, str], plus: str, clear: float) -> Point:
    """Two legs of diodes meeting on the right."""
    stops = {}
    for leg, y, label in (("a", TOP, "above"), ("b", LOW, "below")):
        stops[leg] = run(pen, walk(pen, stage, ends[leg], plus), ends[leg], (0.3, y), label=label, slot=1.5)
        pen.wire(ends[leg], (0.0, y), (0.3, y))
    x = max(stops["a"][0] + 0.35, stops["b"][0] + 0.35, clear + 0.2)
    pen.wire(plus, stops["b"], (x, LOW), (x, TOP))
    pen.wire(plus, stops["a"], (x, TOP), (x + 0.5, TOP))
    return (x + 0.5, TOP)


def _bridge(pen: Pen, stage: StageInstance, ends: dict[str, str], plus: str, clear: float) -> Point:
    """Two columns of diodes between ground and plus, a winding end on the middle of each."""
    nodes = {leg: pen.net(stage.parts[f"diode-plus-{leg}-1"], "a") for leg in "ab"}
    count = sum(role.startswith("diode-plus-a-") for role in stage.parts)
    tall = 1.35 * count + 0.45
    top, bottom = TOP + tall, LOW - tall
    stop = run(pen, walk(pen, stage, ends["a"], nodes["a"]), ends["a"], (0.3, TOP))
    pen.wire(ends["a"], (0.0, TOP), (0.3, TOP))
    columns = {"a": max(stop[0] + 0.3, clear + 0.3)}
    columns["b"] = columns["a"] + 1.3 + pen.width(stage.parts["diode-plus-a-1"])
    pen.wire(nodes["a"], stop, (columns["a"], TOP))
    pen.wire(ends["b"], (0.0, LOW), (columns["b"], LOW))
    for leg, y in (("a", TOP), ("b", LOW)):
        x = columns[leg]
        _column(pen, stage, f"diode-plus-{leg}-", nodes[leg], (x, y), (x, top), count, "up")
        _column(pen, stage, f"diode-minus-{leg}-", nodes[leg], (x, y), (x, bottom), count, "down")
    right = columns["b"] + 0.9 + pen.width(stage.parts["diode-plus-b-1"])
    pen.wire(GROUND, (columns["a"], bottom), (columns["b"], bottom))
    pen.wire(GROUND, (columns["b"], bottom), (columns["b"], bottom - 0.35))
    pen.ground((columns["b"], bottom - 0.35))
    pen.wire(plus, (columns["a"], top), (columns["b"], top), (right, top), (right, TOP), (right + 0.4, TOP))
    return (right + 0.4, TOP)


def _doubler(pen: Pen, stage: StageInstance, ends: dict[str, str], plus: str, clear: float) -> Point:
    """End A between the two legs, which go on to plus and down to ground; end B to the joint of the reservoirs, which the filter draws."""
    node = pen.net(stage.parts["diode-plus-1"], "a")
    count = sum(role.startswith("diode-plus-") for role in stage.parts)
    pen.wire(ends["a"], (0.0, TOP), (0.3, TOP))
    stop = run(pen, walk(pen, stage, ends["a"], node), ends["a"], (0.3, TOP))
    x = max(stop[0] + 0.3, clear + 0.3)
    bottom = TOP - 1.35 * count - 0.45
    pen.wire(node, stop, (x, TOP))
    _column(pen, stage, "diode-minus-", node, (x, TOP), (x, bottom), count, "down")
    pen.ground((x, bottom))
    at = (x + SIDE + pen.width(stage.parts["diode-minus-1"]), TOP)
    pen.wire(node, (x, TOP), at)
    end = run(pen, walk(pen, stage, node, plus), node, at, slot=1.5)
    level = min(LOW, bottom - 0.9)
    middle = [(0.0, LOW), (end[0] + 0.4, LOW)] if level == LOW else [(0.0, LOW), (0.3, LOW), (0.3, level), (end[0] + 0.4, level)]
    pen.wire(ends["b"], *middle)
    pen.block.port("middle", ends["b"], middle[-1], "right")
    pen.wire(plus, end, (end[0] + 0.4, TOP))
    return (end[0] + 0.4, TOP)


def _hybrid(pen: Pen, stage: StageInstance, ref: str, ends: dict[str, str], plus: str, clear: float) -> Point:
    """Two columns of diodes from ground to the winding's ends, then the tube."""
    count = sum(role.startswith("diode-minus-a-") for role in stage.parts)
    nodes = {leg: pen.net(stage.parts[f"diode-minus-{leg}-{count}"], "k") for leg in "ab"}
    bottom = LOW - 1.35 * count - 0.45
    stops = {}
    for leg, y, label in (("a", TOP, "above"), ("b", LOW, "below")):
        pen.wire(ends[leg], (0.0, y), (0.3, y))
        stops[leg] = run(pen, walk(pen, stage, ends[leg], nodes[leg]), ends[leg], (0.3, y), label=label)
    columns = {"a": max(stops["a"][0], stops["b"][0], clear) + 0.3}
    columns["b"] = columns["a"] + 1.3 + pen.width(stage.parts["diode-minus-a-1"])
    for leg, y in (("a", TOP), ("b", LOW)):
        x = columns[leg]
        pen.wire(nodes[leg], stops[leg], (x, y))
        _column(pen, stage, f"diode-minus-{leg}-", nodes[leg], (x, y), (x, bottom), count, "down")
    pen.wire(GROUND, (columns["a"], bottom), (columns["b"], bottom), (columns["b"], bottom - 0.35))
    pen.ground((columns["b"], bottom - 0.35))
    on = columns["b"] + SIDE + pen.width(stage.parts["diode-minus-b-1"])
    pen.wire(nodes["a"], (columns["a"], TOP), (on, TOP))
    pen.wire(nodes["b"], (columns["b"], LOW), (on, LOW))
    return _tube(pen, stage, ref, nodes, plus, clear, on)


def _column(pen: Pen, stage: StageInstance, prefix: str, net: str, start: Point, end: Point, count: int, way: str) -> None:
    """Diodes in series from a node to a rail: next to the rail they are evenly spread."""
    sign = 1.0 if way == "up" else -1.0
    refs = [stage.parts[f"{prefix}{number}"] for number in range(1, count + 1)]
    if way == "down":
        refs.reverse()
    x = start[0]
    first = (x, end[1] - sign * 1.35 * count)
    pen.wire(net, start, first)
    at, here = first, net
    for ref in refs:
        stop = (x, at[1] + sign * 1.35)
        pen.two(ref, at, stop, start=here, label="right")
        pins = {p.net for p in pen.part(ref).pins}
        here = next(iter(pins - {here}), here)
        at = stop


def _tube(pen: Pen, stage: StageInstance, ref: str, ends: dict[str, str], plus: str, clear: float, start: float = 0.0) -> Point:
    """A tube with two plates: end A over its top to the right plate, end B from below to the left one, B+ from the cathode.

    start: x where the ends come in.
    """
    tube = pen.part(ref)
    assert isinstance(tube, Tube)
    section = next(s for s in tube.type.sections if s.kind == "rectifier")
    plates = {name: pen.net(ref, str(section.pins[name][0])) for name in ("plate1", "plate2")}
    stops, nets = {}, {}
    for leg, y, label in (("a", TOP, "above"), ("b", LOW, "below")):
        target = plates["plate1"] if leg == "a" else plates["plate2"]
        pen.wire(ends[leg], (start, y), (start + 0.3, y))
        stops[leg] = run(pen, walk(pen, stage, ends[leg], target), ends[leg], (start + 0.3, y), label=label)
        nets[leg] = target
    rise = max(stops["a"][0] + 0.4, stops["b"][0] + 0.4, clear + 0.2)
    shape = TubeShape("rectifier", (rise + 1.3, CENTRE), mirror=True)
    owner = ("part", ref)
    direct = tube.type.warm_up == "direct"
    pen.block.symbol(owner, "tube", (shape.at,), (shape.body,), section="rectifier", mirror=True, filament=direct)
    for electrode in ("plate1", "plate2"):
        pen.electrode(ref, electrode, section.pins[electrode], shape, owner)
    cathode = section.pins.get("cathode", ())
    pen.electrode(ref, "cathode", [n for n in cathode if pen.net(ref, str(n)) == plus], shape, owner)
    first, second = shape.lead("plate1"), shape.lead("plate2")
    pen.wire(nets["a"], stops["a"], (first[0], TOP), first)
    level = second[1] + 0.35
    pen.wire(nets["b"], stops["b"], (rise, LOW), (rise, level), (second[0], level), second)
    leg = shape.lead("cathode")
    out = (shape.at[0] + 2.2, leg[1] - 0.5)
    pen.wire(plus, leg, (leg[0], out[1]), out)
    pen.drawn(ref)
    pen.block.lines(owner, (shape.at[0] + 1.05, CENTRE), pen.rows(ref), "right")
    return out

"""Heaters: each heater winding with the tubes it feeds between two rails, and what refers the heaters to a voltage.

The windings are pieces of the power transformer, drawn here where they work.
"""

from __future__ import annotations

from ...circuit.heating import SeriesPair, series_pairs
from ...circuit.netlist import GROUND, Lamp, PowerTransformer, StageInstance, Tube, Winding
from ...units.format import show_number
from ..common import other_net
from ..geometry import SIDE, Point
from ..labels import Rows, packed
from ..magnetics import CORE, PITCH, coil, open_end
from ..pen import Pen, role
from ..shapes import BUMP

UPPER, LOWER = 7.4, 3.9
MIDDLE = (UPPER + LOWER) / 2
TURNS = 5
LONGEST = 20.0
"""Rails that reach further go on in a new block."""


def draw(pen: Pen, stage: StageInstance) -> None:
    """No ports but those that carry long rails on."""
    ref = next((s.parts.get("power-transformer", "") for s in pen.netlist.stages_of("power-transformer")), "")
    if not ref:
        return
    part = pen.part(ref)
    assert isinstance(part, PowerTransformer)
    first = True
    for winding in (w for w in part.windings if w.kind == "heater"):
        if not first:
            pen.next_block()
        first = False
        _winding(pen, stage, part, winding)
    for mark in _marks(stage, "divider-upper"):
        pen.next_block()
        _divider(pen, stage, mark)


def _marks(stage: StageInstance, name: str) -> list[str]:
    """What stands before a role's name: "" for the first winding's, "h2-" and the like for others."""
    return [role.removesuffix(name) for role in stage.parts if role == name or role.endswith(f"-{name}")]


def _winding(pen: Pen, stage: StageInstance, part: PowerTransformer, winding: Winding) -> None:
    """One winding and what hangs on it."""
    ref, x = part.ref, 1.0
    top = MIDDLE + TURNS * BUMP / 2
    low = coil(pen, ref, x, top, TURNS, "left")
    for at in (x - CORE, x - CORE - PITCH):
        pen.block.symbol(("part", ref), "strokes", ((at, top + 0.1), (at, low - 0.1)), lw=1.3)
    pen.piece(ref, winding.name)
    amps = f"{show_number(winding.volts)} V {show_number(winding.amps)} A"
    pen.block.lines(
        ("part", ref), (x - CORE - PITCH - 0.2, top + 0.42), ((ref, "ref"), (winding.name, "value"), (amps, "value")), "above-left"
    )
    nets = {pin.name: pin.net for pin in part.pins}
    a, tap, b = winding.pins
    _ends(pen, ref, winding, nets, x, top, low)
    if pen.loose(nets[a]):
        return
    right = max(x + 0.9, x - CORE - PITCH - 0.1 + pen.rows_width(((amps, "value"),)))  # clear of the winding's text
    pen.wire(nets[a], (x, top), (right, top), (right, UPPER))
    pen.wire(nets[b], (x, low), (right, low), (right, LOWER))
    at = right + 0.35
    if tap and tap in nets:
        at = max(at, _tap(pen, nets[tap], (x, MIDDLE)))
    at = _references(pen, stage, (nets[a], nets[b]), at)
    _consumers(pen, winding, (nets[a], nets[b]), right, at)


def _ends(pen: Pen, ref: str, winding: Winding, nets: dict[str, str], x: float, top: float, low: float) -> None:
    """Terminals of the winding; open ends where nobody uses it."""
    for pin, y in zip(winding.pins, (top, MIDDLE, low), strict=True):
        if not pin or pin not in nets:
            continue
        pen.block.terminal(ref, pin, nets[pin], (x, y))
        pen.block.text(("part", ref), (x + 0.12, y + 0.08), pin, "pin")
        if pen.loose(nets[pin]):
            open_end(pen, nets[pin], (x, y))


def _tap(pen: Pen, net: str, at: Point) -> float:
    """The centre tap's lead. Returns the next free x."""
    if pen.loose(net):
        return at[0] + 2.0
    end = (at[0] + 0.55, at[1])
    if net == GROUND:
        pen.wire(net, at, end, (end[0], at[1] - 0.3))
        pen.ground((end[0], at[1] - 0.3))
        return end[0] + 0.5
    end = (at[0] + 1.05, at[1])
    pen.wire(net, at, end)
    pen.flag(net, end, "right")
    return end[0] + pen.flag_width(net) + 0.3


def _references(pen: Pen, stage: StageInstance, ends: tuple[str, str], x: float) -> float:
    """Artificial centre taps and hum-balance pots between the rails. Returns the next free x."""
    for mark in _marks(stage, "hum-balance"):
        pot = stage.parts[f"{mark}hum-balance"]
        if pen.net(pot, "ccw") == ends[0]:
            x += SIDE + pen.width(pot)
            x = _target(pen, pen.net(pot, "wiper"), pen.pot(pot, (x, UPPER), (x, LOWER), first="ccw", label="left"))
    for mark in _marks(stage, "reference-a"):
        first, second = stage.parts[f"{mark}reference-a"], stage.parts[f"{mark}reference-b"]
        if pen.net(first, "1") == ends[0]:
            x += SIDE + max(pen.width(first), pen.width(second))
            pen.two(first, (x, UPPER), (x, MIDDLE), start=ends[0], label="left")
            pen.two(second, (x, MIDDLE), (x, LOWER), start=other_net(pen, second, ends[1]), label="left")
            x = _target(pen, other_net(pen, first, ends[0]), (x, MIDDLE))
    return x


def _target(pen: Pen, net: str, at: Point) -> float:
    """Where the middle goes: ground or a flag. Returns the next free x."""
    end = (at[0] + 0.5, at[1])
    if net == GROUND:
        pen.wire(net, at, end, (end[0], at[1] - 0.3))
        pen.ground((end[0], at[1] - 0.3))
        return end[0] + 0.5
    pen.wire(net, at, end)
    pen.flag(net, end, "right")
    return end[0] + pen.flag_width(net) + 0.3


def _consumers(pen: Pen, winding: Winding, ends: tuple[str, str], start: float, x: float) -> None:
    """Heaters of tubes and the pilot lamp between the rails, which go on in a new block where they grow too long."""
    last = start
    pairs = {pair.refs[0]: pair for pair in series_pairs(pen.netlist) if pair.winding == winding.name}
    seconds = {pair.refs[1] for pair in pairs.values()}
    users: list[Tube | Lamp] = [t for t in pen.netlist.of(Tube) if t.heater == winding.name and t.ref not in seconds]
    users += [lamp for lamp in pen.netlist.of(Lamp) if {p.net for p in lamp.pins} == set(ends)]
    for user in users:
        if x > LONGEST:
            _rails(pen, ends, start, x + 0.3)
            for name, net, y in zip("ab", ends, (UPPER, LOWER), strict=True):
                pen.block.port(f"{name}-out", net, (x + 0.3, y), "right")
            pen.next_block()
            start = x = 0.0
            for name, net, y in zip("ab", ends, (UPPER, LOWER), strict=True):
                pen.block.port(f"{name}-in", net, (0.0, y), "left")
        wide = 0.6
        if isinstance(user, Tube):
            x += 0.55
            pair = pairs.get(user.ref)
            for tube, nets, top, low in _in_line(pen, user, pair, ends):
                _heater(pen, tube, nets, x, top, low)
                wide = max(pen.rows_width(tube_rows(tube)), wide)
        else:
            x += 0.75
            pen.two(user.ref, (x, UPPER), (x, LOWER), start=ends[0], label="right")
            wide = pen.width(user.ref)
        last = x
        x += SIDE + wide
    _rails(pen, ends, start, last)
    for net, y in zip(ends, (UPPER, LOWER), strict=True):
        if pen.netlist.nets[net].domain != "heater":
            pen.wire(net, (last, y), (last + 0.35, y))
            pen.flag(net, (last + 0.35, y), "right")


def _rails(pen: Pen, ends: tuple[str, str], start: float, stop: float) -> None:
    for net, y in zip(ends, (UPPER, LOWER), strict=True):
        pen.wire(net, (start, y), (stop, y))


def _in_line(pen: Pen, tube: Tube, pair: SeriesPair | None, ends: tuple[str, str]) -> list[tuple[Tube, tuple[str, str], float, float]]:
    """What stands between the rails at one place: a heater alone, or two in series. (Tube, its nets, its upper and lower end.)"""
    if pair is None:
        return [(tube, ends, UPPER, LOWER)]
    second = pen.part(pair.refs[1])
    assert isinstance(second, Tube)
    return [(tube, (ends[0], pair.joint), UPPER, MIDDLE), (second, (pair.joint, ends[1]), MIDDLE, LOWER)]


def _heater(pen: Pen, tube: Tube, ends: tuple[str, str], x: float, top: float, low: float) -> None:
    """One heater between two nets with its pin numbers."""
    middle = (top + low) / 2
    numbers = {n for c in tube.type.heaters for n in (*c.side_a_pins, *c.side_b_pins)}
    owner = ("part", tube.ref)
    pen.heater(tube.ref, (x, top), (x, low))
    for net, y, up in ((ends[0], top, True), (ends[1], low, False)):
        pins = [p.name for p in tube.pins if p.net == net and int(p.name) in numbers]
        lead = ((x, y), (x, middle + (0.4 if up else -0.4)))
        for index, pin in enumerate(pins):
            pen.block.terminal(tube.ref, pin, net, (x, y), None if index else lead)
        pen.block.text(owner, (x + 0.1, y - 0.33 if up else y + 0.14), "+".join(pins), "pin")
    pen.block.lines(owner, (x + SIDE, middle), tube_rows(tube), "right")


def tube_rows(tube: Tube) -> Rows:
    """The tube as a whole: type, base, and the pins that nothing is wired to."""
    used = {pin.name for pin in tube.pins}
    free = [str(n) for n in range(1, tube.type.base.pins + 1) if str(n) not in used]
    return (
        (tube.ref, "ref"),
        (tube.type.name, "value"),
        (tube.type.base.name, "note"),
        *packed(("unused", ", ".join(free)) if free else (), 8, "note"),
    )


def _divider(pen: Pen, stage: StageInstance, mark: str) -> None:
    """The divider that raises the heaters."""
    parts = stage.parts
    upper, lower = parts[f"{mark}divider-upper"], parts[f"{mark}divider-lower"]
    (net,) = {p.net for p in pen.part(upper).pins} & {p.net for p in pen.part(lower).pins}
    x = 0.5 + max(pen.width(upper), pen.width(lower)) + SIDE
    supply = other_net(pen, upper, net)
    pen.wire(supply, (x, UPPER), (x, UPPER + 0.3))
    pen.supply(supply, (x, UPPER + 0.3))
    pen.two(upper, (x, UPPER), (x, MIDDLE), start=supply, label="left")
    pen.two(lower, (x, MIDDLE), (x, LOWER), start=net, label="left")
    pen.ground((x, LOWER), other_net(pen, lower, net))
    end = x + 0.6
    bypass = role(stage, f"{mark}divider-bypass")
    if bypass:
        end = x + 1.2
        pen.two(bypass, (end, MIDDLE), (end, LOWER), start=net, label="right")
        pen.ground((end, LOWER), other_net(pen, bypass, net))
    pen.wire(net, (x, MIDDLE), (end, MIDDLE))
    pen.node_volts(net, (x + 0.2, MIDDLE + 0.14), "start")
    pen.block.port(f"{mark}reference", net, (end, MIDDLE), "right")

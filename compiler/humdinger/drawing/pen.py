"""The pen a cell draws with: it knows the netlist, so a cell names parts and places and the pen finds value, terminals and nets."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

from ..circuit.netlist import (
    EARTH,
    GROUND,
    Bond,
    Capacitor,
    Choke,
    Diode,
    Fuse,
    Lamp,
    Netlist,
    Part,
    Pot,
    Resistor,
    StageInstance,
    Tube,
)
from .block import Block, flag_width
from .geometry import SIDE, STYLES, Box, Line, Point, text_width
from .labels import label_rows, net_text, section_rows, title, volts_text
from .shapes import TWO_TERMINAL, TubeShape

Rows = Sequence[tuple[str, str]]

WIPER = 0.65
"""From a pot's axis to the end of its wiper."""
UNDER_WIPER = 0.26
"""From a wiper down to the label under it, however many lines that has."""


@dataclass
class Pen:
    """`block` receives; `volts` are the node voltages to print (none without results)."""

    netlist: Netlist
    block: Block
    volts: Mapping[str, float] = field(default_factory=dict)
    elsewhere: Mapping[str, tuple[int, ...]] = field(default_factory=dict)
    """Net -> numbers of the other sheets it reaches. Such a net bears its name wherever it is drawn."""
    blocks: list[Block] = field(default_factory=list)

    def __post_init__(self) -> None:
        self.blocks.append(self.block)

    def next_block(self) -> Block:
        """Begins another block to the right of this one, so that a long stage can wrap. Ports on one net join them."""
        self.block = Block(f"{self.block.name}+")
        self.blocks.append(self.block)
        return self.block

    # -- looking up ---------------------------------------------------------------------------------------------
    def part(self, ref: str) -> Part:
        """The part of that designator. Raises KeyError."""
        return self.netlist.by_ref[ref]

    def net(self, ref: str, pin: str) -> str:
        """The net on a terminal of a part."""
        return self.part(ref).net(pin)

    def loose(self, net: str) -> bool:
        """Whether a net ends in the air: it is marked so, and nothing else is on it."""
        return bool(self.netlist.nets[net].open) and len(self.netlist.on_net[net]) == 1

    def rows(self, ref: str, *, level: bool = False) -> Rows:
        """The label of a part: designator, value, rating. level: as it stands above or below a part."""
        return label_rows(self.part(ref), level=level)

    def width(self, ref: str, *, level: bool = False) -> float:
        """Width of a part's label."""
        return rows_width(self.rows(ref, level=level))

    def suppressor_pins(self, section: str) -> tuple[int, ...]:
        """Pins of a suppressor (or beam plates) that are not also those of the cathode."""
        pins = self.netlist.by_section[section].section.pins
        return tuple(p for p in pins.get("suppressor", ()) if p not in pins.get("cathode", ()))

    def rows_width(self, rows: Rows) -> float:
        """Width of stacked lines."""
        return rows_width(rows)

    def flag_width(self, net: str) -> float:
        """Length of a net's flag."""
        return flag_width(self.flag_text(net))

    def volts_width(self, net: str) -> float:
        """Width of the voltage that would be printed at a net; 0 without one."""
        return text_width(volts_text(self.volts[net]), "volts") if net in self.volts else 0.0

    # -- parts --------------------------------------------------------------------------------------------------
    def two(
        self, ref: str, a: Point, b: Point, *, start: str = "", label: str = "right", centre: Point | None = None, off: float = SIDE
    ) -> Box:
        """A two-terminal part from a to b; `start` is the net at a (else the first terminal is at a). Returns the body's box.

        label: "left", "right", "above", "below" or "" for none. centre: of the body, when not half way.
        """
        part = self.part(ref)
        first, second = part.pins[0], part.pins[1]
        if start and first.net != start and second.net == start:
            a, b = b, a
        kind = symbol_kind(part)
        middle = centre or ((a[0] + b[0]) / 2, (a[1] + b[1]) / 2)
        body, leads = two_terminal_room(kind, a, b, middle, ref)
        owner = ("part", ref)
        self.block.symbol(owner, kind, (a, b, middle), (body,), leads)
        self.block.terminal(ref, first.name, first.net, a, leads[0])
        self.block.terminal(ref, second.name, second.net, b, leads[1])
        self.drawn(ref)
        if label:
            self.block.lines(owner, beside(body, middle, label, off), self.rows(ref, level=label in ("above", "below")), label)
        return body

    def pot(
        self,
        ref: str,
        a: Point,
        b: Point,
        *,
        first: str = "cw",
        wiper: str = "right",
        label: str = "",
        centre: Point | None = None,
    ) -> Point:
        """A pot from a (its end `first`) to b, upright or level. wiper: the side it points to. Returns the wiper's point.

        label: "left", "right", "above", "below", or "right-below" and the like for beside and under the wiper.
        """
        last = "ccw" if first == "cw" else "cw"
        middle = centre or ((a[0] + b[0]) / 2, (a[1] + b[1]) / 2)
        body, leads = two_terminal_room("resistor", a, b, middle, ref)
        dx, dy = {"right": (1, 0), "left": (-1, 0), "above": (0, 1), "below": (0, -1)}[wiper]
        tip = (middle[0] + dx * 0.25, middle[1] + dy * 0.25)
        end = (middle[0] + dx * WIPER, middle[1] + dy * WIPER)
        owner = ("part", ref)
        self.block.symbol(owner, "pot", (a, b, middle), (body,), (*leads, (tip, end)))
        self.block.terminal(ref, first, self.net(ref, first), a, leads[0])
        self.block.terminal(ref, last, self.net(ref, last), b, leads[1])
        self.block.terminal(ref, "wiper", self.net(ref, "wiper"), end, (tip, end))
        self.drawn(ref)
        side = label or {"right": "left", "left": "right", "above": "below", "below": "above"}[wiper]
        spot = beside(body, middle, side.removesuffix("-below"), SIDE)
        if side.endswith("-below"):
            pitches = [STYLES[style].pitch for _, style in self.rows(ref)]
            spot = (spot[0], middle[1] - UNDER_WIPER - sum(pitches) / 2 + 0.17 * pitches[0])
        self.block.lines(owner, spot, self.rows(ref), side.removesuffix("-below"))
        return end

    def tube(self, ref: str, grid: Point, *, mirror: bool = False, flip: bool = False, label: str = "right-below") -> TubeShape:
        """A triode or pentode section with its grid lead on the level of `grid`, its axis at grid's x. Returns the shape, for its leads."""
        section = self.netlist.by_section[ref]
        tube = self.part(section.tube)
        assert isinstance(tube, Tube)
        kind = section.section.kind
        rise = {"triode": 0.0, "pentode": 0.15}[kind] * (-1 if flip else 1)
        shape = TubeShape(kind, (grid[0], grid[1] + rise), mirror, flip)
        systems = [s.name for s in tube.type.sections]
        half = ("left", "right")[min(systems.index(section.section.name), 1)] if len(systems) > 1 else ""
        strapped = kind == "pentode" and not self.suppressor_pins(ref)
        owner = ("part", ref)
        beam = tube.type.kind == "beam tetrode"
        self.block.symbol(
            owner, "tube", (shape.at,), (shape.body,), section=kind, mirror=mirror, flip=flip, half=half, strap=strapped, beam=beam
        )
        for electrode, pins in section.section.pins.items():
            if electrode == "suppressor" and strapped:
                continue
            self.electrode(section.tube, electrode, pins, shape, owner)
        spot = tube_label(shape, label)
        self.block.lines(owner, spot, section_rows(section, tube), "left" if label.startswith("left") else "right")
        self.drawn(ref, section.tube)
        return shape

    def electrode(self, tube: str, electrode: str, pins: Sequence[int], shape: TubeShape, owner: tuple[str, str]) -> None:
        """The terminals of one electrode, with the pin numbers beside its lead."""
        at = shape.lead(electrode)
        found = {p.name: p.net for p in self.part(tube).pins}
        for number in pins:
            if str(number) in found:
                self.block.terminal(tube, str(number), found[str(number)], at, group=owner[1])
        spot, anchor = pin_text(shape, electrode)
        self.block.text(owner, spot, ",".join(map(str, pins)), "pin", anchor)

    def pole(self, ref: str, near: str, far: str, a: Point, b: Point, *, label: str = "above") -> None:
        """One pole of a switch from a to b, drawn open; the other poles are drawn where they work."""
        middle = ((a[0] + b[0]) / 2, (a[1] + b[1]) / 2)
        body, leads = two_terminal_room("switch", a, b, middle, ref)
        owner = ("part", ref)
        self.block.symbol(owner, "switch", (a, b, middle), (body,), leads)
        self.block.terminal(ref, near, self.net(ref, near), a, leads[0])
        self.block.terminal(ref, far, self.net(ref, far), b, leads[1])
        if ref not in self.block.drawn:
            self.drawn(ref)
        if label:
            self.block.lines(owner, beside(body, middle, label, SIDE), self.rows(ref), label)

    def half(
        self, ref: str, kind: str, pins: tuple[str, str], a: Point, b: Point, *, label: str = "right", centre: Point | None = None
    ) -> None:
        """One of the two devices of a coupler, "led" or "photocell", from a to b; pins: its terminals there."""
        middle = centre or ((a[0] + b[0]) / 2, (a[1] + b[1]) / 2)
        body, leads = two_terminal_room(kind, a, b, middle, ref)
        owner = ("part", ref)
        self.block.symbol(owner, kind, (a, b, middle), (body,), leads)
        for pin, at, lead in zip(pins, (a, b), leads, strict=True):
            self.block.terminal(ref, pin, self.net(ref, pin), at, lead)
        self.piece(ref, kind)
        self.block.lines(owner, beside(body, middle, label, SIDE), self.rows(ref, level=label in ("above", "below")), label)

    def heater(self, ref: str, a: Point, b: Point) -> None:
        """A tube's heater from a to b; its terminals are the caller's."""
        middle = ((a[0] + b[0]) / 2, (a[1] + b[1]) / 2)
        body, leads = two_terminal_room("heater", a, b, middle, ref)
        self.block.symbol(("part", ref), "heater", (a, b, middle), (body,), leads)
        self.block.drawn.append(f"{ref}:heater")
        self.block.titles[ref] = f"{title(self.part(ref), ref)}, heater"

    def wire(self, net: str, *points: Point, dashed: bool = False) -> None:
        """A conductor of a net."""
        self.block.wire(net, *points, dashed=dashed)

    # -- marks --------------------------------------------------------------------------------------------------
    def ground(self, at: Point, net: str = GROUND) -> None:
        """The ground symbol of circuit ground or of protective earth; any other net gets a flag pointing right."""
        if net in (GROUND, EARTH):
            self.block.mark("ground" if net == GROUND else "earth", net, at)
        else:
            end = (at[0] + 0.4, at[1])
            self.wire(net, at, end)
            self.flag(net, end, "right")

    def supply(self, net: str, at: Point, *, volts: str = "right") -> None:
        """A B+ arrow with the node's name above and its voltage beside it."""
        self.block.mark("arrow", net, at, net)
        owner = ("net", net)
        self.block.text(owner, (at[0], at[1] + 0.46), net_text(self.netlist, net), "name", "middle")
        if volts:
            self.node_volts(net, (at[0] + (0.32 if volts == "right" else -0.32), at[1] + 0.08), "start" if volts == "right" else "end")

    def node_volts(self, net: str, at: Point, anchor: str = "end") -> None:
        """The voltage of a net, when it was computed."""
        if net in self.volts:
            self.block.text(("net", net), at, volts_text(self.volts[net]), "volts", anchor)

    def flag(self, net: str, at: Point, side: str) -> None:
        """A flag with the net's name and the other sheets it is on; the wire ends at `at`. Ground and earth are drawn as what they are."""
        if net in (GROUND, EARTH):
            foot = (at[0], at[1] - 0.4)
            self.wire(net, at, foot)
            self.ground(foot, net)
            return
        text = self.flag_text(net)
        self.block.mark("flag", net, at, text, side)
        x = at[0] + 0.14 if side == "right" else at[0] - flag_width(text) + 0.14
        self.block.text(("net", net), (x, at[1] - 0.09), text, "flag")

    def flag_text(self, net: str) -> str:
        """The net's name, and the sheets where it goes on."""
        name = net_text(self.netlist, net)
        sheets = self.elsewhere.get(net, ())
        return f"{name} → {', '.join(map(str, sheets))}" if sheets and net not in self.netlist.b_plus else name

    # -- keeping ------------------------------------------------------------------------------------------------
    def drawn(self, unit: str, ref: str = "") -> None:
        """Says that a part, or a tube's section, is drawn here."""
        self.block.drawn.append(unit)
        self.block.titles[unit] = title(self.part(ref or unit), unit)

    def piece(self, ref: str, piece: str) -> None:
        """Says that a piece of a part ("T1:primary") is drawn here."""
        self.block.drawn.append(f"{ref}:{piece}")
        self.block.titles[ref] = title(self.part(ref), ref)


def role(stage: StageInstance, name: str) -> str | None:
    """The designator of a stage's part, None when the stage has none in that role."""
    return stage.parts.get(name)


def rows_width(rows: Rows) -> float:
    """Width of stacked lines."""
    return max((text_width(text, style) for text, style in rows), default=0.0)


def symbol_kind(part: Part) -> str:
    """Which two-terminal symbol draws a part. Raises TypeError for a part that has none."""
    match part:
        case Resistor():
            return "resistor"
        case Capacitor():
            return "electrolytic" if part.polarised else "capacitor"
        case Choke():
            return "choke"
        case Diode():
            return "diode"
        case Fuse():
            return "fuse"
        case Lamp():
            return {"neon": "neon", "led": "led"}.get(part.kind, "lamp")
        case Bond():
            return "bond" if part.kind == "direct" else "loop-breaker"
        case Pot():
            raise TypeError(f"{part.ref} is a pot: use Pen.pot")
        case _:
            raise TypeError(f"{part.ref} has no two-terminal symbol")


def two_terminal_room(kind: str, a: Point, b: Point, middle: Point, ref: str) -> tuple[Box, tuple[Line, Line]]:
    """Body box and leads of a two-terminal symbol. Raises ValueError when the way from a to b is shorter than the body."""
    length, left, right = TWO_TERMINAL[kind]
    dx, dy = b[0] - a[0], b[1] - a[1]
    way = abs(dx) + abs(dy)
    if min(abs(dx), abs(dy)) > 1e-6 or way < length - 1e-6:
        raise ValueError(f"{ref}: {way:.2f} units from {a} to {b} do not hold a {kind} of {length}")
    ux, uy = dx / way, dy / way
    half = length / 2
    near = (middle[0] - ux * half, middle[1] - uy * half)
    far = (middle[0] + ux * half, middle[1] + uy * half)
    # left of the way a -> b is (-uy, ux)
    corners = [(p[0] - uy * s, p[1] + ux * s) for p in (near, far) for s in (left, -right)]
    xs, ys = [p[0] for p in corners], [p[1] for p in corners]
    return Box(min(xs), min(ys), max(xs), max(ys)), ((a, near), (b, far))


def beside(body: Box, middle: Point, side: str, off: float) -> Point:
    """Where the label of a body begins."""
    match side:
        case "left":
            return (min(middle[0] - off, body.left - 0.15), middle[1])
        case "right":
            return (max(middle[0] + off, body.right + 0.15), middle[1])
        case "above":
            return (middle[0], body.top + 0.17)
        case _:
            return (middle[0], body.bottom - 0.17)


def tube_label(shape: TubeShape, label: str) -> Point:
    """Where a tube's label begins: below or above the widest part of the envelope."""
    x = shape.at[0] + (-0.86 if label.startswith("left") else 0.86)
    return (x, shape.at[1] + (0.72 if label.endswith("above") else -0.86))


def pin_text(shape: TubeShape, electrode: str) -> tuple[Point, str]:
    """Where the pin number stands: outside the envelope, clear of the lead."""
    x, y = shape.lead(electrode)
    down = shape.flip
    if electrode.startswith("plate"):
        return (x + 0.1, y - 0.3 if down else y + 0.12), "start"
    if electrode == "cathode":
        return (x - 0.1, y + 0.12 if down else y - 0.3), "end"
    right = x > shape.at[0]
    return (x + (0.08 if right else -0.08), y + 0.08), "start" if right else "end"

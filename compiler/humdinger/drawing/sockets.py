"""What a builder sees of sockets, pots and jacks with the iron in hand: from the wiring side, every tag with what belongs on it.

Pins of a socket count clockwise on this side, from the gap of a B7G or B9A, from the key of an octal; it is drawn downwards. A pot is seen
from behind, lugs downwards. A jack is drawn as its contacts make, not as its tags stand: makes differ.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence

from ..circuit.netlist import Jack, Netlist, Pot, Tube
from ..layout.tags import Tag
from ..units import show_volts, significant
from .views import Canvas, View, text_width

WIDE = 88.0
"""Two stand side by side on the narrower paper."""
RING = 11.5
PIN = 2.1
SIZE = 2.9
LEAD = 3.45
GAP = 1.6
COLUMN = 27.5
MIDDLE = WIDE / 2
READABLE_VOLTS = 0.005

WORDS = {"internal": ("IC: leave free,", "no tie point"), "unconnected": ("NC: leave free",), "bare": ("no wire",), "absent": ()}


def volts_text(tag: Tag) -> str:
    """What a tag reads: direct volts to circuit ground, alternating ones with AC before them. Nothing known: empty."""
    direct = "" if tag.volts is None else _volts(tag.volts if abs(tag.volts) >= READABLE_VOLTS else 0.0)
    if tag.alternating_volts is None:
        return direct
    across = f"AC\u00a0{_volts(tag.alternating_volts)}"
    return f"{across} on\u00a0{direct}" if tag.volts is not None and abs(tag.volts) >= READABLE_VOLTS else across


def _volts(value: float) -> str:
    """Three digits, the unit on the same line."""
    return show_volts(significant(value, 3)).replace("-", "\u2212").replace(" ", "\u00a0")


def wires_text(tag: Tag, code: str) -> str:
    """Numbers of the wires with the code of their colour, the parts soldered straight to the tag, screens; then what comes by the plug."""
    numbers = ", ".join(map(str, tag.wires))
    coloured = f"{numbers} {code}" if numbers and code else numbers
    screens = f"screen of\u00a0{', '.join(map(str, tag.screens))}" if tag.screens else ""
    soldered = " + ".join(text for text in (coloured, ", ".join(tag.leads), screens) if text)
    plug = f"({', '.join(map(str, tag.plug))} through the plug)" if tag.plug else ""
    return " ".join(text for text in (soldered, plug) if text)


def views(netlist: Netlist, tags: Mapping[str, Sequence[Tag]], codes: Mapping[str, str]) -> Iterator[View]:
    """A view per tube, then per pot, then per jack. tags: of each; codes: net -> letter code of the colour of its wires."""
    for tube in netlist.of(Tube):
        yield socket_view(tube, tags[tube.ref], codes)
    for pot in netlist.of(Pot):
        yield pot_view(pot, tags[pot.ref], codes)
    for jack in netlist.of(Jack):
        yield jack_view(jack, tags[jack.ref], codes)


# -- sockets --------------------------------------------------------------------------------------------------------
def pin_angles(pins: int, spacing: float) -> tuple[float, ...]:
    """Degrees of each pin clockwise from the middle of the gap or key, seen from the wiring side."""
    gap = 360.0 - spacing * (pins - 1)
    return tuple(gap / 2.0 + spacing * k for k in range(pins))


def socket_view(tube: Tube, tags: Sequence[Tag], codes: Mapping[str, str]) -> View:
    """One socket from the wiring side, gap or key downwards."""
    base = tube.type.base
    angles = pin_angles(base.pins, base.pin_spacing_degrees)
    places = [(MIDDLE - RING * math.sin(math.radians(a)), RING * math.cos(math.radians(a))) for a in angles]
    blocks = [(x, y, tag, _lines(f"{tag.pin}  {_electrode(tag)}", tag, codes)) for (x, y), tag in zip(places, tags, strict=True)]
    left = sorted((b for b in blocks if b[0] < MIDDLE - 0.1), key=lambda b: b[1])
    right = sorted((b for b in blocks if b[0] >= MIDDLE - 0.1), key=lambda b: b[1])
    tall = max(_tall(left), _tall(right), 2 * RING + 14)
    desc = f"{tube.ref}, {tube.type.name}, {base.name} socket from the wiring side. " + ". ".join(_said(tag, codes) for tag in tags) + "."
    canvas = Canvas(tube.ref, f"{tube.ref} {tube.type.name}", desc, WIDE, tall)
    centre = tall / 2
    _base(canvas, base.name, centre, angles)
    canvas.text(MIDDLE, centre - 0.4, tube.ref, 4.2, "middle", bold=True)
    canvas.text(MIDDLE, centre + 3.6, tube.type.name, SIZE, "middle")
    for side, anchor in ((left, "end"), (right, "start")):
        _column(canvas, side, anchor, centre)
    for x, y, tag, _ in blocks:
        canvas.circle(x, y + centre, PIN, width=0.4 if tag.wires or tag.leads else 0.25, fill="paper", dash="" if tag.net else "0.7,0.6")
        canvas.text(x, y + centre + 1.0, tag.pin, SIZE, "middle", bold=bool(tag.net))
    return canvas.done()


def _base(canvas: Canvas, base: str, centre: float, angles: Sequence[float]) -> None:
    """Pin circle with its gap, and the spigot with its key for an octal base."""
    first, last = math.radians(angles[0]), math.radians(angles[-1])
    start = (MIDDLE - RING * math.sin(first), centre + RING * math.cos(first))
    end = (MIDDLE - RING * math.sin(last), centre + RING * math.cos(last))
    canvas.path(f"M {start[0]:.2f} {start[1]:.2f} A {RING} {RING} 0 1 1 {end[0]:.2f} {end[1]:.2f}", width=0.25)
    bottom = centre + RING
    if base == "octal":
        inner = 6.6
        edge = math.sqrt(inner**2 - 1.2**2)
        d = f"M {MIDDLE - 1.2:.2f} {centre + edge:.2f} A {inner} {inner} 0 1 1 {MIDDLE + 1.2:.2f} {centre + edge:.2f} v 1.7 h -2.4 z"
        canvas.path(d, width=0.3)
        canvas.text(MIDDLE, bottom + 3.2, "key", SIZE, "middle")
    else:
        canvas.text(MIDDLE, bottom + 1.0, "gap", SIZE, "middle")


def _electrode(tag: Tag) -> str:
    return {"internal": "", "unconnected": "", "absent": "no pin"}.get(tag.kind, tag.what)


def _lines(head: str, tag: Tag, codes: Mapping[str, str]) -> list[tuple[str, bool, str]]:
    """The lines of a label: (text, bold, colour)."""
    made = [(line, k == 0, "ink") for k, line in enumerate(_wrapped(head.strip(), bold=True))]
    if tag.kind != "wired":
        words = [*WORDS[tag.kind]]
        if tag.kind in ("internal", "unconnected"):
            return [(f"{tag.pin}  {words[0]}", True, "ink"), *((w, False, "ink") for w in words[1:])]
        return [*made, *((w, False, "ink") for w in words)]
    made += [(line, False, "ink") for line in _wrapped(wires_text(tag, codes.get(tag.net, "")))]
    return made + [(line, True, "volt") for line in _wrapped(volts_text(tag), bold=True)]


def _wrapped(text: str, room: float = COLUMN, bold: bool = False) -> list[str]:
    """Lines that fit a column, broken at blanks."""
    lines: list[str] = []
    for word in text.split(" "):
        if lines and text_width(f"{lines[-1]} {word}", SIZE, bold) <= room:
            lines[-1] += f" {word}"
        else:
            lines.append(word)
    return [line for line in lines if line]


Block = tuple[float, float, Tag, list[tuple[str, bool, str]]]


def _tall(side: Sequence[Block]) -> float:
    return sum(len(b[3]) * LEAD + GAP for b in side) + GAP


def _column(canvas: Canvas, side: Sequence[Block], anchor: str, centre: float) -> None:
    """Labels of one side from top to bottom, spread over the height, each with a line to its pin."""
    free = canvas.height - _tall(side)
    step = free / (len(side) + 1)
    y = GAP + step
    edge = COLUMN + 1.2 if anchor == "end" else WIDE - COLUMN - 1.2
    for px, py, tag, lines in side:
        high = len(lines) * LEAD
        at = y + high / 2
        for k, (text, bold, ink) in enumerate(lines):
            canvas.text(edge, y + 0.78 * LEAD + k * LEAD, text, SIZE, anchor, bold, ink)
        knee = edge + (1.0 if anchor == "end" else -1.0)
        bend = knee + (2.0 if anchor == "end" else -2.0)
        canvas.line((knee, at), (bend, at), (px, py + centre), width=0.2, dash="" if tag.net else "0.8,0.7")
        y += high + GAP + step


def _said(tag: Tag, codes: Mapping[str, str]) -> str:
    wires = wires_text(tag, codes.get(tag.net, ""))
    parts = (f"Pin {tag.pin}: {tag.what}", f"wires {wires}" if wires else "no wire", volts_text(tag))
    return ", ".join(part for part in parts if part)


# -- pots and jacks -------------------------------------------------------------------------------------------------
def pot_view(pot: Pot, tags: Sequence[Tag], codes: Mapping[str, str]) -> View:
    """A pot from behind, lugs downwards: lug 3, the clockwise end, is on the left."""
    desc = f"{pot.ref} from behind, lugs downwards. " + ". ".join(_said(tag, codes) for tag in tags) + "."
    columns = [(14.5, 3, tags[2]), (MIDDLE, 2, tags[1]), (WIDE - 14.5, 1, tags[0])]
    texts = [_wrapped_all((f"lug {n}", *([] if n != 2 else ["wiper"])), tag, codes) for _, n, tag in columns]
    top = 22.0
    tall = top + 9.5 + max(len(t) for t in texts) * LEAD
    canvas = Canvas(pot.ref, f"{pot.ref} {pot.control}".strip(), desc, WIDE, tall)
    canvas.circle(MIDDLE, 11.5, 10.5)
    canvas.circle(MIDDLE, 11.5, 2.6, width=0.2)
    canvas.text(MIDDLE, 7.2, pot.ref, 4.2, "middle", bold=True)
    canvas.text(MIDDLE, 18.4, "from behind", SIZE, "middle")
    for (x, n, _), lines in zip(columns, texts, strict=True):
        lug = MIDDLE + (n - 2) * -6.0
        foot = 11.5 + math.sqrt(10.5**2 - (lug - MIDDLE) ** 2)
        canvas.line((lug, foot), (lug, top + 3.0), width=0.9)
        canvas.line((lug, top + 3.0), (x, top + 6.5), width=0.2)
        for k, (text, bold, ink) in enumerate(lines):
            canvas.text(x, top + 9.6 + k * LEAD, text, SIZE, "middle", bold, ink)
    return canvas.done()


def _wrapped_all(head: Sequence[str], tag: Tag, codes: Mapping[str, str]) -> list[tuple[str, bool, str]]:
    made = [(" ".join(head), True, "ink")]
    made += [(line, False, "ink") for line in _wrapped(wires_text(tag, codes.get(tag.net, "")))]
    return made + [(line, True, "volt") for line in _wrapped(volts_text(tag), bold=True)]


def jack_view(jack: Jack, tags: Sequence[Tag], codes: Mapping[str, str]) -> View:
    """The contacts of a jack as they make: the tip's spring, the switch it rests on, the sleeve."""
    desc = f"{jack.ref}, {jack.purpose} jack, contacts. " + ". ".join(_said(tag, codes) for tag in tags) + "."
    room = WIDE - 49.0
    labels = {tag.pin: _jack_lines(tag, codes, room) for tag in tags}
    heights = [len(labels[tag.pin]) * LEAD + GAP for tag in tags]
    tall = sum(heights) + 3.0
    canvas = Canvas(jack.ref, f"{jack.ref} {jack.purpose} jack", desc, WIDE, tall)
    canvas.text(1.5, 5.0, jack.ref, 4.2, bold=True)
    y = 1.5
    ends: dict[str, float] = {}
    for tag, high in zip(tags, heights, strict=True):
        ends[tag.pin] = y + LEAD * 0.5
        for k, (text, bold, ink) in enumerate(labels[tag.pin]):
            canvas.text(48.0, y + 0.78 * LEAD + k * LEAD, text, SIZE, "start", bold, ink)
        y += high
    _contacts(canvas, ends)
    return canvas.done()


def _jack_lines(tag: Tag, codes: Mapping[str, str], room: float) -> list[tuple[str, bool, str]]:
    made = [(line, True, "ink") for line in _wrapped("switch" if tag.pin == "tip-switch" else tag.pin, room, True)]
    wires = wires_text(tag, codes.get(tag.net, ""))
    made += [(line, False, "ink") for line in _wrapped(wires, room)] if wires else []
    return made + [(line, True, "volt") for line in _wrapped(volts_text(tag), room, True)]


def _contacts(canvas: Canvas, ends: Mapping[str, float]) -> None:
    """Springs from the tags on the right towards the plug's hole on the left."""
    tip = ends["tip"]
    for y in ends.values():
        canvas.circle(45.5, y, 0.8, fill="paper")
    canvas.line((44.7, tip), (24.0, tip), (20.5, tip + 2.2), (17.0, tip), width=0.5)
    if "tip-switch" in ends:
        y = ends["tip-switch"]
        canvas.line((44.7, y), (27.0, y), (27.0, tip + 1.6), width=0.3)
        canvas.path(f"M 27 {tip + 0.3:.2f} l -1 1.6 h 2 z", width=0.2, fill="ink")
    if "sleeve" in ends:
        y = ends["sleeve"]
        canvas.line((44.7, y), (12.0, y), width=0.5)
        canvas.line((12.0, y - 2.4), (12.0, y + 2.0), width=1.6)

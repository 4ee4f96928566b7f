"""A board at full size, component side: bodies at their size, bands, values, numbered terminals, links below, wires with where they go."""

from __future__ import annotations

import math
import xml.etree.ElementTree as ET
from collections.abc import Callable, Mapping
from itertools import pairwise

from ..circuit.netlist import EARTH, GROUND, Capacitor, Diode, Netlist, Part, Resistor
from ..layout import Board, Layout, Mount, Terminal, Turret, Wire
from ..layout.planks import own_text
from ..layout.routing import FIXING_MM, TURRET_MM, WIRE_MM, ZONE_MM
from ..records import record
from ..units import show_farads, show_ohms, show_volts, show_watts
from .marking import BAND_CODES, bands
from .millimetres import Area, Sketch
from .paper import text_mm
from .style import attribute, colour, lighting, stylesheet
from .swatch import PAINT

SHEET_MM = 180.0
TOP_MM, BOTTOM_MM = 1.0, 26.0
BAR_MM = 100.0
TITLE_MM = 3.2
"""The name of a board, between its upper fixing holes."""
REF_MM, NUMBER_MM, SMALL_MM = 2.7, 2.6, 2.3
"""Sizes of text: designators and values, terminals and wires, legends and band codes."""
FILLS = {"resistor": "#ead9b5", "wirewound": "#dedbd2", "film": "#e3b979", "disc": "#d9a066", "electrolytic": "#c3ccd6", "diode": "#4a4a4a"}
DASHES = ("1.6 0.9", "0.5 0.7", "3.4 0.9", "3 0.7 0.5 0.7", "1.4 0.6 0.5 0.6 0.5 0.6")
"""Dashes of links: what runs side by side or crosses is told apart by them."""
SIDE_BY_SIDE_MM = 2.4
"""Lanes of links are 1.6 mm apart; what is nearer than this could be taken for its neighbour."""
Point = tuple[float, float]
Path = tuple[Point, ...]
ON_BODY = "#111111"
WIRES = {
    "red": "#c62828",
    "orange": "#e67e22", "violet": "#7b3fa0", "yellow": "#d4b106", "white": "#f4f4f4", "grey": "#8a8f94", "pink": "#e38aa6",
    "blue": "#1f6fb2", "brown": "#7a4a21", "green": "#2e8b57", "black": "#222222",
}  # fmt: skip
"""Colours of wires; the first word of the name paints the line, the second its stripe, and the name stands at its end."""


@record
class BoardDrawing:
    """A board as SVG. sketch: what it was made of, for the lint."""

    name: str
    svg: str
    width_mm: float
    height_mm: float
    sketch: Sketch


def draw_board(board: Board, netlist: Netlist, layout: Layout, name_of: Callable[[Terminal], str]) -> BoardDrawing:
    """name_of: a terminal as the wiring page names it."""
    id = f"board-{board.name}"
    height = TOP_MM + board.height_mm + BOTTOM_MM
    refs = [mount.ref for mount in board.mounts]
    title = f"Board {board.name}: {board.title}"
    words = f"{title}, component side, full size. Parts from the top: {', '.join(refs)}. The table below says what is on each terminal."
    css = f"{stylesheet(id)}\n#{id} .net .hit{{stroke-width:2.4;}}\n#{id} .part .hit{{stroke-width:0.4;}}"
    sketch = Sketch(id, SHEET_MM, height, title, words, css)
    left = (SHEET_MM - board.width_mm) / 2
    base = sketch.group()
    sketch.rect(base, Area("edge", "", "", left, TOP_MM, left + board.width_mm, TOP_MM + board.height_mm), colour("flag"), radius=2.0)
    for x in (4.5, board.width_mm - 4.5):
        for y in (4.5, board.height_mm - 4.5):
            sketch.circle(base, (left + x, TOP_MM + y), FIXING_MM / 2, colour("paper"))
    size = min(TITLE_MM, TITLE_MM * (board.width_mm - 15.0) / text_mm(title, TITLE_MM, bold=True))
    sketch.text(base, title, SHEET_MM / 2, TOP_MM + 5.2, size, "", anchor="middle", bold=True)
    _nets(sketch, board, layout, name_of, left)
    for mount in board.mounts:
        _mount(sketch, id, board, mount, netlist, left)
    for turret in board.turrets:
        _turret(sketch, board, turret, left)
    _foot(sketch, board, netlist, TOP_MM + board.height_mm)
    return BoardDrawing(board.name, sketch.svg(), SHEET_MM, height, sketch)


# -- nets: links, wires ---------------------------------------------------------------------------------------------
def _nets(sketch: Sketch, board: Board, layout: Layout, name_of: Callable[[Terminal], str], left: float) -> None:
    """One group a net: what leads from terminal to terminal below, and what leaves the board."""
    wires = wires_at(board, layout)
    dashes = link_dashes(board)
    for net in dict.fromkeys(turret.net for turret in board.turrets):
        group = sketch.group(class_="net", id=f"board-{board.name}-net-{attribute(net)}", data_nets=attribute(net))
        for link, pattern in zip(board.links, dashes, strict=True):
            if link.net == net:
                path = [(left + x, TOP_MM + y) for x, y in link.path]
                sketch.hit(group, path)
                sketch.line(group, path, "link", net, width=0.7, dashes=pattern)
        for turret in board.turrets:
            if turret.net == net:
                screens = [wire.number for wire in layout.wires if wire.drain == turret.terminal]
                _leaving(sketch, group, board, turret, wires.get(turret.terminal, []), screens, name_of, left)


def link_dashes(board: Board) -> list[str]:
    """A dash for each link, so that two that cross or run side by side differ as long as there are dashes enough."""
    found: list[int] = []
    for k, link in enumerate(board.links):
        near = [found[i] for i in range(k) if _apart_mm(link.path, board.links[i].path) < SIDE_BY_SIDE_MM]
        found.append(min(range(len(DASHES)), key=lambda pattern: (near.count(pattern), pattern)))
    return [DASHES[pattern] for pattern in found]


def _apart_mm(one: Path, other: Path) -> float:
    """Least distance of two paths, 0 where they cross."""
    return min(_gap_mm(a, b, c, d) for a, b in pairwise(one) for c, d in pairwise(other))


def _gap_mm(a: Point, b: Point, c: Point, d: Point) -> float:
    def turn(p: Point, q: Point, r: Point) -> float:
        return (q[0] - p[0]) * (r[1] - p[1]) - (q[1] - p[1]) * (r[0] - p[0])

    def off(p: Point, q: Point, r: Point) -> float:
        """From p to the piece between q and r."""
        dx, dy = r[0] - q[0], r[1] - q[1]
        along = ((p[0] - q[0]) * dx + (p[1] - q[1]) * dy) / ((dx * dx + dy * dy) or 1.0)
        along = min(max(along, 0.0), 1.0)
        return math.hypot(p[0] - q[0] - along * dx, p[1] - q[1] - along * dy)

    if turn(a, b, c) * turn(a, b, d) < 0 and turn(c, d, a) * turn(c, d, b) < 0:
        return 0.0
    return min(off(a, c, d), off(b, c, d), off(c, a, b), off(d, a, b))


def board_lighting(boards: tuple[Board, ...]) -> str:
    """The style sheet that lights parts and nets of these boards, and the rows that speak of them, all over a page."""
    parts = {mount.ref for board in boards for mount in board.mounts}
    return lighting(parts, {turret.net for board in boards for turret in board.turrets}, (GROUND, EARTH))


def wires_at(board: Board, layout: Layout) -> dict[Terminal, list[tuple[Wire, Terminal]]]:
    """Terminal -> its wires in working order, each with its other end."""
    names = {turret.terminal for turret in board.turrets}
    found: dict[Terminal, list[tuple[Wire, Terminal]]] = {}
    for wire in layout.wires:
        for here, there in ((wire.start, wire.end), (wire.end, wire.start)):
            if here in names:
                found.setdefault(here, []).append((wire, there))
    return found


def _leaving(
    sketch: Sketch,
    group: ET.Element,
    board: Board,
    turret: Turret,
    wires: list[tuple[Wire, Terminal]],
    screens: list[int],
    name_of: Callable[[Terminal], str],
    left: float,
) -> None:
    x, y = left + turret.x_mm, TOP_MM + turret.y_mm
    out = -1.0 if turret.side == "left" else 1.0
    edge = left - 1.0 if out < 0 else left + board.width_mm + 1.0
    anchor = "end" if out < 0 else "start"
    count = len(wires) + len(screens)

    def way(k: int) -> list[tuple[float, float]]:
        step = k - (count - 1) / 2
        return [(x, y + step * 0.8), (edge, y + step * 0.8), (edge + out * 5.0, y + step * WIRE_MM)]

    for k, number in enumerate(screens, len(wires)):
        points = way(k)
        sketch.line(group, points, "wire", turret.net, width=0.5, dashes="0.5 0.5")
        sketch.text(group, f"screen of {number}", points[-1][0] + out, points[-1][1] + 0.8, NUMBER_MM, turret.net, anchor=anchor)
    for k, (wire, there) in enumerate(wires):
        points = way(k)
        end = points[-1]
        first, _, stripe = wire.colour.partition("-")
        sketch.hit(group, points)
        sketch.line(group, points, "wire", wire.net, width=1.0)
        sketch.line(group, points, "wire", wire.net, width=0.7, stroke=WIRES.get(first, colour("ink")), keep=False)
        if stripe:
            sketch.line(group, points, "wire", wire.net, width=0.7, stroke=WIRES.get(stripe, colour("ink")), dashes="1 1.6", keep=False)
        label = f"{wire.number} → {name_of(there)}, {wire.colour}{', ringed' if wire.ring else ''}".replace("\u00a0", " ")
        sketch.text(group, label, end[0] + out, end[1] + 0.8, NUMBER_MM, wire.net, anchor=anchor)


def _turret(sketch: Sketch, board: Board, turret: Turret, left: float) -> None:
    x, y = left + turret.x_mm, TOP_MM + turret.y_mm
    name = turret.terminal.ref + turret.terminal.pin
    group = sketch.group(class_="net", data_nets=attribute(turret.net))
    sketch.circle(group, (x, y), TURRET_MM / 2, colour("paper"), owner=name, kind="turret")
    sketch.circle(group, (x, y), 0.8, colour("ink"))
    out = -1.0 if turret.side == "left" else 1.0
    sketch.text(group, name, x + out * 2.6, y - 1.5, NUMBER_MM, name, anchor="end" if out < 0 else "start", bold=True)


# -- parts ----------------------------------------------------------------------------------------------------------
def _mount(sketch: Sketch, id: str, board: Board, mount: Mount, netlist: Netlist, left: float) -> None:
    part = netlist.by_ref[mount.ref]
    turrets = {turret.terminal: turret for turret in board.turrets}
    nets = dict.fromkeys(attribute(pin.net) for pin in part.pins)
    group = sketch.group(class_="part", id=f"{id}-{mount.ref}", data_parts=attribute(mount.ref), data_nets=" ".join(nets))
    body = mount.body
    x, y = left + mount.x_mm, TOP_MM + mount.y_mm
    half, tall = body.length_mm / 2, body.diameter_mm / 2
    for terminal, out in ((mount.left, -1.0), (mount.right, 1.0)):
        turret = turrets[terminal]
        end = (left + turret.x_mm, TOP_MM + turret.y_mm)
        bend = x + out * max(ZONE_MM / 2 + 0.6, half + 1.5)
        points = [(x + out * half, y), end] if abs(end[1] - y) < 0.01 else [(x + out * half, y), (bend, y), end]
        sketch.line(group, points, "lead", mount.ref, width=0.7)
    area = Area("body", mount.ref, mount.ref, x - half, y - tall, x + half, y + tall)
    sketch.rect(group, area, FILLS[body.kind], radius=min(tall, 1.4) if body.kind != "disc" else tall)
    sketch.hit(
        group,
        [(x - half - 1, y - tall - 1), (x + half + 1, y - tall - 1), (x + half + 1, y + tall + 1), (x - half - 1, y + tall + 1)],
        shut=True,
    )
    _marks(sketch, group, part, mount, x, y)
    _words(sketch, group, part, mount, x, y)


def _marks(sketch: Sketch, group: ET.Element, part: Part, mount: Mount, x: float, y: float) -> None:
    """Bands, the stripe of a minus end with the plus beside it, the band of a cathode."""
    half, tall = mount.body.length_mm / 2, mount.body.diameter_mm / 2
    if isinstance(part, Resistor) and (found := bands(part)):
        # the first band stands close to its end; the last keeps apart, so that the end to read from is seen
        room = 2 * half - 2.0
        wide = min(1.1, room / (2.2 * len(found)))
        for k, name in enumerate(found):
            at = x - half + 1.0 + k * (room - wide) / (len(found) - 0.4) if k < len(found) - 1 else x + half - 1.0 - wide
            area = Area("band", mount.ref, "", at, y - tall + 0.12, at + wide, y + tall - 0.12)
            sketch.rect(group, area, PAINT[name], width=0.1)
    if isinstance(part, Diode):
        out = -1.0 if mount.left_pin == "k" else 1.0
        at = x + out * (half - 1.2)
        sketch.rect(group, Area("band", mount.ref, "", at - 0.5, y - tall + 0.1, at + 0.5, y + tall - 0.1), "#f2f2f2", stroke="")
    if isinstance(part, Capacitor) and part.polarised:
        out = 1.0 if mount.left_pin == "+" else -1.0
        at = x + out * (half - 1.6)
        sketch.rect(group, Area("band", mount.ref, "", at - 0.8, y - tall + 0.12, at + 0.8, y + tall - 0.12), "#3b4450", stroke="")
        plus = x - out * (half - 1.6)
        for points in ([(plus - 0.8, y), (plus + 0.8, y)], [(plus, y - 0.8), (plus, y + 0.8)]):
            sketch.line(group, points, "mark", mount.ref, width=0.35, stroke=ON_BODY, keep=False)


def _words(sketch: Sketch, group: ET.Element, part: Part, mount: Mount, x: float, y: float) -> None:
    """Designator and value on a body that is large enough, else over it; a resistor's bands in letters beside them."""
    value, rating = _value(part)
    tall = mount.body.diameter_mm / 2
    lead = f"{mount.ref} {value}"
    if own_text(mount.body):
        room = mount.body.length_mm - 1.0 - (6.4 if mount.body.kind == "electrolytic" else 0.0)
        size = min(REF_MM, REF_MM * room / text_mm(lead, REF_MM, bold=True))
        if rating and tall >= 3.5:
            sketch.text(group, lead, x, y - 0.3, size, mount.ref, anchor="middle", bold=True, fill=ON_BODY)
            sketch.text(group, rating, x, y + 2.5, SMALL_MM, mount.ref, anchor="middle", fill=ON_BODY)
        else:
            sketch.text(group, lead, x, y + 0.9, size, mount.ref, anchor="middle", bold=True, fill=ON_BODY)
        return
    line = y - tall - 0.9
    codes = " ".join(BAND_CODES[name] for name in bands(part)) if isinstance(part, Resistor) else ""
    codes = codes or rating
    if not codes:
        sketch.text(group, lead, x, line, REF_MM, mount.ref, anchor="middle", bold=True)
        return
    wide, other = text_mm(lead, REF_MM, bold=True), text_mm(codes, SMALL_MM)
    start = x - (wide + 1.4 + other) / 2
    sketch.text(group, lead, start, line, REF_MM, mount.ref, bold=True)
    sketch.text(group, codes, start + wide + 1.4, line, SMALL_MM, mount.ref)


def _value(part: Part) -> tuple[str, str]:
    """Value and rating."""
    match part:
        case Resistor():
            watts = show_watts(part.watts).replace("\u00a0", " ") if part.watts else ""
            return show_ohms(part.ohms).replace("\u00a0", " "), watts
        case Capacitor():
            volts = show_volts(part.volts).replace("\u00a0", " ") if part.volts else ""
            return show_farads(part.farads).replace("\u00a0", " "), volts
        case Diode():
            return part.type.name, ""
        case _:
            return "", ""


# -- foot -----------------------------------------------------------------------------------------------------------
def _foot(sketch: Sketch, board: Board, netlist: Netlist, top: float) -> None:
    """Scale bar and legend."""
    group = sketch.group()
    x, y = (SHEET_MM - BAR_MM) / 2, top + 6.5
    sketch.line(group, [(x, y - 1.5), (x, y), (x + BAR_MM, y), (x + BAR_MM, y - 1.5)], "edge", "", width=0.3)
    sketch.line(group, [(x + BAR_MM / 2, y), (x + BAR_MM / 2, y - 1.0)], "edge", "", width=0.3)
    sketch.text(group, f"{BAR_MM:g} mm: measure it before you drill", x + BAR_MM / 2, y + 3.2, SMALL_MM, "", anchor="middle")
    used: Mapping[str, None] = dict.fromkeys(
        name for m in board.mounts if isinstance(p := netlist.by_ref[m.ref], Resistor) for name in bands(p)
    )
    lines = [
        f"{board.width_mm:.0f} × {board.height_mm:.0f} mm, fixing holes for M3. "
        "Dashed: link under the board, neighbours with a dash of their own. A line that leaves: wire number, where it goes, its colour.",
    ]
    kinds = {mount.body.kind for mount in board.mounts}
    marks = ["+ is the plus end, the dark stripe the minus end"] if "electrolytic" in kinds else []
    marks += ["the light band is the cathode"] if "diode" in kinds else []
    if marks:
        lines.append((", ".join(marks) + ".").replace("the light", "The light", 1 if len(marks) == 1 else 0))
    if used:
        ordered = [name for name in BAND_CODES if name in used]
        lines.append("Bands, read from the left: " + ", ".join(f"{BAND_CODES[n]} {n}" for n in ordered) + ".")
    for k, text in enumerate(lines):
        sketch.text(group, text, SHEET_MM / 2, y + 8.2 + 3.3 * k, SMALL_MM, "", anchor="middle")

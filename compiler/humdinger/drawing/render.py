"""A laid-out sheet as svg: one group per part and per net, drawn by schemdraw, with titles, hit areas and a title strip."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from functools import cache
from typing import TYPE_CHECKING, Any
from xml.etree import ElementTree as ET

from .block import Block, Mark, Symbol, Text, Wire
from .connect import HOP, dots, hops
from .geometry import PX, STYLES, UNIT_MM, Line, Point
from .shapes import TWO_TERMINAL
from .sheet import BORDER, MARGIN, STRIP, Sheet
from .style import FONT, INK, attribute, colour, stylesheet

if TYPE_CHECKING:
    from schemdraw.elements import Element


def render(sheet: Sheet, *, id: str, style: str, names: Mapping[str, str]) -> str:
    """The svg text. id: prefix of all ids; style: "zigzag" or "box"; names: of nets, for their titles."""
    canvas = Canvas(sheet, style, names)
    root = ET.Element(
        "svg",
        {
            "xmlns": "http://www.w3.org/2000/svg",
            "class": "sch",
            "id": id,
            "role": "img",
            "aria-labelledby": f"{id}-title {id}-desc",
            "width": f"{sheet.width * UNIT_MM:.1f}mm",
            "height": f"{sheet.height * UNIT_MM:.1f}mm",
            "viewBox": f"0 0 {number(sheet.width * PX)} {number(sheet.height * PX)}",
            "font-family": FONT,
        },
    )
    ET.SubElement(root, "title", {"id": f"{id}-title"}).text = sheet.strip.heading
    ET.SubElement(root, "desc", {"id": f"{id}-desc"}).text = f"Schematic. Parts: {', '.join(sheet.content.drawn)}."
    ET.SubElement(root, "style").text = stylesheet(id)
    root.append(canvas.frame())
    for net in sheet.nets:
        root.append(canvas.net_group(id, net))
    for name in distinct_parts(sheet.content):
        root.append(canvas.part_group(id, name))
    ET.indent(root, space="")
    return ET.tostring(root, encoding="unicode")


def distinct_parts(content: Block) -> list[str]:
    """Names of the part groups, in order of drawing."""
    return list(dict.fromkeys(s.owner[1] for s in content.symbols if s.owner[0] == "part"))


LOOK = {
    "stroke": INK,
    "fill": "none",
    "stroke-width": "1.0",
    "stroke-linecap": "round",
    "stroke-linejoin": "round",
}
"""What strokes look like unless they say otherwise."""


def number(value: float) -> str:
    """Two decimals of 1/72 inch are 4 µm on paper."""
    text = f"{value:.2f}".rstrip("0").rstrip(".")
    return "0" if text in ("-0", "") else text


class Canvas:
    """Turns recorded things into svg elements; y is turned over here and nowhere else."""

    def __init__(self, sheet: Sheet, style: str, names: Mapping[str, str]):
        self.names = names
        self.sheet = sheet
        self.content = sheet.content
        self.style = style
        self.hops = hops(sheet.content)
        self.dots = dots(sheet.content)

    # -- groups -------------------------------------------------------------------------------------------------
    def net_group(self, id: str, net: str) -> ET.Element:
        """Wires, dots, marks and texts of a net."""
        key = attribute(net)
        group = ET.Element("g", {"class": "net", "id": f"{id}-net-{key}", "data-nets": key})
        ET.SubElement(group, "title").text = self.names.get(net, net)
        wires = [w for w in self.content.wires if w.net == net]
        for wire in wires:
            points = " ".join(f"{number(x)},{number(y)}" for x, y in map(self._px, wire.points))
            ET.SubElement(group, "polyline", {"class": "hit", "points": points})
        drawn = self._strokes(wires)
        for mark in (m for m in self.content.marks if m.net == net and m.kind != "name"):
            drawn += self._placed(mark.at, marked(mark.kind, mark.side, mark.text))
        for owner, at in self.dots:
            if owner == net:
                drawn += self._placed(at, marked("dot", "", ""))
        if drawn:
            group.append(self._inked(drawn))
        self._texts(group, ("net", net))
        return group

    def part_group(self, id: str, name: str) -> ET.Element:
        """Symbol and texts of a part (or tube section), with a box that a pointer can hit."""
        owner = ("part", name)
        symbols = [s for s in self.content.symbols if s.owner == owner]
        nets = sorted({t.net for t in self.content.terminals if t.group == name})
        group = ET.Element(
            "g", {"class": "part", "id": f"{id}-{name}", "data-parts": attribute(name), "data-nets": " ".join(map(attribute, nets))}
        )
        ET.SubElement(group, "title").text = self.content.titles.get(name, name)
        for body in (b for s in symbols for b in s.bodies):
            x, y = self._px((body.left, body.top))
            box = {"x": x, "y": y, "width": (body.right - body.left) * PX, "height": (body.top - body.bottom) * PX}
            ET.SubElement(group, "rect", {"class": "hit", "fill": "none"} | {k: number(v) for k, v in box.items()})
        drawn: list[ET.Element] = []
        leads = "".join(self._path(line) for s in symbols for line in s.leads[:2] if line[0] != line[1])  # a wiper is drawn by its pot
        if leads:
            drawn.append(ET.Element("path", {"d": leads}))
        for symbol in symbols:
            origin, key = normal(symbol)
            drawn += self._placed(origin, symbol_strokes(key, self.style))
        group.append(self._inked(drawn))
        self._texts(group, owner)
        return group

    def frame(self) -> ET.Element:
        """Paper, border and title strip."""
        wide, tall, edge = self.sheet.width * PX, self.sheet.height * PX, BORDER * PX
        group = ET.Element("g", {"class": "frame"})
        stroke = f"fill:none;stroke:{colour('ink')};stroke-width:0.8"
        paper = {"x": "0", "y": "0", "width": number(wide), "height": number(tall), "style": f"fill:{colour('paper')};stroke:none"}
        ET.SubElement(group, "rect", paper)
        inner = {"x": edge, "y": edge, "width": wide - 2 * edge, "height": tall - 2 * edge}
        ET.SubElement(group, "rect", {k: number(v) for k, v in inner.items()} | {"style": stroke})
        ET.SubElement(group, "path", {"d": f"M {number(edge)} {number(tall - STRIP * PX)} H {number(wide - edge)}", "style": stroke})
        group.extend(self._text(text) for text in self.sheet.strip.texts(self.sheet.width - MARGIN))
        return group

    # -- pieces -------------------------------------------------------------------------------------------------
    def _px(self, point: Point) -> Point:
        return (point[0] * PX, (self.sheet.height - point[1]) * PX)

    def _path(self, points: Sequence[Point]) -> str:
        """A polyline as path data."""
        return "M" + "L".join(f"{number(x)} {number(y)}" for x, y in map(self._px, points))

    def _strokes(self, wires: Sequence[Wire]) -> list[ET.Element]:
        """Wires as paths, one for the solid and one for the dashed ones."""
        made = []
        for dashed in (False, True):
            data = "".join(self._wire(wire) for wire in wires if wire.dashed == dashed)
            if data:
                look = {"stroke-dasharray": "3.4,2.6"} if dashed else {}
                made.append(ET.Element("path", {"d": data} | look))
        return made

    def _wire(self, wire: Wire) -> str:
        """A wire's path data, with half a circle wherever it hops over another net."""
        data = self._path(wire.points[:1])
        radius = number(HOP * PX)
        for line in wire.lines:
            points = self.hops.get(line, [])
            forward = line[1][0] > line[0][0]
            for x, y in points if forward else reversed(points):
                near, far = self._px((x - HOP, y)), self._px((x + HOP, y))
                if not forward:
                    near, far = far, near
                sweep = "1" if forward else "0"
                data += f"L{number(near[0])} {number(near[1])}A{radius} {radius} 0 0 {sweep} {number(far[0])} {number(far[1])}"
            end = self._px(line[1])
            data += f"L{number(end[0])} {number(end[1])}"
        return data

    def _inked(self, drawn: list[ET.Element]) -> ET.Element:
        group = ET.Element("g", {"style": "".join(f"{key}:{value};" for key, value in LOOK.items())})
        group.extend(drawn)
        return group

    def _placed(self, at: Point, strokes: Strokes) -> list[ET.Element]:
        """Strokes drawn around the origin, moved to a point of the sheet."""
        if not strokes:
            return []
        x, y = self._px(at)
        group = ET.Element("g", {"transform": f"translate({number(x)} {number(y)})"})
        for tag, attributes in strokes:
            ET.SubElement(group, tag, dict(attributes))
        return [group]

    def _texts(self, group: ET.Element, owner: tuple[str, str]) -> None:
        for text in self.content.texts:
            if text.owner == owner:
                group.append(self._text(text))

    def _text(self, text: Text) -> ET.Element:
        look = STYLES[text.style]
        x, y = self._px(text.at)
        made = ET.Element("text", {"class": text.style, "x": number(x), "y": number(y), "font-size": number(look.size)})
        if look.bold:
            made.set("font-weight", "bold")
        if text.anchor != "start":
            made.set("text-anchor", text.anchor)
        made.set("style", f"fill:{colour(look.colour)}")
        made.text = text.string
        return made


# -- symbols, drawn once by schemdraw -----------------------------------------------------------------------------------
Strokes = tuple[tuple[str, tuple[tuple[str, str], ...]], ...]
"""Svg elements around the origin, y down: tag and attributes of each."""

Key = tuple[str, tuple[Point, ...], tuple[Line, ...], tuple[tuple[str, Any], ...]]
"""A symbol without its place: kind, points, leads that belong to the symbol (a wiper), params."""


def normal(symbol: Symbol) -> tuple[Point, Key]:
    """Where a symbol stands, and what it is: equal for symbols that look alike, whatever the length of their leads."""
    two = symbol.kind in TWO_TERMINAL or symbol.kind == "pot"
    ox, oy = symbol.points[2] if two else symbol.points[0]

    def off(point: Point) -> Point:
        return (round(point[0] - ox, 4) + 0.0, round(point[1] - oy, 4) + 0.0)

    if two:
        (ax, ay), (bx, by) = symbol.points[:2]
        way = abs(bx - ax) + abs(by - ay)
        ux, uy = round((bx - ax) / way, 4) + 0.0, round((by - ay) / way, 4) + 0.0
        points: tuple[Point, ...] = ((-ux, -uy), (ux, uy), (0.0, 0.0))
    else:
        points = tuple(map(off, symbol.points))
    leads = tuple((off(a), off(b)) for a, b in symbol.leads[2:]) if symbol.kind == "pot" else ()
    return (ox, oy), (symbol.kind, points, leads, tuple(sorted(symbol.params.items())))


@cache
def symbol_strokes(key: Key, style: str) -> Strokes:
    """What schemdraw makes of a symbol at the origin."""
    from .symbols import SYMBOLS

    kind, points, leads, params = key
    none: tuple[Line, ...] = ((points[0], points[0]),) * 2 if leads else ()
    return strokes(SYMBOLS[kind](Symbol(("part", ""), kind, points, dict(params), (), (*none, *leads)), style))


@cache
def marked(kind: str, side: str, text: str) -> Strokes:
    """What schemdraw makes of a mark (or a dot) at the origin."""
    from .symbols import INK, Shape, draw_mark

    shape = Shape()
    if kind == "dot":
        shape.ring((0.0, 0.0), 0.085, fill=INK, lw=0.4)
    else:
        draw_mark(shape, Mark(kind, "", (0.0, 0.0), text, side))
    return strokes([shape])


def strokes(elements: Sequence[Element]) -> Strokes:
    """The elements as schemdraw draws them (its y goes up, its svg's down), without what the group around them says already."""
    from .schemdraw_loader import load
    from .symbols import Shape

    kept = [e for e in elements if getattr(e, "segments", None)]
    if not kept:
        return ()
    drawing = load().Drawing(canvas="svg", show=False, inches_per_unit=UNIT_MM / 25.4, margin=0)
    for element in kept:
        drawing.add(element.at((0, 0)) if isinstance(element, Shape) else element)
    made: list[tuple[str, dict[str, str]]] = []
    for child in drawing.draw(show=False).getsvg():
        strip(child)
        last = made[-1] if made else None
        if last and child.tag == last[0] == "path" and "style" not in child.attrib and "style" not in last[1]:
            last[1]["d"] += " " + child.attrib["d"]
        else:
            made.append((child.tag, dict(child.attrib)))
    return tuple((tag, tuple(attributes.items())) for tag, attributes in made)


def strip(element: ET.Element) -> None:
    """Takes out what schemdraw writes and no browser understands, what the group says already, and digits finer than a hair."""
    for child in element.iter():
        child.tag = child.tag.rsplit("}", 1)[-1]
        said = [item.partition(":") for item in child.attrib.pop("style", "").split(";") if item]
        kept = {key: value.lower() for key, _, value in said if (key, value) != ("stroke-dasharray", "-")}
        kept = {key: value for key, value in kept.items() if value != LOOK.get(key)}
        for key in ("d", "points"):
            if key in child.attrib:
                child.set(key, re.sub(r"-?\d+\.\d+", lambda found: number(float(found[0])), child.attrib[key]))
        if kept:
            child.set("style", "".join(f"{key}:{value};" for key, value in kept.items()))

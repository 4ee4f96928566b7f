"""A laid-out sheet as svg: one group per part and per net, drawn by schemdraw, with titles, hit areas and a title strip."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from xml.etree import ElementTree as ET

from ..circuit.netlist import EARTH, GROUND
from .block import Block, Text, Wire
from .connect import HOP, dots, hops
from .geometry import PX, STYLES, UNIT_MM, Point
from .schemdraw_loader import load
from .sheet import BORDER, MARGIN, STRIP, Sheet
from .style import FONT, attribute, colour, stylesheet
from .symbols import INK, SYMBOLS, WIRE, Shape, draw_mark


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
    ET.SubElement(root, "style").text = stylesheet(id, (net for net in sheet.nets if net not in (GROUND, EARTH)))
    root.append(canvas.frame())
    for net in sheet.nets:
        root.append(canvas.net_group(net))
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
    "stroke-width": str(WIRE),
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
    def net_group(self, net: str) -> ET.Element:
        """Wires, dots, marks and texts of a net."""
        group = ET.Element("g", {"class": "net", "data-net": attribute(net)})
        ET.SubElement(group, "title").text = self.names.get(net, net)
        wires = [w for w in self.content.wires if w.net == net]
        shape = Shape()
        for wire in wires:
            self._wire(shape, wire)
        for mark in (m for m in self.content.marks if m.net == net):
            draw_mark(shape, mark)
        for owner, at in self.dots:
            if owner == net:
                shape.ring(at, 0.085, fill=INK, lw=0.4)
        group.extend(self._drawn([shape]))
        for wire in wires:
            points = " ".join(f"{number(x)},{number(y)}" for x, y in map(self._px, wire.points))
            ET.SubElement(group, "polyline", {"class": "hit", "points": points})
        self._texts(group, ("net", net))
        return group

    def part_group(self, id: str, name: str) -> ET.Element:
        """Symbol and texts of a part (or tube section), with a box that a pointer can hit."""
        owner = ("part", name)
        symbols = [s for s in self.content.symbols if s.owner == owner]
        nets = sorted({t.net for t in self.content.terminals if t.group == name})
        group = ET.Element("g", {"class": "part", "id": f"{id}-{name}", "data-nets": " ".join(map(attribute, nets))})
        ET.SubElement(group, "title").text = self.content.titles.get(name, name)
        for body in (b for s in symbols for b in s.bodies):
            x, y = self._px((body.left, body.top))
            box = {"x": x, "y": y, "width": (body.right - body.left) * PX, "height": (body.top - body.bottom) * PX}
            ET.SubElement(group, "rect", {"class": "hit", "fill": "none"} | {k: number(v) for k, v in box.items()})
        group.extend(self._drawn([e for s in symbols for e in SYMBOLS[s.kind](s, self.style)]))
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

    def _wire(self, shape: Shape, wire: Wire) -> None:
        look = "3.4,2.6" if wire.dashed else None
        run: list[Point] = [wire.points[0]]
        for line in wire.lines:
            points = self.hops.get(line, [])
            forward = line[1][0] > line[0][0]
            for x, y in points if forward else reversed(points):
                near, far = (x - HOP, y), (x + HOP, y)
                run.append(near if forward else far)
                shape.line(*run, ls=look)
                shape.arc((x, y), HOP, 0, 180)
                run = [far if forward else near]
            run.append(line[1])
        shape.line(*run, ls=look)

    def _drawn(self, elements: Iterable[object]) -> list[ET.Element]:
        """What schemdraw makes of the elements, moved into the sheet's frame (its y goes up from 0)."""
        schemdraw = load()
        kept = [e for e in elements if getattr(e, "segments", None)]
        if not kept:
            return []
        drawing = schemdraw.Drawing(canvas="svg", show=False, inches_per_unit=UNIT_MM / 25.4, margin=0)
        for element in kept:
            drawing.add(element.at((0, 0)) if isinstance(element, Shape) else element)
        svg = drawing.draw(show=False).getsvg()
        look = "".join(f"{key}:{value};" for key, value in LOOK.items())
        group = ET.Element("g", {"transform": f"translate(0 {number(self.sheet.height * PX)})", "style": look})
        for child in svg:
            strip(child)
            last = group[-1] if len(group) else None
            if last is not None and child.tag == last.tag == "path" and "style" not in child.attrib and "style" not in last.attrib:
                last.set("d", f"{last.get('d')} {child.get('d')}")
            else:
                group.append(child)
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

"""The sheet: blocks stand in rows, left to right. A net shared by neighbours is wired straight through; any other port gets a flag.

Rows wrap where they would be wider than paper, so that the widest row is as narrow as can be, and short rows are spread.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field

from ..circuit.netlist import EARTH, GROUND
from ..records import record, replace
from .block import Block, Port, Text
from .geometry import MAX_WIDTH, STYLES, Box, around, text_width
from .labels import net_text
from .pen import Pen

GAP = 0.75
"""Least room between two blocks."""
ROW_GAP = 0.75
MARGIN = 0.8
STRIP = 1.15
"""Height of the title strip."""
BORDER = 0.25
"""From the edge of the sheet to its border."""
BETWEEN = 0.6
"""Room between the texts of the strip."""
STRETCH = 2.6
"""Most that a gap grows when a short row is spread."""

WIDEST = 130.0
"""Nothing on paper is wider: 1105 mm, which a sheet of A0 takes on its side."""

Pair = tuple[Port, Port]
Named = frozenset[str]
"""Nets that must carry their name: they appear in other places too. A wire between neighbours bears it."""
NAME_ROOM = 0.3
"""Beside a name on a wire."""
LANE = 0.3
"""Between upright pieces of wires in the gap between two blocks, where one of them bears a name."""


@record
class Strip:
    """What the title strip says: heading on the left, notes under each other after it, whose drawing and which sheet on the right."""

    heading: str
    notes: tuple[str, ...] = ()
    count: str = ""
    maker: str = ""
    revision: str = ""

    @property
    def said(self) -> tuple[str, ...]:
        """The lines on the right: the maker over revision and sheet. What the user wrote is cut where it is longer than its place."""
        last = " ".join(part for part in (f"Revision {shortened(self.revision)}." if self.revision else "", self.count) if part)
        return tuple(line for line in (shortened(self.maker), last) if line)

    @property
    def width(self) -> float:
        """Room its texts need side by side."""
        notes = max((text_width(note, "note") for note in self.notes), default=0.0)
        right = max((text_width(line, "note") for line in self.said), default=0.0)
        return text_width(self.heading, "title") + notes + right + 2 * BETWEEN

    def texts(self, right: float) -> list[Text]:
        """Its texts on a sheet whose content ends at `right`."""
        middle, owner = (STRIP + BORDER) / 2, ("net", "")
        start = MARGIN + text_width(self.heading, "title") + BETWEEN
        pitch = STYLES["note"].pitch
        first = middle - 0.1 + pitch * (len(self.notes) - 1) / 2
        upper = middle - 0.1 + pitch * (len(self.said) - 1) / 2
        return [
            Text(owner, (MARGIN, middle - 0.14), self.heading, "title"),
            *(Text(owner, (start, first - pitch * index), note, "note") for index, note in enumerate(self.notes)),
            *(Text(owner, (right, upper - pitch * index), line, "note", "end") for index, line in enumerate(self.said)),
        ]


IMPRINT = 9.0
"""Most that the maker or the revision takes in the title strip: 76 mm."""


def shortened(line: str) -> str:
    """The line, cut where it is longer than its place in the title strip."""
    if text_width(line, "note") <= IMPRINT:
        return line
    while line and text_width(line + "…", "note") > IMPRINT:
        line = line[:-1]
    return line + "…"


@record(slots=False)
class Sheet:
    """A laid-out sheet: one block with everything on it, origin lower left; the strip is drawn below y = STRIP."""

    name: str
    strip: Strip
    content: Block
    width: float
    height: float

    @property
    def nets(self) -> tuple[str, ...]:
        """The nets on it, sorted."""
        content = self.content
        return tuple(sorted({w.net for w in content.wires} | {t.net for t in content.terminals} | {m.net for m in content.marks}))


def lay_out(
    name: str,
    strip: Strip,
    groups: Sequence[Sequence[Block]],
    pen: Pen,
    named: Named = frozenset(),
    *,
    room: float = MAX_WIDTH - 2 * MARGIN,
    centred: bool = True,
) -> Sheet:
    """Places blocks. Each group starts a row of its own and wraps when it is wider than `room`. pen: makes the flags.

    centred: short rows stand in the middle; else all begin at the left.
    """
    rows = [row for group in groups for row in Group([b for b in group if b.drawn], pen, named, room).rows()]
    wide = min(max([strip.width, *(row.width for row in rows)]), room)
    content = Block(name)
    placed: list[Block] = []
    y = 0.0
    for row in reversed(rows):
        made = row.placed(wide)
        box = made.extent()
        spare = max(wide - (box.right - box.left), 0.0) / 2 if centred else 0.0
        placed.append(made.moved(spare - box.left, y - box.bottom))
        y += box.top - box.bottom + ROW_GAP
    for block in reversed(placed):
        content.take(block)
    box = content.extent()
    inner = max(box.right - box.left, strip.width)
    left = MARGIN + (inner - (box.right - box.left)) / 2 if centred else MARGIN
    content = content.moved(left - box.left, STRIP + MARGIN - box.bottom)
    return Sheet(name, strip, content, inner + 2 * MARGIN, box.top - box.bottom + STRIP + 2 * MARGIN)


@dataclass
class Group:
    """Blocks in order, to be cut into rows. A block has a flag on every port that no neighbour in its row takes."""

    blocks: Sequence[Block]
    pen: Pen
    named: Named
    room: float = MAX_WIDTH - 2 * MARGIN
    _made: dict[tuple[int, bool, bool], tuple[Block, Box]] = field(default_factory=dict)

    def __post_init__(self) -> None:
        self.joints = [pairs(a, b) for a, b in zip(self.blocks, self.blocks[1:], strict=False)]
        self.extents = [block.extent() for block in self.blocks]
        self.gaps = [gap(self.pen, joints, self.named) for joints in self.joints]

    def block(self, index: int, left: bool, right: bool) -> tuple[Block, Box]:
        """A block with its flags, and its room; left, right: whether it has neighbours there."""
        key = (index, left, right)
        if key not in self._made:
            taken = {b.name for _, b in self.joints[index - 1]} if left else set()
            taken |= {a.name for a, _ in self.joints[index]} if right else set()
            block = self.blocks[index]
            flags = flags_of(block, [p for p in block.ports.values() if p.name not in taken], self.pen)
            made = block.copy()
            made.take(flags)
            self._made[key] = made, around([self.extents[index], *flags.boxes()])
        return self._made[key]

    def row(self, start: int, stop: int) -> Row:
        """The blocks from start to stop as one row."""
        found = [self.block(i, i > start, i < stop - 1) for i in range(start, stop)]
        boxes = [box for _, box in found]
        return Row([b for b, _ in found], boxes, self.joints[start : stop - 1], self.gaps[start : stop - 1], self.pen, self.named)

    def rows(self) -> list[Row]:
        """The rows, in order."""
        cuts = self.cuts()
        return [self.row(start, stop) for start, stop in zip((0, *cuts), cuts, strict=False)]

    def cuts(self) -> tuple[int, ...]:
        """Where each row ends: as few rows as fit, then with the fewest nets cut, then with the narrowest widest row."""
        best: list[tuple[int, int, float, tuple[int, ...]]] = [(0, 0, 0.0, ())]
        for stop in range(1, len(self.blocks) + 1):
            options = []
            for start in range(stop):
                width = self.row(start, stop).width
                if width <= self.room or stop == start + 1:
                    rows, cut, wide, cuts = best[start]
                    cut += len(self.joints[start - 1]) if start else 0
                    options.append((rows + 1, cut, max(wide, width), (*cuts, stop)))
            best.append(min(options))
        return best[-1][3]


@record
class Row:
    """Blocks side by side: their rooms, the pairs of ports between neighbours, and the least gaps these need."""

    blocks: list[Block]
    boxes: list[Box]
    joints: list[list[Pair]]
    gaps: list[float]
    pen: Pen
    named: Named

    @property
    def width(self) -> float:
        """Before it is spread."""
        return sum(b.right - b.left for b in self.boxes) + sum(self.gaps)

    @property
    def height(self) -> float:
        """Of its tallest block, as if none were moved up or down."""
        return max(b.top for b in self.boxes) - min(b.bottom for b in self.boxes)

    def placed(self, target: float) -> Block:
        """One block for the row, spread towards the target width, with the wires between neighbours."""
        extra = min(max(target - self.width, 0.0) / len(self.gaps), STRETCH) if self.gaps else 0.0
        made = Block()
        x = 0.0
        before: Block | None = None
        for index, (block, box) in enumerate(zip(self.blocks, self.boxes, strict=True)):
            joints = self.joints[index - 1] if index else []
            rise = 0.0
            if before is not None and block.floats and joints:
                left, right = joints[0]
                rise = before.ports[left.name].at[1] - block.ports[right.name].at[1]
            if before is not None:
                x += self.gaps[index - 1] + extra
            here = block.moved(x - box.left, rise)
            if before is not None:
                join(made, before, here, joints, (x - self.gaps[index - 1] - extra, x), self.pen, self.named)
            made.take(here)
            x += box.right - box.left
            before = here
        return made


def gap(pen: Pen, joints: Sequence[Pair], named: Named) -> float:
    """Least room between two blocks: names of nets stand on the wires, and upright pieces right of them."""
    names = [text_width(net_text(pen.netlist, left.net), "flag") for left, _ in joints if left.net in named]
    return max(GAP, max(names) + 2 * NAME_ROOM + LANE * len(joints)) if names else GAP


def stack(upper: Block, lower: Block) -> Block:
    """One block under another, left edges in line. Ports of both are kept."""
    if not lower.drawn:
        return upper
    top, low = upper.extent(), lower.extent()
    made = upper.moved(0.0, 0.0)
    moved = lower.moved(top.left - low.left, top.bottom - ROW_GAP - low.top)
    made.take(moved)
    made.ports |= {name: port for name, port in moved.ports.items() if name not in made.ports}
    return made


def pairs(a: Block, b: Block) -> list[Pair]:
    """Ports of neighbours on the same net: right of a, left of b."""
    found = []
    taken: set[str] = set()
    for left in a.ports.values():
        for right in b.ports.values():
            if (left.side, right.side) == ("right", "left") and left.net == right.net and right.name not in taken:
                found.append((left, right))
                taken.add(right.name)
                break
    return found


def flags_of(block: Block, loose: Sequence[Port], pen: Pen) -> Block:
    """What ends the loose ports of a block: wires with a flag, a ground or an earth symbol."""
    made = Block()
    pen = replace(pen, block=made, blocks=[])
    for port in loose:
        x, y = port.at
        sign = -1.0 if port.side == "left" else 1.0
        if port.net in (GROUND, EARTH):
            end = (x + sign * 0.35, y)
            made.wire(port.net, port.at, end, (end[0], y - 0.5))
            pen.ground((end[0], y - 0.5), port.net)
            continue
        edge = edge_at(block, y, port.side)
        end = (min(x, edge) - 0.3, y) if sign < 0 else (max(x, edge) + 0.3, y)
        made.wire(port.net, port.at, end)
        pen.flag(port.net, end, port.side)
    return made


def edge_at(block: Block, y: float, side: str) -> float:
    """How far the block reaches to a side within the height of a flag."""
    band = Box(-1e3, y - 0.34, 1e3, y + 0.34)
    boxes = [t.box for t in block.texts] + [b for s in block.symbols for b in s.bodies]
    boxes = [b for b in boxes if b.meets(band)]
    points = [p[0] for w in block.wires for p in w.points if abs(p[1] - y) < 0.34]
    if side == "left":
        return min([b.left for b in boxes] + points, default=0.0)
    return max([b.right for b in boxes] + points, default=0.0)


def join(made: Block, a: Block, b: Block, joints: Sequence[Pair], room: tuple[float, float], pen: Pen, named: Named) -> None:
    """Wires pairs of ports of two placed neighbours across the room between them; bends stand side by side, right of the names."""
    start, end = room
    bends = [pair for pair in joints if abs(a.ports[pair[0].name].at[1] - b.ports[pair[1].name].at[1]) > 1e-6]
    names = any(left.net in named for left, _ in joints)
    for left, right in joints:
        p, q = a.ports[left.name].at, b.ports[right.name].at
        if left.net in named:
            at = (start + NAME_ROOM, p[1])
            made.mark("name", left.net, at, net_text(pen.netlist, left.net))
            made.text(("net", left.net), (at[0], at[1] + 0.14), net_text(pen.netlist, left.net), "flag")
        if abs(p[1] - q[1]) < 1e-6:
            made.wire(left.net, p, q)
            continue
        order = bends.index((left, right)) + 1
        x = end - LANE * (len(bends) + 1 - order) if names else start + (end - start) * order / (len(bends) + 1)
        made.wire(left.net, p, (x, p[1]), (x, q[1]), q)

"""The sheet: blocks stand in rows, left to right. A net shared by neighbours is wired straight through; any other port gets a flag.

Rows wrap where they would be wider than paper, so that the widest row is as narrow as can be, and short rows are spread.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field, replace

from ..circuit.netlist import EARTH, GROUND
from ..records import record
from .block import Block, Port, Text
from .geometry import MAX_WIDTH, STYLES, Box, text_width
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

Pair = tuple[Port, Port]
Named = frozenset[str]
"""Nets that must carry their name: they appear in other places too, so neighbours are not silently wired together."""


@record
class Strip:
    """What the title strip says: heading on the left, notes under each other after it, the sheet's number on the right."""

    heading: str
    notes: tuple[str, ...] = ()
    count: str = ""

    @property
    def width(self) -> float:
        """Room its texts need side by side."""
        notes = max((text_width(note, "note") for note in self.notes), default=0.0)
        return text_width(self.heading, "title") + notes + text_width(self.count, "note") + 2 * BETWEEN

    def texts(self, right: float) -> list[Text]:
        """Its texts on a sheet whose content ends at `right`."""
        middle, owner = (STRIP + BORDER) / 2, ("net", "")
        start = MARGIN + text_width(self.heading, "title") + BETWEEN
        pitch = STYLES["note"].pitch
        first = middle - 0.1 + pitch * (len(self.notes) - 1) / 2
        return [
            Text(owner, (MARGIN, middle - 0.14), self.heading, "title"),
            *(Text(owner, (start, first - pitch * index), note, "note") for index, note in enumerate(self.notes)),
            Text(owner, (right, middle - 0.1), self.count, "note", "end"),
        ]


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


def lay_out(name: str, strip: Strip, groups: Sequence[Sequence[Block]], pen: Pen, named: Named = frozenset()) -> Sheet:
    """Places blocks. Each group starts a row of its own and wraps when it is too wide. pen: makes the flags."""
    rows = [row for group in groups for row in Group([b for b in group if b.drawn], pen, named).rows()]
    room = MAX_WIDTH - 2 * MARGIN
    wide = max([strip.width, *(row.width for row in rows)])
    content = Block(name)
    placed: list[Block] = []
    y = 0.0
    for row in reversed(rows):
        made = row.placed(min(wide, room))
        box = made.extent()
        placed.append(made.moved(0.0, y - box.bottom))
        y += box.top - box.bottom + ROW_GAP
    for block in reversed(placed):
        content.take(block)
    box = content.extent()
    content = content.moved(MARGIN - box.left, STRIP + MARGIN - box.bottom)
    inner = max(box.right - box.left, strip.width)
    return Sheet(name, strip, content, inner + 2 * MARGIN, box.top - box.bottom + STRIP + 2 * MARGIN)


@dataclass
class Group:
    """Blocks in order, to be cut into rows. A block has a flag on every port that no neighbour in its row takes."""

    blocks: Sequence[Block]
    pen: Pen
    named: Named
    _made: dict[tuple[int, bool, bool], tuple[Block, Box]] = field(default_factory=dict)

    def __post_init__(self) -> None:
        self.joints = [pairs(a, b, self.named) for a, b in zip(self.blocks, self.blocks[1:], strict=False)]

    def block(self, index: int, left: bool, right: bool) -> tuple[Block, Box]:
        """A block with its flags, and its room; left, right: whether it has neighbours there."""
        key = (index, left, right)
        if key not in self._made:
            taken = {b.name for _, b in self.joints[index - 1]} if left else set()
            taken |= {a.name for a, _ in self.joints[index]} if right else set()
            made = with_flags(self.blocks[index], [p for p in self.blocks[index].ports.values() if p.name not in taken], self.pen)
            self._made[key] = made, made.extent()
        return self._made[key]

    def row(self, start: int, stop: int) -> Row:
        """The blocks from start to stop as one row."""
        found = [self.block(i, i > start, i < stop - 1) for i in range(start, stop)]
        return Row([b for b, _ in found], [box for _, box in found], self.joints[start : stop - 1])

    def rows(self) -> list[Row]:
        """As few rows as fit, then with the fewest nets cut, then with the narrowest widest row."""
        room = MAX_WIDTH - 2 * MARGIN
        best: list[tuple[int, int, float, tuple[int, ...]]] = [(0, 0, 0.0, ())]
        for stop in range(1, len(self.blocks) + 1):
            options = []
            for start in range(stop):
                width = self.row(start, stop).width
                if width <= room or stop == start + 1:
                    rows, cut, wide, cuts = best[start]
                    cut += len(self.joints[start - 1]) if start else 0
                    options.append((rows + 1, cut, max(wide, width), (*cuts, stop)))
            best.append(min(options))
        cuts = best[-1][3]
        return [self.row(start, stop) for start, stop in zip((0, *cuts), cuts, strict=False)]


@record
class Row:
    """Blocks side by side: their rooms, and the pairs of ports between neighbours."""

    blocks: list[Block]
    boxes: list[Box]
    joints: list[list[Pair]]

    @property
    def width(self) -> float:
        """Before it is spread."""
        return sum(b.right - b.left for b in self.boxes) + GAP * (len(self.boxes) - 1)

    def placed(self, target: float) -> Block:
        """One block for the row, spread towards the target width, with the wires between neighbours."""
        gaps = len(self.boxes) - 1
        extra = min(max(target - self.width, 0.0) / gaps, STRETCH) if gaps else 0.0
        made = Block()
        x = 0.0
        before: Block | None = None
        for index, (block, box) in enumerate(zip(self.blocks, self.boxes, strict=True)):
            joints = self.joints[index - 1] if index else []
            rise = 0.0
            if before is not None and block.floats and joints:
                left, right = joints[0]
                rise = before.ports[left.name].at[1] - block.ports[right.name].at[1]
            here = block.moved(x - box.left, rise)
            if before is not None:
                join(made, before, here, joints)
            made.take(here)
            x += box.right - box.left + GAP + extra
            before = here
        return made


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


def pairs(a: Block, b: Block, named: Named) -> list[Pair]:
    """Ports of neighbours on the same net: right of a, left of b."""
    found = []
    taken: set[str] = set()
    for left in a.ports.values():
        for right in b.ports.values():
            if (left.side, right.side) != ("right", "left") or left.net in named:
                continue
            if left.net == right.net and right.name not in taken:
                found.append((left, right))
                taken.add(right.name)
                break
    return found


def with_flags(block: Block, loose: Sequence[Port], pen: Pen) -> Block:
    """A copy of a block whose loose ports end in a flag, a ground or an earth symbol."""
    made = block.moved(0.0, 0.0)
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


def join(made: Block, a: Block, b: Block, joints: Sequence[Pair]) -> None:
    """Wires pairs of ports of two placed neighbours; bends stand side by side so that they do not run into each other."""
    start = a.extent().right
    bends = [pair for pair in joints if abs(a.ports[pair[0].name].at[1] - b.ports[pair[1].name].at[1]) > 1e-6]
    room = b.extent().left - start
    for left, right in joints:
        p, q = a.ports[left.name].at, b.ports[right.name].at
        if abs(p[1] - q[1]) < 1e-6:
            made.wire(left.net, p, q)
            continue
        order = bends.index((left, right)) + 1
        x = start + room * order / (len(bends) + 1)
        made.wire(left.net, p, (x, p[1]), (x, q[1]), q)

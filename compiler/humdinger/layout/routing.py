"""Geometry of a board in millimetres: rows, columns, lanes for the links below, from what was laid and joined.

x runs to the right and y downwards from the upper left corner, component side up.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping

from .joining import Edge
from .model import Board, Link, Mount, Terminal, Turret
from .planks import GAP_MM, PITCH_MM, TEXT_MM, Plank, Spot, Strip, own_text

BOARD_MM = 3.0
"""Thickness of the sheet: it holds a turret without cracking (common practice)."""
TURRET_MM = 4.0
"""Flange of a turret (common practice)."""
SIDE_MM, END_MM = 11.0, 7.5
"""From a column to the edge, with room for the number; from the first and last row to the end, with room for a fixing hole."""
FIXING_MM = 3.2
"""Fixing holes, for M3 screws."""
ZONE_MM = 38.0
"""Least room between the lanes, for a body and for the text of a small one."""
LEAD_MM = 3.0
"""Straight lead at each end of a body before it bends (common practice)."""
GRID_MM = 0.5
LANE_MM, FIRST_LANE_MM = 1.6, 3.4
CROSS_MM = 1.4
"""Room for a link that crosses the board between two rows."""
WIRE_MM = 3.2
"""Room for the label of a wire."""
VOLTS_PER_MM, BASE_MM = 100.0, 1.0
"""Edge to edge, two terminals stand 1 mm and 1 mm for each 100 V apart (common practice)."""

HOT_MM, WARM_MM = 10.0, 4.0
"""From the body of a hot resistor to that of an electrolytic capacitor, and to any other (common practice)."""

Apart = Callable[[str, str], float]
"""Two nets -> the volts between them, at most."""


def apart_mm(volts: float) -> float:
    """Least distance from centre to centre of two terminals with so many volts between them."""
    return max(PITCH_MM, TURRET_MM + BASE_MM + volts / VOLTS_PER_MM)


def _up(mm: float) -> float:
    """To the next step of the grid that everything is drilled on."""
    return math.ceil(mm / GRID_MM - 1e-6) * GRID_MM


def name_terminals(plank: Plank, letter: str) -> None:
    """Numbers the terminals down each column: odd ones on the left, even ones on the right."""
    for side, start in (("left", 1), ("right", 2)):
        column = [spot for spot in plank.spots if spot.side == side]
        for i, spot in enumerate(column):
            spot.terminal = Terminal(letter, str(start + 2 * i))


def route(plank: Plank, links: list[Edge], wires: Mapping[Spot, int], apart: Apart, hot: set[str], titles: str) -> Board:
    """The board of a plank whose terminals are named. links: those of this board; wires: how many wires each terminal takes.

    hot: resistors that keep their distance.
    """
    rows = {strip: i for i, strip in enumerate(plank.strips)}
    crossing = {edge: _crossing_row(edge, rows) for edge in links if edge.a.side != edge.b.side}  # type: ignore[union-attr]
    ys = _ys(plank, crossing, wires, apart, hot)
    height = _up(ys[-1] + _extent(plank.strips[-1], wires)[1] + END_MM)
    columns = {side: [s for s in plank.spots if s.side == side] for side in ("left", "right")}
    heights = {spot: ys[rows[spot.strip]] for spot in plank.spots}
    runs = _runs(links, crossing, columns, heights, ys)
    lanes = {side: _lanes(runs[side]) for side in ("left", "right")}
    zone = max([ZONE_MM, *(strip.body.length_mm + 2 * LEAD_MM for strip in plank.strips if strip.body)])
    widths = {side: FIRST_LANE_MM + LANE_MM * (max(lanes[side].values(), default=-1) + 1) for side in lanes}
    left = SIDE_MM
    right = _up(left + widths["left"] + zone + widths["right"])
    xs = {"left": left, "right": right}
    lane_xs = {
        "left": {key: left + FIRST_LANE_MM + LANE_MM * lane for key, lane in lanes["left"].items()},
        "right": {key: right - FIRST_LANE_MM - LANE_MM * lane for key, lane in lanes["right"].items()},
    }
    centre = left + widths["left"] + zone / 2
    name = plank.spots[0].terminal.ref
    return Board(
        name,
        titles,
        right + SIDE_MM,
        height,
        tuple(Turret(s.terminal, s.net, s.side, xs[s.side], heights[s], tuple(s.leads), s.tie) for s in plank.spots),
        tuple(_mount(strip, centre, ys[i]) for i, strip in enumerate(plank.strips) if strip.part is not None),
        tuple(_link(edge, xs, heights, lane_xs, _gap_y(edge, crossing, plank, ys, wires)) for edge in links),
    )


# -- rows -----------------------------------------------------------------------------------------------------------
def _extent(strip: Strip, wires: Mapping[Spot, int]) -> tuple[float, float]:
    """What a row takes above and below its line."""
    labels = max((wires.get(s, 0) for s in (strip.left, strip.right) if s is not None and s.strip is strip), default=0)
    room = max(TURRET_MM / 2, labels * WIRE_MM / 2)
    if strip.body is None:
        return room, room
    half = strip.body.diameter_mm / 2
    return max(room, half + (0.0 if own_text(strip.body) else TEXT_MM)), max(room, half)


def _ys(plank: Plank, crossing: Mapping[Edge, int], wires: Mapping[Spot, int], apart: Apart, hot: set[str]) -> list[float]:
    """The line of each row."""
    ys: list[float] = []
    last: dict[str, tuple[float, str]] = {}
    for i, strip in enumerate(plank.strips):
        above, _ = _extent(strip, wires)
        if i == 0:
            y = END_MM + above
        else:
            before = plank.strips[i - 1]
            gap = GAP_MM + CROSS_MM * sum(row == i - 1 for row in crossing.values())
            y = max(ys[-1] + _extent(before, wires)[1] + gap + above, ys[-1] + PITCH_MM, _cool(plank.strips[:i], ys, strip, hot))
        for side in ("left", "right"):
            spot = strip.of(side)
            if spot is not None and spot.strip is strip and side in last:
                y = max(y, last[side][0] + apart_mm(apart(last[side][1], spot.net)))
        for side in ("left", "right"):
            spot = strip.of(side)
            if spot is not None and spot.strip is strip:
                last[side] = (_up(y), spot.net)
        ys.append(_up(y))
    return ys


def _cool(before: list[Strip], ys: list[float], strip: Strip, hot: set[str]) -> float:
    """The least height of a row that keeps a hot resistor and an electrolytic capacitor apart, and a hot resistor and anything else."""
    if strip.body is None or strip.part is None:
        return 0.0
    least = 0.0
    for other, y in zip(before, ys, strict=True):
        if other.body is None or other.part is None or not {strip.part.ref, other.part.ref} & hot:
            continue
        both = {strip.part.ref, other.part.ref} <= hot
        gap = HOT_MM if "electrolytic" in (strip.body.kind, other.body.kind) else GAP_MM if both else WARM_MM
        least = max(least, y + (strip.body.diameter_mm + other.body.diameter_mm) / 2 + gap)
    return least


# -- links ----------------------------------------------------------------------------------------------------------
def _crossing_row(edge: Edge, rows: Mapping[Strip, int]) -> int:
    """The row below whose line a link from side to side crosses the board: next to its left end, on the way to its right end."""
    left, right = _ends(edge)
    row, other = rows[left.strip], rows[right.strip]
    return row if row == 0 or (other >= row and row < len(rows) - 1) else row - 1


def _ends(edge: Edge) -> tuple[Spot, Spot]:
    """Left end and right end of a link from side to side; else in order."""
    assert isinstance(edge.a, Spot)
    assert isinstance(edge.b, Spot)
    return (edge.a, edge.b) if edge.a.side == "left" else (edge.b, edge.a)


def _gap_y(edge: Edge, crossing: Mapping[Edge, int], plank: Plank, ys: list[float], wires: Mapping[Spot, int]) -> float:
    """The height at which a link crosses the board."""
    if edge not in crossing:
        return 0.0
    row = crossing[edge]
    lane = [e for e, other in crossing.items() if other == row].index(edge)
    strip = plank.strips[row]
    return ys[row] + _extent(strip, wires)[1] + GAP_MM / 2 + CROSS_MM * (lane + 0.5)


Run = tuple[float, float]


def _runs(
    links: list[Edge], crossing: Mapping[Edge, int], columns: Mapping[str, list[Spot]], heights: Mapping[Spot, float], ys: list[float]
) -> dict[str, dict[Edge, Run]]:
    """Side -> the links that run along that column in a lane, with what they pass."""
    runs: dict[str, dict[Edge, Run]] = {"left": {}, "right": {}}
    for edge in links:
        a, b = _ends(edge)
        if edge in crossing:
            row = crossing[edge]
            gap = (ys[row] + ys[min(row + 1, len(ys) - 1)]) / 2
            runs["right"][edge] = (min(gap, heights[b]), max(gap, heights[b]))
        elif abs(columns[a.side].index(a) - columns[a.side].index(b)) > 1:
            runs[a.side][edge] = (min(heights[a], heights[b]), max(heights[a], heights[b]))
    return runs


def _lanes(runs: Mapping[Edge, Run]) -> dict[Edge, int]:
    """A lane for each run, so that no two runs of a lane meet; short runs next to the column."""
    lanes: dict[Edge, int] = {}
    for edge, (top, bottom) in sorted(runs.items(), key=lambda item: (item[1][1] - item[1][0], item[1])):
        taken = {lanes[e] for e, (t, b) in runs.items() if e in lanes and t < bottom - 0.5 and top < b - 0.5}
        lanes[edge] = next(i for i in range(len(runs)) if i not in taken)
    return lanes


def _link(
    edge: Edge, xs: Mapping[str, float], heights: Mapping[Spot, float], lanes: Mapping[str, Mapping[Edge, float]], gap: float
) -> Link:
    a, b = _ends(edge)
    start, end = (xs[a.side], heights[a]), (xs[b.side], heights[b])
    if a.side != b.side:
        x = lanes["right"][edge]
        turn = heights[b] - 1.6 if gap < heights[b] else heights[b] + 1.6
        path = (start, (xs["left"] + FIRST_LANE_MM - 1.0, gap), (x, gap), (x, turn), end)
    elif edge in lanes[a.side]:
        x = lanes[a.side][edge]
        down = 1.6 if heights[b] > heights[a] else -1.6
        path = (start, (x, start[1] + down), (x, end[1] - down), end)
    else:
        path = (start, end)
    return Link(edge.net, a.terminal, b.terminal, tuple((round(x, 2), round(y, 2)) for x, y in path))


def _mount(strip: Strip, x: float, y: float) -> Mount:
    assert strip.part is not None
    assert strip.body is not None
    assert strip.left is not None
    assert strip.right is not None
    return Mount(strip.part.ref, strip.body, x, y, *strip.pins, strip.left.terminal, strip.right.terminal)

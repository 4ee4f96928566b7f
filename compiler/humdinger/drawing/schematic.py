"""The schematic of an amp, drawn from the netlist, with node voltages when there are results: section sheets, and all on one wide sheet."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from importlib import import_module
from types import ModuleType
from typing import TYPE_CHECKING

from ..circuit.netlist import EARTH, GROUND, Netlist, StageInstance
from ..records import record, replace
from .block import Block, Mark, Text
from .geometry import MAX_HEIGHT, UNIT_MM
from .naming import name_nets, reached
from .pen import Pen
from .sheet import MARGIN, ROW_GAP, STRIP, WIDEST, Group, Sheet, Strip, lay_out, stack
from .style import attribute, lighting

if TYPE_CHECKING:
    from ..analysis.results import Results


@record
class Figure:
    """One sheet. parts: units drawn ("R5", "V1a", "V1:heater", "T1:primary"); nets: names of the nets on it.

    groups: names of the part groups; the id of a group in the svg is `part_anchor(name, group)`, that of a net `net_anchor(name, net)`.
    """

    name: str
    title: str
    svg: str
    width_mm: float
    height_mm: float
    parts: tuple[str, ...]
    nets: tuple[str, ...]
    groups: tuple[str, ...]


@record
class Schematic:
    """All drawings of an amp. sections: in reading order; wide: the whole amp on one sheet."""

    sections: tuple[Figure, ...]
    wide: Figure

    @property
    def figures(self) -> tuple[Figure, ...]:
        """The sections, then the wide sheet."""
        return (*self.sections, self.wide)

    def part_anchors(self, ref: str) -> tuple[tuple[int, str], ...]:
        """(sheet number, anchor) of every group of a part on the section sheets: one for most, several for tubes and transformers."""
        return tuple((n, part_anchor(f.name, group)) for n, f in enumerate(self.sections, 1) for group in f.groups if part_of(group) == ref)

    def net_anchors(self, net: str) -> tuple[tuple[int, str], ...]:
        """(sheet number, anchor) of a net on every section sheet it is on."""
        return tuple((n, net_anchor(f.name, net)) for n, f in enumerate(self.sections, 1) if net in f.nets)


def part_of(group: str) -> str:
    """The designator of a group: "V1" of "V1a"."""
    return group.rstrip("abcdefghijklmnopqrstuvwxyz")


def part_anchor(figure: str, group: str) -> str:
    """The id of a part's group in a figure's svg."""
    return f"sch-{figure}-{group}"


def net_anchor(figure: str, net: str) -> str:
    """The id of a net's group in a figure's svg."""
    return f"sch-{figure}-net-{attribute(net)}"


SIGNAL = (
    "input", "common-cathode", "pentode-gain", "cathode-follower", "volume", "master-volume", "bass-cut", "two-knob-tone",
    "three-knob-tone", "treble-cut", "feedback-tone", "effects-loop", "network", "mixer",
    "optical-cell",
)  # fmt: skip
BEHIND = "behind-inverter"
"""Stands for the kind of what is among the signal's kinds and hangs on the two halves of an inverter."""
INVERTER = ("long-tailed-pair", "cathodyne", "paraphase", "floating-paraphase", "interstage-transformer", BEHIND)
OUTPUT = ("single-ended-output", "push-pull-output", "cathode-bias", "speaker", "line-out", "feedback", "presence")
LOOP = ("feedback", "presence")
TREMOLO = (
    "phase-shift-oscillator",
    "output-grid-injection",
    "bias-supply-injection",
    "preamp-cathode-injection",
    "inverter-injection",
    "optical-injection",
)
SUPPLY = ("mains-input", "power-transformer", "rectifier", "filter")
BIAS = ("fixed-bias",)
HEATERS = ("heaters",)
UNUSED = ("unused-sections",)

FIGURES = (
    ("preamp", "Preamplifier", ((*SIGNAL, *UNUSED),)),
    ("output", "Phase inverter and output stage", ((*INVERTER, *OUTPUT),)),
    ("tremolo", "Tremolo", (TREMOLO,)),
    ("supply", "Power supply", (SUPPLY, BIAS)),
    ("heaters", "Heaters", (HEATERS,)),
)
"""Figure name, title, and for each group of rows the stage kinds in it. Stages of the signal stand in its order."""

ALONE = (("inverter", "Phase inverter", INVERTER), ("output", "Output stage", OUTPUT), ("bias", "Bias supply", BIAS))
"""Figure name and title of a sheet that holds these kinds only: what a figure becomes that is too tall for one sheet."""

WIDE = (
    tuple(kind for kind in (*SIGNAL, *INVERTER, *OUTPUT) if kind not in LOOP),
    (*TREMOLO, *BIAS, *LOOP, *UNUSED),
    (*SUPPLY, *HEATERS),
)
"""The rows of the wide sheet: the signal from left to right, what modulates, biases and corrects it, the supply."""

STACKED = {"mains-input": "grounding"}
"""Kinds that stand under another kind's block."""


@record
class Plan:
    """What stands on one sheet: its name and title, and the blocks' places in the order of drawing, row group by row group."""

    name: str
    title: str
    groups: tuple[tuple[str, ...], ...]


def cell(kind: str) -> ModuleType:
    """The cell that draws a stage kind: a module of cells/ with the same file name as the stage's."""
    return import_module(f".cells.{kind.replace('-', '_')}", __package__)


def sheets(netlist: Netlist, volts: Mapping[str, float], imprint: tuple[str, str] = ("", "")) -> tuple[tuple[Sheet, ...], Sheet]:
    """The laid-out section sheets and the wide sheet, before drawing; figures without anything to draw are left out.

    imprint: maker and revision, for every title strip.
    """
    sections, pen, blocks = _laid_out(netlist, volts, imprint)
    return sections, _wide(netlist, pen, blocks, imprint)


def _laid_out(netlist: Netlist, volts: Mapping[str, float], imprint: tuple[str, str]) -> tuple[tuple[Sheet, ...], Pen, dict[str, Block]]:
    """The section sheets, the pen, and every block by its name.

    The cells draw twice: the first time tells which blocks and nets come to which sheets, so that the second time flags can say so.
    """
    pen = Pen(netlist, Block(), volts)
    first = _every(pen, {})
    plans = [plan for figure in FIGURES for plan in _plans(pen, first, *figure)]
    reach = _reach(plans, first)
    made: list[tuple[Plan, Pen]] = []
    blocks: dict[str, Block] = {}
    for number, plan in enumerate(plans, 1):
        elsewhere = {net: tuple(n for n in found if n != number) for net, found in reach.items() if found != (number,)}
        made.append((plan, replace(pen, elsewhere=elsewhere)))
    owner = {name: here for plan, here in made for names in plan.groups for name in names}
    blocks = _every(pen, owner)
    named = _named(netlist, blocks.values())
    found = []
    for number, (plan, here) in enumerate(made, 1):
        rows = [[blocks[name] for name in names] for names in plan.groups]
        strip = Strip(f"{netlist.name}: {plan.title}", _notes(here, rows), f"Sheet {number} of {len(plans)}", *imprint)
        found.append(lay_out(plan.name, strip, rows, here, named))
    return tuple(found), pen, blocks


def _every(pen: Pen, pens: Mapping[str, Pen]) -> dict[str, Block]:
    """Every block of the amp by its name, stage by stage in the order of the netlist. pens: the pen of each block's sheet, when known."""
    under = {kind: pen.netlist.stages_of(low) for kind, low in STACKED.items()}
    made: dict[str, Block] = {}
    for stage in pen.netlist.stages:
        if stage.kind in STACKED.values():
            continue
        blocks = blocks_of(pens.get(_first_name(stage), pen), stage)
        for low in under.get(stage.kind, ()):
            blocks[0] = stack(blocks[0], blocks_of(pens.get(_first_name(stage), pen), low)[0])
        for index, block in enumerate(blocks):
            block.name = _first_name(stage) + "+" * index
            if block.drawn:
                made[block.name] = block
    return made


def _first_name(stage: StageInstance) -> str:
    """The name of a stage's first block; kinds of the supply may share an id with a stage of the signal."""
    kind = BEHIND if stage.section == "inverter" and stage.kind in SIGNAL else stage.kind
    return f"{kind}:{stage.id}"


def _chosen(pen: Pen, blocks: Mapping[str, Block], kinds: Sequence[str]) -> list[str]:
    """The names of the blocks of some kinds: those of the signal first and in its order, others in the order of the kinds."""

    def place(name: str) -> int:
        kind = name.partition(":")[0]
        return -1 if kind in SIGNAL else kinds.index(kind)

    return sorted((name for name in blocks if name.partition(":")[0] in kinds), key=place)


def _plans(pen: Pen, blocks: Mapping[str, Block], name: str, title: str, groups: Sequence[Sequence[str]]) -> list[Plan]:
    """The sheets of a figure: one, or several where one would be too tall for the paper."""
    rows: list[tuple[tuple[str, ...], float]] = []
    chosen = [_chosen(pen, blocks, kinds) for kinds in groups]
    for number, names in enumerate(chosen):
        group = Group([blocks[n] for n in names], pen, frozenset())
        start = 0
        for stop in group.cuts():
            rows.append(((str(number), *names[start:stop]), group.row(start, stop).height))
            start = stop
    sheets: list[list[tuple[str, ...]]] = []
    left = 0.0
    for row, tall in rows:
        if not sheets or tall > left:
            sheets.append([])
            left = MAX_HEIGHT - STRIP - 2 * MARGIN
        sheets[-1].append(row)
        left -= tall + ROW_GAP
    made = [_plan(name, title, found) for found in sheets]
    same = [index for index, plan in enumerate(made) if plan.title == title]
    for number, index in enumerate(same[1:], 2):
        made[index] = Plan(f"{name}-{number}", title, made[index].groups)
    for number, index in enumerate(same, 1):
        if len(same) > 1:
            made[index] = Plan(made[index].name, f"{title} ({number} of {len(same)})", made[index].groups)
    return made


def _plan(name: str, title: str, rows: Sequence[tuple[str, ...]]) -> Plan:
    """One sheet of a figure. Rows of one group are one group again: they are wrapped anew once their flags are known."""
    groups: dict[str, list[str]] = {}
    for group, *names in rows:
        groups.setdefault(group, []).extend(names)
    found = tuple(map(tuple, groups.values()))
    kinds = {n.partition(":")[0] for names in found for n in names}
    for short, words, alone in ALONE:
        if kinds <= set(alone):
            return Plan(short, words, found)
    return Plan(name, title, found)


def _wide(netlist: Netlist, pen: Pen, blocks: Mapping[str, Block], imprint: tuple[str, str]) -> Sheet:
    """The wide sheet, from the blocks of the section sheets; their flags name nets only. No row is wider than the signal's."""
    plain = {name: _without_numbers(block) for name, block in blocks.items()}
    rows = [[plain[name] for name in _chosen(pen, plain, kinds)] for kinds in WIDE]
    named = _named(netlist, plain.values())
    strip = Strip(f"{netlist.name}: the whole amp", _notes(pen, rows), "", *imprint)
    signal = Group(rows[0], pen, named, WIDEST)
    room = max([SHORTEST, *(row.width for row in signal.rows())])
    return lay_out("wide", strip, [row for row in rows if row], pen, named, room=room)


SHORTEST = 46.0
"""A short signal path does not force the supply into a column: 391 mm, a sheet of A3 or of ledger size on its side."""


def _without_numbers(block: Block) -> Block:
    """The block with flags that do not say which sheet a net is also on."""
    made = block.copy()
    made.marks = [Mark(m.kind, m.net, m.at, m.text.partition(" → ")[0], m.side) for m in made.marks]
    kept = []
    flags = [(block.marks[i], m) for i, m in enumerate(made.marks) if m.kind == "flag"]
    for text in made.texts:
        old = next(
            (pair for pair in flags if text.style == "flag" and text.owner == ("net", pair[0].net) and text.string == pair[0].text), None
        )
        if old is None:
            kept.append(text)
            continue
        shift = mark_shift(*old)
        kept.append(Text(text.owner, (text.at[0] + shift, text.at[1]), old[1].text, text.style, text.anchor))
    made.texts = kept
    return made


def mark_shift(old: Mark, new: Mark) -> float:
    """How far the text of a flag moves to the right when the flag grows shorter."""
    from .block import flag_width

    return flag_width(old.text) - flag_width(new.text) if old.side == "left" else 0.0


def _notes(pen: Pen, rows: Sequence[Sequence[Block]]) -> tuple[str, ...]:
    """What a reader has to know about this sheet's marks."""
    shown = any(text.style == "volts" for row in rows for block in row for text in block.texts)
    notes = ["Voltages: DC to circuit ground, no signal, nominal mains."] if shown else []
    flags = {net for row in rows for block in row for net in _offered(block)} & set(pen.elsewhere) - set(pen.netlist.b_plus)
    if flags:
        number = min(n for net in flags for n in pen.elsewhere[net])
        notes.append(f"→ {number} in a flag: the net is also on sheet {number}.")
    return tuple(notes)


def _offered(block: Block) -> set[str]:
    """Nets that leave a block: by a port, or by a flag of its own."""
    return {p.net for p in block.ports.values()} | {m.net for m in block.marks if m.kind == "flag"}


def _named(netlist: Netlist, blocks: Iterable[Block]) -> frozenset[str]:
    """Nets that show in more than two blocks, or that a network names beside a part. B+ nodes are named by their arrows."""
    seen: Counter[str] = Counter()
    networks = []
    for block in blocks:
        # a line that passes through a block shows there no more than a wire does
        through = [{port.net for port in block.ports.values() if port.side == side} for side in ("left", "right")]
        seen.update(_offered(block) - (through[0] & through[1]))
        if block.name.startswith("network:"):
            networks.append(block)
    beside = {mark.net for block in networks for mark in block.marks if mark.kind == "flag"} | reached(netlist)
    return frozenset(net for net, count in seen.items() if (count > 2 or net in beside) and net not in netlist.b_plus)


def _reach(plans: Sequence[Plan], blocks: Mapping[str, Block]) -> dict[str, tuple[int, ...]]:
    """Net -> numbers of the sheets with a terminal on it; ground and earth are everywhere and say nothing."""
    found: dict[str, set[int]] = {}
    for number, plan in enumerate(plans, 1):
        for terminal in (t for names in plan.groups for name in names for t in blocks[name].terminals):
            if terminal.net not in (GROUND, EARTH):
                found.setdefault(terminal.net, set()).add(number)
    return {net: tuple(sorted(numbers)) for net, numbers in found.items()}


def blocks_of(pen: Pen, stage: StageInstance) -> list[Block]:
    """One stage, drawn by its cell: one block, or several that may be wrapped."""
    pen = replace(pen, block=Block(stage.id), blocks=[])
    cell(stage.kind).draw(pen, stage)
    if wanted := reached(pen.netlist):
        for block in pen.blocks:
            name_nets(block, pen.netlist, wanted)
    return pen.blocks


def schematic(netlist: Netlist, results: Results | None = None, style: str = "zigzag", imprint: tuple[str, str] = ("", "")) -> Schematic:
    """All figures. style: resistors as "zigzag" (IEEE 315) or "box" (IEC 60617). imprint: maker and revision."""
    from .render import distinct_parts, render

    volts = dict(results.nominal.volts) if results is not None else {}
    names = {name: net.label or name for name, net in netlist.nets.items()}

    def figure(sheet: Sheet) -> Figure:
        return Figure(
            sheet.name,
            sheet.strip.heading.partition(": ")[2],
            render(sheet, id=f"sch-{sheet.name}", style=style, names=names),
            round(sheet.width * UNIT_MM, 1),
            round(sheet.height * UNIT_MM, 1),
            tuple(sheet.content.drawn),
            sheet.nets,
            tuple(distinct_parts(sheet.content)),
        )

    sections, wide = sheets(netlist, volts, imprint)
    return Schematic(tuple(map(figure, sections)), figure(wide))


def page_lighting(figures: Sequence[Figure]) -> str:
    """The style sheet that lights parts and nets of these figures, and the rows that speak of them, all over a page."""
    return lighting({g for f in figures for g in f.groups}, {n for f in figures for n in f.nets}, (GROUND, EARTH))

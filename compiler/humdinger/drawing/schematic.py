"""The schematic of an amp: one figure per section, drawn from the netlist, with node voltages when there are results."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import replace
from importlib import import_module
from types import ModuleType
from typing import TYPE_CHECKING

from ..circuit.netlist import EARTH, GROUND, Netlist, StageInstance
from ..records import record
from .block import Block
from .geometry import UNIT_MM
from .pen import Pen
from .sheet import Sheet, Strip, lay_out, stack

if TYPE_CHECKING:
    from ..analysis.results import Results


@record
class Figure:
    """One sheet. parts: units drawn ("R5", "V1a", "V1:heater", "T1:primary"); nets: names of the nets on it."""

    name: str
    title: str
    svg: str
    width_mm: float
    height_mm: float
    parts: tuple[str, ...]
    nets: tuple[str, ...]


SIGNAL = ("input", "common-cathode", "cathode-follower", "volume", "bass-cut", "two-knob-tone", "unused-sections")

FIGURES = (
    (
        "preamp",
        "Preamplifier",
        (SIGNAL,),
    ),
    (
        "output",
        "Phase inverter and output stage",
        (("long-tailed-pair", "cathodyne", "single-ended-output", "push-pull-output", "cathode-bias", "speaker", "feedback"),),
    ),
    ("tremolo", "Tremolo", (("phase-shift-oscillator", "output-grid-injection", "bias-supply-injection"),)),
    ("supply", "Power supply", (("mains-input", "power-transformer", "rectifier", "filter"), ("fixed-bias",))),
    ("heaters", "Heaters", (("heaters",),)),
)
"""Figure name, title, and for each group of rows the stage kinds in it. Stages of the first figure stand in order of the signal."""

STACKED = {"mains-input": "grounding"}
"""Kinds that stand under another kind's block."""


def cell(kind: str) -> ModuleType:
    """The cell that draws a stage kind: a module of cells/ with the same file name as the stage's."""
    return import_module(f".cells.{kind.replace('-', '_')}", __package__)


def sheets(netlist: Netlist, volts: Mapping[str, float]) -> tuple[Sheet, ...]:
    """The laid-out sheets, before drawing; figures without anything to draw are left out.

    The cells draw twice: the first time tells which nets reach which sheets, so that the second time flags can say so.
    """
    pen = Pen(netlist, Block(), volts)
    figures = [f for f in FIGURES if any(_blocks(pen, kinds) for kinds in f[2])]
    reach = _reach([[_blocks(pen, kinds) for kinds in groups] for _, _, groups in figures])
    made = []
    for number, (name, title, groups) in enumerate(figures, 1):
        elsewhere = {net: tuple(n for n in found if n != number) for net, found in reach.items() if found != (number,)}
        here = replace(pen, elsewhere=elsewhere)
        rows = [_blocks(here, kinds) for kinds in groups]
        strip = Strip(f"{netlist.name}: {_title(netlist, title)}", _notes(here, rows), f"Sheet {number} of {len(figures)}")
        made.append((name, strip, rows, here))
    named = _named(netlist, [block for _, _, rows, _ in made for row in rows for block in row])
    return tuple(lay_out(name, strip, rows, pen, named) for name, strip, rows, pen in made)


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


def _named(netlist: Netlist, blocks: Sequence[Block]) -> frozenset[str]:
    """Nets that show in more than two blocks. B+ nodes are named by their arrows wherever they are."""
    seen: Counter[str] = Counter()
    for block in blocks:
        seen.update(_offered(block))
    return frozenset(net for net, count in seen.items() if count > 2 and net not in netlist.b_plus)


def _title(netlist: Netlist, title: str) -> str:
    """A figure's title; an amp without a phase inverter has an output stage only."""
    if title == "Phase inverter and output stage" and not any(s.section == "inverter" for s in netlist.stages):
        return "Output stage"
    return title


def _blocks(pen: Pen, kinds: Sequence[str]) -> list[Block]:
    """The blocks of a group of kinds: those of the signal in its order, others in the order of the kinds."""
    stages = [s for s in pen.netlist.stages if s.kind in kinds]
    if kinds != SIGNAL:
        stages.sort(key=lambda s: kinds.index(s.kind))
    made = []
    for stage in stages:
        blocks = blocks_of(pen, stage)
        for under in pen.netlist.stages_of(STACKED.get(stage.kind, "")):
            blocks[0] = stack(blocks[0], blocks_of(pen, under)[0])
        made += blocks
    return [b for b in made if b.drawn]


def _reach(figures: Sequence[Sequence[Sequence[Block]]]) -> dict[str, tuple[int, ...]]:
    """Net -> numbers of the sheets with a terminal on it; ground and earth are everywhere and say nothing."""
    found: dict[str, set[int]] = {}
    for number, rows in enumerate(figures, 1):
        for terminal in (t for row in rows for block in row for t in block.terminals):
            if terminal.net not in (GROUND, EARTH):
                found.setdefault(terminal.net, set()).add(number)
    return {net: tuple(sorted(numbers)) for net, numbers in found.items()}


def blocks_of(pen: Pen, stage: StageInstance) -> list[Block]:
    """One stage, drawn by its cell: one block, or several that may be wrapped."""
    pen = replace(pen, block=Block(stage.id), blocks=[])
    cell(stage.kind).draw(pen, stage)
    return pen.blocks


def schematic(netlist: Netlist, results: Results | None = None, style: str = "zigzag") -> tuple[Figure, ...]:
    """All figures. style: resistors as "zigzag" (IEEE 315) or "box" (IEC 60617)."""
    from .render import render

    volts = dict(results.nominal.volts) if results is not None else {}
    names = {name: net.label or name for name, net in netlist.nets.items()}
    return tuple(
        Figure(
            sheet.name,
            sheet.strip.heading.partition(": ")[2],
            render(sheet, id=f"sch-{sheet.name}", style=style, names=names),
            round(sheet.width * UNIT_MM, 1),
            round(sheet.height * UNIT_MM, 1),
            tuple(sheet.content.drawn),
            sheet.nets,
        )
        for sheet in sheets(netlist, volts)
    )

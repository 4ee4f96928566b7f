"""The schematic of an amp: one figure per section, drawn from the netlist, with node voltages when there are results."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from importlib import import_module
from types import ModuleType
from typing import TYPE_CHECKING

from ..circuit.netlist import Netlist, StageInstance
from .block import Block
from .pen import Pen
from .sheet import Sheet, lay_out, stack

if TYPE_CHECKING:
    from ..analysis.results import Results


@dataclass(frozen=True, slots=True)
class Figure:
    """One sheet. parts: units drawn ("R5", "V1a", "V1:heater", "T1:primary"); nets: names of the nets on it."""

    name: str
    title: str
    svg: str
    width_mm: float
    height_mm: float
    parts: tuple[str, ...]
    nets: tuple[str, ...]


FIGURES = (
    (
        "preamp",
        "Preamplifier",
        (("input", "common-cathode", "cathode-follower", "volume", "bass-cut", "two-knob-tone", "unused-sections"),),
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
    """The laid-out sheets, before drawing; empty figures are left out."""
    made = []
    for name, title, groups in FIGURES:
        rows = [_blocks(netlist, kinds, volts, ordered=name != "preamp") for kinds in groups]
        if any(rows):
            made.append((name, title, rows))
    named = _named(netlist, [block for _, _, rows in made for row in rows for block in row])
    return tuple(lay_out(name, _title(netlist, title), rows, netlist, named) for name, title, rows in made)


def _named(netlist: Netlist, blocks: Sequence[Block]) -> frozenset[str]:
    """Nets that show in more than two blocks. B+ nodes are named by their arrows wherever they are."""
    seen: Counter[str] = Counter()
    for block in blocks:
        nets = {p.net for p in block.ports.values()} | {m.net for m in block.marks if m.kind == "flag"}
        seen.update(nets)
    return frozenset(net for net, count in seen.items() if count > 2 and net not in netlist.b_plus)


def _title(netlist: Netlist, title: str) -> str:
    """A figure's title; an amp without a phase inverter has an output stage only."""
    if title == "Phase inverter and output stage" and not any(s.section == "inverter" for s in netlist.stages):
        return "Output stage"
    return title


def _blocks(netlist: Netlist, kinds: Sequence[str], volts: Mapping[str, float], *, ordered: bool) -> list[Block]:
    """The blocks of a group: in the order of the kinds, or in that of the netlist."""
    stages = [s for s in netlist.stages if s.kind in kinds]
    if ordered:
        stages.sort(key=lambda s: kinds.index(s.kind))
    made = []
    for stage in stages:
        blocks = blocks_of(netlist, stage, volts)
        for under in netlist.stages_of(STACKED.get(stage.kind, "")):
            blocks[0] = stack(blocks[0], blocks_of(netlist, under, volts)[0])
        made += blocks
    return [b for b in made if b.drawn]


def blocks_of(netlist: Netlist, stage: StageInstance, volts: Mapping[str, float]) -> list[Block]:
    """One stage, drawn by its cell: one block, or several that may be wrapped."""
    pen = Pen(netlist, Block(stage.id), volts)
    cell(stage.kind).draw(pen, stage)
    return pen.blocks


def schematic(netlist: Netlist, results: Results | None = None, style: str = "zigzag") -> tuple[Figure, ...]:
    """All figures. style: resistors as "zigzag" (IEEE 315) or "box" (IEC 60617)."""
    from .render import render

    volts = dict(results.nominal.volts) if results is not None else {}
    found = sheets(netlist, volts)
    figures = []
    for index, sheet in enumerate(found, 1):
        content = sheet.content
        nets = tuple(sorted({w.net for w in content.wires} | {t.net for t in content.terminals} | {m.net for m in content.marks}))
        heading = f"{netlist.name}: {sheet.title}"
        note = "Voltages: DC to circuit ground, no signal, nominal mains." if volts else ""
        svg = render(
            sheet,
            id=f"sch-{sheet.name}",
            heading=heading,
            description=f"Schematic. Parts: {', '.join(content.drawn)}.",
            note=note,
            count=f"Sheet {index} of {len(found)}",
            style=style,
        )
        figures.append(
            Figure(sheet.name, sheet.title, svg, round(sheet.width * 8.5, 1), round(sheet.height * 8.5, 1), tuple(content.drawn), nets)
        )
    return tuple(figures)

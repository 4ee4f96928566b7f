"""The schematic of an amp: one figure per section, drawn from the netlist, with node voltages when there are results."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from importlib import import_module
from types import ModuleType
from typing import TYPE_CHECKING

from ..circuit.netlist import Netlist, Part, PowerTransformer, StageInstance, Tube
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
    """The laid-out sheets, before drawing; figures without a stage are left out."""
    kinds = {s.kind for s in netlist.stages}
    figures = [(name, title, groups) for name, title, groups in FIGURES if kinds & {k for ks in groups for k in ks}]
    reach = _reach(netlist, [groups for _, _, groups in figures])
    made = []
    for number, (name, title, groups) in enumerate(figures, 1):
        elsewhere = {net: tuple(n for n in found if n != number) for net, found in reach.items() if found != (number,)}
        pen = Pen(netlist, Block(name), volts, elsewhere)
        rows = [_blocks(pen, ks, ordered=name != "preamp") for ks in groups]
        made.append((name, _title(netlist, title), rows, pen))
    named = _named(netlist, [block for _, _, rows, _ in made for row in rows for block in row])
    return tuple(lay_out(name, title, rows, pen, named) for name, title, rows, pen in made)


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


def _blocks(pen: Pen, kinds: Sequence[str], *, ordered: bool) -> list[Block]:
    """The blocks of a group: in the order of the kinds, or in that of the netlist."""
    stages = [s for s in pen.netlist.stages if s.kind in kinds]
    if ordered:
        stages.sort(key=lambda s: kinds.index(s.kind))
    made = []
    for stage in stages:
        blocks = blocks_of(pen, stage)
        for under in pen.netlist.stages_of(STACKED.get(stage.kind, "")):
            blocks[0] = stack(blocks[0], blocks_of(pen, under)[0])
        made += blocks
    return [b for b in made if b.drawn]


def _reach(netlist: Netlist, figures: Sequence[Sequence[Sequence[str]]]) -> dict[str, tuple[int, ...]]:
    """Net -> numbers of the figures with a part or tube section on it. A tube's own pins say nothing: its sections may be anywhere."""
    home = {kind: number for number, groups in enumerate(figures, 1) for kinds in groups for kind in kinds}
    home |= {under: home[kind] for kind, under in STACKED.items() if kind in home}
    figure = {s.id: home[s.kind] for s in netlist.stages}
    found: dict[str, set[int]] = {net: set() for net in netlist.nets}
    for net, rows in netlist.on_net.items():
        found[net] |= {figure[part.stage] for part, pin in rows if not isinstance(part, Tube) and not _heater_end(part, pin)}
    for section in netlist.sections:
        for net in (section.plate, section.grid, section.cathode, section.screen):
            if net:
                found[net].add(figure[section.stage])
    return {net: tuple(sorted(numbers)) for net, numbers in found.items()}


def _heater_end(part: Part, pin: str) -> bool:
    """Whether a terminal is that of a heater winding, which is drawn with the heaters and not with its transformer."""
    return isinstance(part, PowerTransformer) and any(pin in w.pins for w in part.windings if w.kind == "heater")


def blocks_of(pen: Pen, stage: StageInstance) -> list[Block]:
    """One stage, drawn by its cell: one block, or several that may be wrapped."""
    pen = replace(pen, block=Block(stage.id), blocks=[])
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
        note = "Voltages: DC to circuit ground, no signal, nominal mains. " if volts else ""
        note += "→ 2 in a flag: the net goes on there, on sheet 2." if any("→" in m.text for m in content.marks) else ""
        svg = render(
            sheet,
            id=f"sch-{sheet.name}",
            heading=heading,
            description=f"Schematic. Parts: {', '.join(content.drawn)}.",
            note=note.strip(),
            count=f"Sheet {index} of {len(found)}",
            style=style,
            names={name: net.label or name for name, net in netlist.nets.items()},
        )
        figures.append(
            Figure(sheet.name, sheet.title, svg, round(sheet.width * 8.5, 1), round(sheet.height * 8.5, 1), tuple(content.drawn), nets)
        )
    return tuple(figures)

"""Formulas of the tremolo oscillator. Those for alike sections give the order of size; the solver has the ladder as it is."""

from __future__ import annotations

import math
from collections.abc import Iterator

from ..circuit.netlist import Capacitor, Netlist, Resistor
from .results import Given, Results, Worked
from .worked_inputs import ALGEBRA, OHM, across, resistor, sections

GROUP = "tremolo"
THREE = 3
FREE = 0.99
"""Share of the wave from which on the cathode counts as still."""


def tremolo_formulas(netlist: Netlist, results: Results) -> Iterator[Worked]:
    """Bias, gain there is, rate and gain needed of a ladder of alike sections, what a cathode resistor leaves."""
    stage, wave = next(iter(netlist.stages_of("phase-shift-oscillator")), None), results.tremolo
    found = sections(netlist, results, stage) if stage else []
    if stage is None or wave is None or not found:
        return
    section, point = found[0]
    load, cathode = resistor(netlist, stage, "plate-load"), resistor(netlist, stage, "cathode-resistor")
    if load is None:
        return
    if cathode is not None:
        yield Worked(
            name=f"{stage.id}/bias",
            group=GROUP,
            about=stage.id,
            what="bias across the cathode resistor",
            symbol="Vk",
            formula="Ia·Rk",
            given=(Given("Ia", point.plate_amps, "A", section.ref), Given("Rk", cathode.ohms, "ohm", cathode.ref)),
            unit="V",
            closed=point.plate_amps * cathode.ohms,
            solved=across(results, cathode.ref),
            source=OHM,
        )
    yield Worked(
        name=f"{stage.id}/gain",
        group=GROUP,
        about=stage.id,
        what="gain of the stage, nothing on its plate",
        symbol="A",
        formula="µ·Ra/(rp + Ra)",
        given=(
            Given("µ", point.mu, "x", f"{section.ref} at idle"),
            Given("Ra", load.ohms, "ohm", load.ref),
            Given("rp", point.plate_ohms, "ohm", f"{section.ref} at idle"),
        ),
        unit="x",
        closed=point.mu * load.ohms / (point.plate_ohms + load.ohms),
        solved=wave.points[0].gain_available,
        source=ALGEBRA,
    )
    yield from _ladder(netlist, results, point.plate_ohms, load)
    yield from _retained(netlist, results)


def _ladder(netlist: Netlist, results: Results, plate_ohms: float, load: Resistor) -> Iterator[Worked]:
    stage, wave = next(iter(netlist.stages_of("phase-shift-oscillator"))), results.tremolo
    parts = [netlist.by_ref[ref] for role, ref in stage.parts.items() if role.startswith("step-")]
    farads = [p.farads for p in parts if isinstance(p, Capacitor)]
    ohms = [p.ohms for p in parts if isinstance(p, Resistor)]
    if wave is None or not farads or len(farads) != len(ohms):
        return
    c, r = _middle(farads), _middle(ohms)
    k = plate_ohms * load.ohms / (plate_ohms + load.ohms) / r
    fast = max(wave.points, key=lambda p: p.hertz)
    three = len(farads) == THREE
    given = (
        Given("R", r, "ohm", "geometric mean of the shunts, speed control at its fast end"),
        Given("C", c, "F", "geometric mean of the capacitors"),
    )
    source = Given("k", k, "x", "rp parallel to the plate load, over R")
    why = "the sections differ on purpose, so that the speed control reaches farther; the formula is for alike ones"
    if len(farads) not in (THREE, THREE + 1):
        return
    yield Worked(
        name=f"{stage.id}/rate",
        group=GROUP,
        about=stage.id,
        what="fastest rate, if the sections were alike",
        symbol="f",
        formula="1/(2π·R·C·√(6 + 4·k))" if three else "0.8367/(2π·R·C)",
        given=(*given, source) if three else given,
        unit="Hz",
        closed=(1.0 / math.sqrt(6.0 + 4.0 * k) if three else 0.8367) / (2.0 * math.pi * r * c),
        solved=fast.hertz,
        why=why,
        source="textbook figures for alike sections, from memory" if three else "chain matrix of four alike sections, k = 0",
    )
    yield Worked(
        name=f"{stage.id}/needed",
        group=GROUP,
        about=stage.id,
        what="gain needed, if the sections were alike",
        symbol="A",
        formula="29 + 23·k + 4·k²" if three else "18.39",
        given=(source,) if three else (),
        unit="x",
        closed=29.0 + 23.0 * k + 4.0 * k * k if three else 18.39,
        solved=fast.gain_required,
        why=f"{why}; the solver's figure is of the unloaded stage with an aged tube",
        source="textbook figures for alike sections, from memory" if three else "chain matrix of four alike sections, k = 0",
    )


def _middle(values: list[float]) -> float:
    return math.exp(sum(map(math.log, values)) / len(values))


def _retained(netlist: Netlist, results: Results) -> Iterator[Worked]:
    wave = results.tremolo
    if wave is None:
        return
    for ref, share in wave.retained.items():
        if share >= FREE:
            continue  # its cathode is on ground or nearly: nothing fights the wave
        cathode = netlist.by_section[ref].cathode
        parts = [part for part, _ in netlist.on_net.get(cathode, ())]
        yield Worked(
            name=f"{ref}/retained",
            group=GROUP,
            about=ref,
            what=f"share of the wave left between grid and cathode of {ref}, slowest rate",
            symbol="s",
            formula="|(1 + j·2π·f·R·C)/(1 + S·R + j·2π·f·R·C)|",
            given=(
                Given("S", wave.retained_siemens.get(ref, 0.0), "S", "plate and screen of all tubes on it"),
                *(Given("R", p.ohms, "ohm", p.ref) for p in parts if isinstance(p, Resistor)),
                *(Given("C", p.farads, "F", p.ref) for p in parts if isinstance(p, Capacitor)),
                Given("f", wave.slow_hertz, "Hz", "slowest rate"),
            ),
            unit="x",
            closed=share,
            solved=wave.retained_solved.get(ref),
            why="the solver has the amp around the tube: the grid's own network, and what the other tube puts on the same nodes",
            source=ALGEBRA,
        )

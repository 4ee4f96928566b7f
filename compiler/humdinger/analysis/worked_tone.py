"""Formulas of the tone stages that have parts in common: what can be said of them by inspection."""

from __future__ import annotations

import math
from collections.abc import Iterator

from ..circuit.netlist import Netlist, Pot, StageInstance
from ..units.taper import track_fraction
from .results import Given, Results, Worked
from .worked_inputs import ALGEBRA, CORNER, OHM, across, capacitor, gain_of, parallel, resistor, sections, tube_given


def set_pot(netlist: Netlist, results: Results, stage: StageInstance, role: str) -> tuple[Pot, float] | None:
    """A stage's pot with the fraction of its track below the wiper, as it stands in the printed figures."""
    part = netlist.by_ref.get(stage.parts.get(role, ""))
    if not isinstance(part, Pot):
        return None
    at = results.nominal.condition.controls.get(part.control, part.position)
    return part, track_fraction(part.taper, at)


def three_knob_tone(netlist: Netlist, results: Results, stage: StageInstance) -> Iterator[Worked]:
    """The share in the dip, and where the treble ends up (stages/three_knob_tone.py, derived there)."""
    slope = resistor(netlist, stage, "slope")
    treble, middle = set_pot(netlist, results, stage, "treble"), set_pot(netlist, results, stage, "middle")
    if slope is None or treble is None or middle is None:
        return
    below = middle[0].ohms * middle[1]
    given = (Given("m", below, "ohm", f"{middle[0].ref} below its wiper"), Given("Rs", slope.ohms, "ohm", slope.ref))
    yield Worked(
        name=f"{stage.id}/dip",
        group="preamp",
        about=stage.id,
        what="share passed in the dip",
        symbol="A",
        formula="m/(m + Rs)",
        given=given,
        unit="x",
        closed=below / (below + slope.ohms),
        solved=gain_of(results, stage.id),
        why="solved at 1 kHz, where the treble capacitor passes something already and the bass capacitor not yet all",
        source="by inspection: bass and middle capacitor conduct, the treble capacitor does not",
    )
    foot = below / (below + parallel(slope.ohms, treble[0].ohms))
    yield Worked(
        name=f"{stage.id}/treble",
        group="preamp",
        about=stage.id,
        what="share passed far above the band",
        symbol="A",
        formula="t + (1 − t)·m/(m + Rs·Rt/(Rs + Rt))",
        given=(
            *given,
            Given("Rt", treble[0].ohms, "ohm", treble[0].ref),
            Given("t", treble[1], "x", f"{treble[0].ref} below its wiper"),
        ),
        unit="x",
        closed=treble[1] + (1.0 - treble[1]) * foot,
        source="by inspection: all three capacitors conduct; the next stage's load neglected",
    )


def treble_cut(netlist: Netlist, results: Results, stage: StageInstance) -> Iterator[Worked]:
    """Where the cut ends: above, the level falls no further."""
    part, track = capacitor(netlist, stage, "capacitor"), set_pot(netlist, results, stage, "pot")
    if part is None or track is None:
        return
    left = track[0].ohms * track[1]
    yield Worked(
        name=f"{stage.id}/shelf",
        group="preamp",
        about=stage.id,
        what=f"upper end of the cut, {track[0].control} as it stands",
        symbol="f",
        formula="1/(2π·R·C)",
        given=(Given("R", left, "ohm", f"what {track[0].ref} leaves in"), Given("C", part.farads, "F", part.ref)),
        unit="Hz",
        closed=1.0 / (2.0 * math.pi * left * part.farads),
        source=CORNER,
    )


def feedback_tone(netlist: Netlist, results: Results, stage: StageInstance) -> Iterator[Worked]:
    """Bias, gain in the middle of the band, and how far each control lifts at its stop with a stage of endless gain."""
    found, cathode, plate = (
        sections(netlist, results, stage),
        resistor(netlist, stage, "cathode-resistor"),
        resistor(netlist, stage, "plate-load"),
    )
    if not found or cathode is None or plate is None:
        return
    section, point = found[0]
    yield Worked(
        name=f"{stage.id}/bias",
        group="preamp",
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
    below = 0.0 if capacitor(netlist, stage, "cathode-bypass") else (point.mu + 1.0) * cathode.ohms
    gain = point.mu * plate.ohms / (point.plate_ohms + plate.ohms + below)
    yield Worked(
        name=f"{stage.id}/gain",
        group="preamp",
        about=stage.id,
        what="gain in the middle of the band, controls in the middle",
        symbol="G",
        formula="A/(A + 2), A = µ·R/(rp + R + (µ + 1)·Rk)" if below else "A/(A + 2), A = µ·R/(rp + R)",
        given=(
            *tube_given(section, point),
            Given("R", plate.ohms, "ohm", plate.ref),
            *((Given("Rk", cathode.ohms, "ohm", cathode.ref),) if below else ()),
        ),
        unit="x",
        closed=gain / (gain + 2.0),
        solved=gain_of(results, stage.id),
        why="what grid leak, network and next stage take is not in the formula; the controls are solved as they stand",
        source=ALGEBRA + ", equal networks to input and output",
    )
    for key in ("bass", "treble"):
        track, end = netlist.by_ref.get(stage.parts.get(key, "")), resistor(netlist, stage, f"{key}-end-a")
        if isinstance(track, Pot) and end is not None:
            yield Worked(
                name=f"{stage.id}/{key}-lift",
                group="preamp",
                about=stage.id,
                what=f"{key} lifted at the most, {track.control} fully clockwise",
                symbol="G",
                formula="(Re + Rt)/Re",
                given=(Given("Re", end.ohms, "ohm", end.ref), Given("Rt", track.ohms, "ohm", track.ref)),
                unit="x",
                closed=(end.ohms + track.ohms) / end.ohms,
                source=ALGEBRA + ", a stage of endless gain; a real one lifts less",
            )

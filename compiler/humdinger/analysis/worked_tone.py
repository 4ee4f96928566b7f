"""Formulas of the tone stages that have parts in common: what can be said of them by inspection."""

from __future__ import annotations

import math
from collections.abc import Iterator

from ..circuit.netlist import Netlist, Pot, StageInstance
from ..units.taper import track_fraction
from .results import Given, Results, Worked
from .worked_inputs import CORNER, capacitor, gain_of, parallel, resistor


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

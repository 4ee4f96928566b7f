"""The formulas of an effects loop and of a line out beside the solver's numbers."""

from __future__ import annotations

from collections.abc import Iterator

from ..circuit.netlist import Netlist, StageInstance
from .results import Given, Results, Worked
from .worked_inputs import ALGEBRA, REACTANCE, gain_of, parallel, pot, resistor
from .worked_tone import set_pot


def effects_loop(netlist: Netlist, results: Results, stage: StageInstance) -> Iterator[Worked]:
    """Share of the stage's input that stands at SEND while the loop is empty, so with the return's resistance across it."""
    series, shunt, leak = (resistor(netlist, stage, role) for role in ("send-series", "send-shunt", "return-leak"))
    level, back = set_pot(netlist, results, stage, "send-pot"), pot(netlist, stage, "return-pot")
    given = [Given("R1", series.ohms, "ohm", series.ref)] if series else []
    upper = series.ohms if series else 0.0
    below = []
    names = []
    if level:
        track, share = level
        given += [Given("P", track.ohms, "ohm", track.ref), Given("k", share, "x", f"{track.ref}, {track.control} as it stands")]
        upper += (1.0 - share) * track.ohms
        below.append(share * track.ohms)
        names.append("k·P")
    for letter, part in (("R2", shunt), ("R3", leak), ("R4", back)):
        if part:
            given.append(Given(letter, part.ohms, "ohm", part.ref))
            below.append(part.ohms)
            names.append(letter)
    if upper <= 0.0:  # a wire: nothing is divided
        return
    lower = parallel(*below)
    top = " + ".join([*(["R1"] if series else []), *(["(1 − k)·P"] if level else [])])
    yield Worked(
        name=f"{stage.id}/send",
        group="preamp",
        about=stage.id,
        what="share that stands at the send, nothing plugged in",
        symbol="A",
        formula=f"Z/({top} + Z), Z = {' parallel '.join(names)}",
        given=tuple(given),
        unit="x",
        closed=lower / (upper + lower),
        solved=gain_of(results, stage.id, stage.ports["out-send"]),
        why=REACTANCE,
        source=ALGEBRA,
    )


def line_out(netlist: Netlist, results: Results) -> Iterator[Worked]:
    """Share of the speaker's voltage at the open jack, and the volts there at the clean power."""
    stage = next(iter(netlist.stages_of("line-out")), None)
    upper = resistor(netlist, stage, "upper") if stage else None
    if stage is None or upper is None:
        return
    lower, level = resistor(netlist, stage, "lower"), set_pot(netlist, results, stage, "pot")
    if lower:
        below, whole = lower.ohms, upper.ohms + lower.ohms
        given, formula = (Given("R1", upper.ohms, "ohm", upper.ref), Given("R2", lower.ohms, "ohm", lower.ref)), "R2/(R1 + R2)"
    elif level:
        track, share = level
        below, whole, formula = share * track.ohms, upper.ohms + track.ohms, "k·P/(R1 + P)"
        k = Given("k", share, "x", f"{track.ref}, {track.control} as it stands")
        given = (Given("R1", upper.ohms, "ohm", upper.ref), Given("P", track.ohms, "ohm", track.ref), k)
    else:
        return
    yield Worked(
        name="line-out/share",
        group="output",
        about=stage.id,
        what="share of the speaker's voltage at the open line out",
        symbol="A",
        formula=formula,
        given=given,
        unit="x",
        closed=below / whole,
        solved=results.line_out.share if results.line_out else None,
        source=ALGEBRA,
    )

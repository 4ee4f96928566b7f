"""Formulas of the stages ahead of the output tubes. Those of the stages' own docstrings, where the tests hold them to handbook figures."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator

from ..circuit.netlist import Netlist, Resistor, StageInstance
from ..units.taper import track_fraction
from .results import Given, Results, Worked
from .worked_inputs import (
    ALGEBRA,
    CORNER,
    OHM,
    REACTANCE,
    across,
    capacitor,
    gain_of,
    load_behind,
    loaded,
    parallel,
    pot,
    resistor,
    sections,
    seen,
    tube_given,
)
from .worked_interstage import interstage_transformer
from .worked_loop import effects_loop
from .worked_paraphase import floating_paraphase, paraphase
from .worked_pentode import pentode_gain
from .worked_tone import feedback_tone, three_knob_tone, treble_cut

_Maker = Callable[[Netlist, Results, StageInstance], Iterator[Worked]]


UNLIKE = "the formula has both outputs loaded at once; the solver looks into one, which from the plate is the plate load nearly alone"


def signal_formulas(netlist: Netlist, results: Results) -> Iterator[Worked]:
    """Stage by stage, in order of the signal."""
    for stage in netlist.stages:
        if (make := MAKERS.get(stage.kind)) is not None:
            yield from make(netlist, results, stage)


def _input(netlist: Netlist, results: Results, stage: StageInstance) -> Iterator[Worked]:
    stopper = resistor(netlist, stage, "grid-stopper")
    first = next((s for s in netlist.sections if not s.unused and stopper and s.grid in {p.net for p in stopper.pins}), None)
    if stopper is None or first is None or first.section.input_farads is None or first.section.grid_plate_farads is None:
        return
    gain = gain_of(results, first.stage) or 0.0
    low = resistor(netlist, stage, "grid-stopper-low")  # from the tip of the high jack, which its empty neighbour hangs on
    ohms, names = (parallel(stopper.ohms, low.ohms), f"{stopper.ref} and {low.ref} side by side") if low else (stopper.ohms, stopper.ref)
    cin, cga = first.section.input_farads.value, first.section.grid_plate_farads.value
    yield Worked(
        name=f"{stage.id}/treble",
        group="preamp",
        about=stage.id,
        what="treble corner at the first grid",
        symbol="f",
        formula="1/(2π·R·(Cin + Cga·(1 + A)))",
        given=(
            Given("R", ohms, "ohm", names),
            Given("Cin", cin, "F", f"{first.ref}, library"),
            Given("Cga", cga, "F", f"{first.ref}, library"),
            Given("A", gain, "x", f"stage {first.stage}"),
        ),
        unit="Hz",
        closed=1.0 / (2.0 * math.pi * ohms * (cin + cga * (1.0 + gain))),
        solved=results.input_low_pass_hertz,
        why="the solver takes the gain from grid to plate and all resistance between jack and grid",
        source="Miller effect, standard algebra; stray wiring not in it",
    )


def _common_cathode(netlist: Netlist, results: Results, stage: StageInstance) -> Iterator[Worked]:
    found = sections(netlist, results, stage)
    cathode, plate = resistor(netlist, stage, "cathode-resistor"), resistor(netlist, stage, "plate-load")
    if not found or cathode is None or plate is None:
        return
    section, point = found[0]
    bypass = capacitor(netlist, stage, "cathode-bypass")
    fed = any(loop.facts.get("to") == stage.id for loop in netlist.stages_of("feedback"))
    load = None if fed else seen(results, section.ref, 0.0 if bypass else cathode.ohms)
    load = load or loaded(netlist, results, stage, "plate-load", "coupling") or (plate.ohms, plate.ref)
    group = stage.section or "preamp"
    ia, rk = Given("Ia", point.plate_amps, "A", section.ref), Given("Rk", cathode.ohms, "ohm", cathode.ref)
    yield Worked(
        name=f"{stage.id}/bias",
        group=group,
        about=stage.id,
        what="bias across the cathode resistor",
        symbol="Vk",
        formula="Ia·Rk",
        given=(ia, rk),
        unit="V",
        closed=point.plate_amps * cathode.ohms,
        solved=across(results, cathode.ref),
        source=OHM,
    )
    supply = results.nominal.volts.get(stage.ports.get("supply", ""), 0.0)
    yield Worked(
        name=f"{stage.id}/plate",
        group=group,
        about=stage.id,
        what="plate to ground",
        symbol="Va",
        formula="Vb − Ia·Ra",
        given=(Given("Vb", supply, "V", stage.ports.get("supply", "")), ia, Given("Ra", plate.ohms, "ohm", plate.ref)),
        unit="V",
        closed=supply - point.plate_amps * plate.ohms,
        solved=results.nominal.volts.get(section.plate),
        why="current that the next stage takes from the plate",
        source=OHM,
    )
    tube, r = tube_given(section, point), Given("R", load[0], "ohm", load[1])
    below = 0.0 if bypass else (point.mu + 1.0) * cathode.ohms
    yield Worked(
        name=f"{stage.id}/gain",
        group=group,
        about=stage.id,
        what="gain, cathode bypassed" if bypass else "gain, cathode not bypassed",
        symbol="A",
        formula="µ·R/(rp + R)" if bypass else "µ·R/(rp + R + (µ + 1)·Rk)",
        given=(*tube, r) if bypass else (*tube, r, rk),
        unit="x",
        closed=point.mu * load[0] / (point.plate_ohms + load[0] + below),
        solved=gain_of(results, stage.id),
        why="the formula is without the feedback" if fed else REACTANCE,
        source=ALGEBRA,
    )
    if bypass is not None:
        lift = 1.0 + (point.mu + 1.0) * cathode.ohms / (point.plate_ohms + load[0])
        yield Worked(
            name=f"{stage.id}/bypass",
            group=group,
            about=stage.id,
            what="bass corner of the cathode bypass",
            symbol="f",
            formula="(1 + (µ + 1)·Rk/(rp + R))/(2π·Rk·Ck)",
            given=(*tube, r, rk, Given("Ck", bypass.farads, "F", bypass.ref)),
            unit="Hz",
            closed=lift / (2.0 * math.pi * cathode.ohms * bypass.farads),
            source=ALGEBRA + ": the upper end of the shelf",
        )
    resistance = point.plate_ohms + below
    yield from coupling(netlist, results, stage, "coupling", parallel(plate.ohms, resistance), f"{plate.ref} parallel to the plate")


def coupling(
    netlist: Netlist, results: Results, stage: StageInstance, role: str, source_ohms: float, what: str, why: str = ""
) -> Iterator[Worked]:
    """The bass corner of a coupling capacitor fed from that resistance."""
    part = capacitor(netlist, stage, role)
    load = load_behind(results, part.ref) if part else None
    if part is None or load is None:
        return
    yield Worked(
        name=f"{stage.id}/{role}",
        group=stage.section or "preamp",
        about=stage.id,
        what=f"bass corner of {part.ref}",
        symbol="f",
        formula="1/(2π·C·(Rs + RL))",
        given=(
            Given("C", part.farads, "F", part.ref),
            Given("Rs", source_ohms, "ohm", what),
            Given("RL", load, "ohm", "what follows, solved"),
        ),
        unit="Hz",
        closed=1.0 / (2.0 * math.pi * part.farads * (source_ohms + load)),
        solved=next((c.hertz for c in results.corners if c.capacitor == part.ref), None),
        why=why or "the solver's source resistance is that of the whole amp",
        source=CORNER,
    )


def _volume(netlist: Netlist, results: Results, stage: StageInstance) -> Iterator[Worked]:
    part = pot(netlist, stage) or pot(netlist, stage, "pot-a")
    if part is None:
        return
    at = results.nominal.condition.controls.get(part.control, part.position)
    share = track_fraction(part.taper, at)
    f, track = Given("k", share, "x", f"{part.ref}, {part.control} at {10 * at:g}"), Given("R", part.ohms, "ohm", part.ref)
    yield Worked(
        name=f"{stage.id}/share",
        group="preamp",
        about=stage.id,
        what=f"share of the track below the wiper, {part.control} at {10 * at:g}",
        symbol="A",
        formula="k",
        given=(f,),
        unit="x",
        closed=share,
        solved=gain_of(results, stage.id),
        why="the next stage loads the wiper",
        source=f"taper law: {part.taper}",
    )
    yield Worked(
        name=f"{stage.id}/source",
        group="preamp",
        about=stage.id,
        what="source resistance of the wiper",
        symbol="Rs",
        formula="R·k·(1 − k)",
        given=(track, f),
        unit="ohm",
        closed=part.ohms * share * (1.0 - share),
        source="standard algebra, fed from a low resistance",
    )


def _tone(netlist: Netlist, results: Results, stage: StageInstance) -> Iterator[Worked]:
    slope, end = resistor(netlist, stage, "bass-slope"), resistor(netlist, stage, "bass-end")
    if slope is None or end is None:
        return
    yield Worked(
        name=f"{stage.id}/loss",
        group="preamp",
        about=stage.id,
        what="share passed in the middle of the band",
        symbol="A",
        formula="Re/(Rs + Re)",
        given=(Given("Re", end.ohms, "ohm", end.ref), Given("Rs", slope.ohms, "ohm", slope.ref)),
        unit="x",
        closed=end.ohms / (slope.ohms + end.ohms),
        solved=gain_of(results, stage.id),
        why="solved at 1 kHz with the controls as they stand, source and load of the neighbours in it",
        source="standard algebra; the treble branch neglected",
    )


def _bass_cut(netlist: Netlist, results: Results, stage: StageInstance) -> Iterator[Worked]:
    part, track = capacitor(netlist, stage, "capacitor"), pot(netlist, stage)
    if part is None or track is None:
        return
    at = results.nominal.condition.controls.get(track.control, track.position)
    left = track.ohms * (1.0 - track_fraction(track.taper, at))
    if left <= 0.0:
        return
    yield Worked(
        name=f"{stage.id}/shelf",
        group="preamp",
        about=stage.id,
        what=f"lower end of the shelf, {track.control} at {10 * at:g}",
        symbol="f",
        formula="1/(2π·R·C)",
        given=(Given("R", left, "ohm", f"what {track.ref} leaves in"), Given("C", part.farads, "F", part.ref)),
        unit="Hz",
        closed=1.0 / (2.0 * math.pi * left * part.farads),
        source=CORNER,
    )


def _follower(netlist: Netlist, results: Results, stage: StageInstance) -> Iterator[Worked]:
    found, load = sections(netlist, results, stage), resistor(netlist, stage, "cathode-resistor")
    if not found or load is None:
        return
    section, point = found[0]
    mu, rp = tube_given(section, point)
    r = Given("R", load.ohms, "ohm", load.ref)
    yield Worked(
        name=f"{stage.id}/gain",
        group=stage.section or "preamp",
        about=stage.id,
        what="gain of the follower",
        symbol="A",
        formula="µ·R/(rp + (µ + 1)·R)",
        given=(mu, rp, r),
        unit="x",
        closed=point.mu * load.ohms / (point.plate_ohms + (point.mu + 1.0) * load.ohms),
        solved=gain_of(results, stage.id),
        why=REACTANCE,
        source=ALGEBRA,
    )
    yield Worked(
        name=f"{stage.id}/source",
        group=stage.section or "preamp",
        about=stage.id,
        what="source resistance of the follower",
        symbol="Rs",
        formula="1/(1/R + (µ + 1)/rp)",
        given=(r, mu, rp),
        unit="ohm",
        closed=parallel(load.ohms, point.plate_ohms / (point.mu + 1.0)),
        source=ALGEBRA,
    )


def _long_tailed_pair(netlist: Netlist, results: Results, stage: StageInstance) -> Iterator[Worked]:
    found = sections(netlist, results, stage)
    tail, cathode = resistor(netlist, stage, "tail"), resistor(netlist, stage, "cathode-resistor")
    one = loaded(netlist, results, stage, "plate-load-a", "coupling-a")
    two = loaded(netlist, results, stage, "plate-load-b", "coupling-b")
    if len(found) != 2 or tail is None or cathode is None or one is None or two is None:
        return
    (a, at_a), (b, at_b) = found
    total = at_a.cathode_amps + at_b.cathode_amps
    yield Worked(
        name=f"{stage.id}/tail",
        group="inverter",
        about=stage.id,
        what="volts across the tail",
        symbol="Vt",
        formula="(Ia + Ib)·Rt",
        given=(
            Given("Ia", at_a.cathode_amps, "A", a.ref),
            Given("Ib", at_b.cathode_amps, "A", b.ref),
            Given("Rt", tail.ohms, "ohm", tail.ref),
        ),
        unit="V",
        closed=total * tail.ohms,
        solved=across(results, tail.ref),
        source=OHM,
    )
    yield from _pair_gains(results, stage, (a.ref, at_a.mu, at_a.plate_ohms), tail, cathode, one, two)
    for letter, point, other in (("a", at_a, two), ("b", at_b, one)):
        plate = resistor(netlist, stage, f"plate-load-{letter}")
        if plate is not None:
            what = f"{plate.ref} parallel to twice rp and the other side's load"
            ohms = parallel(plate.ohms, 2.0 * point.plate_ohms + other[0])
            yield from coupling(netlist, results, stage, f"coupling-{letter}", ohms, what)


def _pair_gains(
    results: Results,
    stage: StageInstance,
    tube: tuple[str, float, float],
    tail: Resistor,
    cathode: Resistor,
    one: tuple[float, str],
    two: tuple[float, str],
) -> Iterator[Worked]:
    """Both gains by the two equations of the pair, alike tubes: i1 (rp + R1 + k) + i2 k = µ v, i1 k + i2 (rp + R2 + k) = 0."""
    ref, mu, rp = tube
    k = (mu + 1.0) * (tail.ohms + cathode.ohms)
    below = (rp + one[0] + k) * (rp + two[0] + k) - k * k
    gains = {"a": mu * one[0] * (rp + two[0] + k) / below, "b": mu * two[0] * k / below}
    given = (
        Given("µ", mu, "x", f"{ref} at idle, both taken as alike"),
        Given("rp", rp, "ohm", f"{ref} at idle"),
        Given("R1", one[0], "ohm", one[1]),
        Given("R2", two[0], "ohm", two[1]),
        Given("k", k, "ohm", f"(µ + 1)·({cathode.ref} + {tail.ref})"),
    )
    formulas = {
        "a": "µ·R1·(rp + R2 + k)/((rp + R1 + k)·(rp + R2 + k) − k²)",
        "b": "µ·R2·k/((rp + R1 + k)·(rp + R2 + k) − k²)",
    }
    found = results.inverter
    solved = {"a": found.gain_a, "b": found.gain_b} if found and found.stage == stage.id else {}
    for letter in "ab":
        yield Worked(
            name=f"{stage.id}/gain-{letter}",
            group="inverter",
            about=stage.id,
            what=f"gain to side {letter}",
            symbol=f"A{letter}",
            formula=formulas[letter],
            given=given,
            unit="x",
            closed=gains[letter],
            solved=solved.get(letter),
            why="the solver has each half at its own current, and the grid leaks' pull on the tail",
            source=ALGEBRA,
        )


def _cathodyne(netlist: Netlist, results: Results, stage: StageInstance) -> Iterator[Worked]:
    found = sections(netlist, results, stage)
    low, cathode = resistor(netlist, stage, "load-b"), resistor(netlist, stage, "cathode-resistor")
    load = loaded(netlist, results, stage, "load-a", "coupling-a")
    if not found or low is None or cathode is None or load is None:
        return
    section, point = found[0]
    mu, rp = tube_given(section, point)
    rk = Given("Rk", cathode.ohms, "ohm", cathode.ref)
    yield Worked(
        name=f"{stage.id}/foot",
        group="inverter",
        about=stage.id,
        what="volts across the cathode load",
        symbol="V",
        formula="Ia·R",
        given=(Given("Ia", point.cathode_amps, "A", section.ref), Given("R", low.ohms, "ohm", low.ref)),
        unit="V",
        closed=point.cathode_amps * low.ohms,
        solved=across(results, low.ref),
        source=OHM,
    )
    below = point.plate_ohms + (point.mu + 2.0) * load[0] + (point.mu + 1.0) * cathode.ohms
    pair = results.inverter
    for letter in "ab":
        yield Worked(
            name=f"{stage.id}/gain-{letter}",
            group="inverter",
            about=stage.id,
            what=f"gain to side {letter}",
            symbol=f"A{letter}",
            formula="µ·R/(rp + (µ + 2)·R + (µ + 1)·Rk)",
            given=(mu, rp, Given("R", load[0], "ohm", load[1]), rk),
            unit="x",
            closed=point.mu * load[0] / below,
            solved=(pair.gain_a if letter == "a" else pair.gain_b) if pair and pair.stage == stage.id else None,
            why=REACTANCE,
            source="Radiotron Designer's Handbook ch. 7 with Rk added, from memory",
        )
    for letter in "ab":
        source = load[0] * point.plate_ohms / (point.plate_ohms + (point.mu + 2.0) * load[0])
        yield from coupling(netlist, results, stage, f"coupling-{letter}", source, "of an output with both loaded alike", UNLIKE)


MAKERS: dict[str, _Maker] = {
    "input": _input,
    "common-cathode": _common_cathode,
    "pentode-gain": pentode_gain,
    "volume": _volume,
    "master-volume": _volume,
    "two-knob-tone": _tone,
    "three-knob-tone": three_knob_tone,
    "treble-cut": treble_cut,
    "feedback-tone": feedback_tone,
    "effects-loop": effects_loop,
    "bass-cut": _bass_cut,
    "cathode-follower": _follower,
    "long-tailed-pair": _long_tailed_pair,
    "cathodyne": _cathodyne,
    "interstage-transformer": interstage_transformer,
    "paraphase": paraphase,
    "floating-paraphase": floating_paraphase,
}

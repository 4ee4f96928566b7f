"""Formulas of output tubes, bias, output transformer, feedback and of the whole chain."""

from __future__ import annotations

import math
from collections.abc import Iterator

from ..circuit.netlist import Netlist, OutputTransformer, Pot, Resistor, Speaker
from ..parts.model import Cited
from .load import BASS_HERTZ, tubes_aside
from .results import Given, OutputLoad, Results, SectionPoint, Worked
from .screening import primary_amps, screen_share
from .speakers import speaker_tap
from .worked_inputs import CORNER, HANDBOOK, OHM, capacitor, gain_of, parallel, resistor
from .worked_loop import line_out

GROUP = "output"


def output_formulas(netlist: Netlist, results: Results) -> Iterator[Worked]:
    """Bias and dissipation of each output tube, the load, power, feedback, and the drive of the whole chain."""
    yield from _cathode_biases(netlist, results)
    yield from _fixed_bias(netlist, results)
    yield from _dissipation(netlist, results)
    yield from _load(netlist, results)
    yield from _feedback(netlist, results)
    yield from line_out(netlist, results)
    yield from _drive(netlist, results)


def _cathode_biases(netlist: Netlist, results: Results) -> Iterator[Worked]:
    for found in results.cathode_biases:
        part = netlist.by_ref.get(found.resistor)
        if not isinstance(part, Resistor):
            continue
        points = [(ref, results.nominal.sections[ref]) for ref in found.sections if ref in results.nominal.sections]
        amps = sum(p.cathode_amps for _, p in points)
        yield Worked(
            name=f"{found.resistor}/bias",
            group=GROUP,
            about=found.resistor,
            what=f"bias of {' and '.join(found.sections)}",
            symbol="Vk",
            formula="Ik·Rk",
            given=(Given("Ik", amps, "A", "plate and screen of " + " and ".join(found.sections)), Given("Rk", part.ohms, "ohm", part.ref)),
            unit="V",
            closed=amps * part.ohms,
            solved=found.volts,
            source=OHM,
        )
        yield Worked(
            name=f"{found.resistor}/watts",
            group=GROUP,
            about=found.resistor,
            what=f"heat in {found.resistor} at idle",
            symbol="P",
            formula="Ik²·Rk",
            given=(Given("Ik", amps, "A", "the same"), Given("Rk", part.ohms, "ohm", part.ref)),
            unit="W",
            closed=amps**2 * part.ohms,
            solved=found.watts,
            source=OHM,
        )


def _fixed_bias(netlist: Netlist, results: Results) -> Iterator[Worked]:
    """Ends of the adjustment by the divider of the range network, fed from the filtered negative supply."""
    stage = next(iter(netlist.stages_of("fixed-bias")), None)
    if stage is None or results.bias_range is None:
        return
    upper, lower, safe = (resistor(netlist, stage, role) for role in ("to-negative", "to-ground", "fail-safe"))
    track = netlist.by_ref.get(stage.parts.get("adjustment", ""))
    negative = results.nominal.volts.get(stage.ports.get("negative", ""))
    if upper is None or lower is None or not isinstance(track, Pot) or negative is None:
        return
    given = (
        Given("Vn", negative, "V", "filtered bias supply"),
        Given("R1", upper.ohms, "ohm", upper.ref),
        Given("R2", lower.ohms, "ohm", lower.ref),
        Given("P", track.ohms, "ohm", track.ref),
        *((Given("Rf", safe.ohms, "ohm", f"{safe.ref}, from the wiper to the supply"),) if safe else ()),
    )
    beside = safe.ohms if safe else math.inf
    above = 1.0 / (1.0 / upper.ohms + 1.0 / beside)
    yield _end(stage.id, "coldest", "R1", lower.ohms + track.ohms, above, given, results.bias_range.coldest_volts, safe is not None)
    above = 1.0 / (1.0 / (upper.ohms + track.ohms) + 1.0 / beside)
    yield _end(stage.id, "hottest", "R1 + P", lower.ohms, above, given, results.bias_range.hottest_volts, safe is not None)


def _end(stage: str, end: str, top: str, below: float, above: float, given: tuple[Given, ...], solved: float, fail_safe: bool) -> Worked:
    foot = "R2 + P" if end == "coldest" else "R2"
    share = f"({foot})" if end == "coldest" else foot
    beside = f"({top})" if "+" in top else top
    upper = f"1/(1/{beside} + 1/Rf)" if fail_safe else top
    return Worked(
        name=f"{stage}/{end}",
        group=GROUP,
        about=stage,
        what=f"grid volts at the {end} end",
        symbol="Vg",
        formula=f"Vn·{share}/({foot} + {upper})",
        given=given,
        unit="V",
        closed=given[0].value * below / (below + above),
        solved=solved,
        why="the formula takes the supply as it is at the present setting; it moves a little with the setting",
        source="voltage divider",
    )


def _dissipation(netlist: Netlist, results: Results) -> Iterator[Worked]:
    """Plate and screen of the output tubes; tubes that stand alike share a row."""
    alike: dict[tuple[str, ...], list[str]] = {}
    for ref in netlist.power_sections:
        point = results.nominal.sections.get(ref)
        if point is not None:
            same = (point.plate_volts, point.plate_amps, point.screen_volts or 0.0, point.screen_amps or 0.0)
            key = tuple(f"{value:.6g}" for value in same)
            alike.setdefault(key, []).append(ref)
    for refs in alike.values():
        point, rating = results.nominal.sections[refs[0]], netlist.by_section[refs[0]].section.rating()
        each = " and ".join(refs) if len(refs) == 1 else f"each of {', '.join(refs)}"
        yield _product(refs[0], each, "plate", point.plate_volts, point.plate_amps, point.plate_watts)
        if rating is not None and rating.plate_watts is not None:
            yield _share(refs[0], each, "plate", point.plate_watts, rating.plate_watts, rating.system)
        if point.screen_volts is not None and point.screen_amps is not None:
            yield _product(refs[0], each, "screen", point.screen_volts, point.screen_amps, point.screen_watts)
            if rating is not None and rating.screen_watts is not None and point.screen_watts is not None:
                yield _share(refs[0], each, "screen", point.screen_watts, rating.screen_watts, rating.system)


def _product(ref: str, each: str, electrode: str, volts: float, amps: float, watts: float | None) -> Worked:
    a, b = ("Va", "Ia") if electrode == "plate" else ("Vg2", "Ig2")
    return Worked(
        name=f"{ref}/{electrode}-watts",
        group=GROUP,
        about=ref,
        what=f"{electrode} dissipation of {each} at idle",
        symbol="Pa" if electrode == "plate" else "Pg2",
        formula=f"{a}·{b}",
        given=(Given(a, volts, "V", "to the cathode"), Given(b, amps, "A", ref)),
        unit="W",
        closed=volts * amps,
        solved=watts,
        source="volts times amps, no signal",
    )


def _share(ref: str, each: str, electrode: str, watts: float, limit: Cited, system: str) -> Worked:
    symbol = "Pa" if electrode == "plate" else "Pg2"
    return Worked(
        name=f"{ref}/{electrode}-share",
        group=GROUP,
        about=ref,
        what=f"share of the {electrode} rating of {each}, {system}",
        symbol="p",
        formula=f"100·{symbol}/Pmax",
        given=(Given(symbol, watts, "W", "solved"), Given("Pmax", limit.value, "W", "library")),
        unit="%",
        closed=100.0 * watts / limit.value,
        source=f"rating: {limit.source}",
    )


def _load(netlist: Netlist, results: Results) -> Iterator[Worked]:
    load, transformer = results.load, next(netlist.of(OutputTransformer), None)
    if load is None or transformer is None:
        return
    tap = next((t for t in transformer.taps if t.pin == load.tap), None)
    point = next((results.nominal.sections[r] for r in netlist.power_sections if r in results.nominal.sections), None)
    if tap is None or point is None:
        return
    ohms = speaker_tap(netlist, transformer)[1]
    count = sum(1 for _ in netlist.of(Speaker))
    yield Worked(
        name="load/reflected",
        group=GROUP,
        about=transformer.ref,
        what="load plate to plate" if load.topology == "push-pull" else "load of the plate",
        symbol="Raa" if load.topology == "push-pull" else "Ra",
        formula="n²·Z",
        given=(
            Given("n", tap.turns_ratio, "x", f"primary to tap {tap.pin}"),
            Given("Z", ohms, "ohm", "speaker" if count < 2 else f"{count} speakers together"),
        ),
        unit="ohm",
        closed=tap.turns_ratio**2 * ohms,
        solved=load.load_ohms,
        source="ideal transformer; winding resistance apart",
    )
    yield _power(netlist, load, point)
    if results.copper is not None:
        loss = results.copper
        yield Worked(
            name="load/speaker-power",
            group=GROUP,
            about=transformer.ref,
            what="clean power at the speaker",
            symbol="Ps",
            formula="P·(1 − a − b)",
            given=(
                Given("P", load.clean_watts, "W", "at the primary"),
                Given("a", loss.primary_share, "x", "stays in the primary's copper"),
                Given("b", loss.secondary_share, "x", "stays in the secondary's copper"),
            ),
            unit="W",
            closed=load.clean_watts * (1.0 - loss.primary_share - loss.secondary_share),
            solved=results.speaker_watts,
            source="resistances of one divider, as in class A",
        )
    alike = tubes_aside(netlist)
    if load.class_b_watts is not None and load.class_b_watts > point.plate_watts:  # less than at idle: not the bound of a pair this hot
        yield Worked(
            name="load/class-b",
            group=GROUP,
            about=transformer.ref,
            what="most plate dissipation of one tube under sine drive, class B",
            symbol="P",
            formula="4·Vb²/(π²·Raa)" if alike == 1 else "4·Vb²/(π²·Raa·N)",
            given=(
                Given("Vb", point.plate_volts, "V", "plate to cathode at idle"),
                Given("Raa", load.load_ohms, "ohm", "reflected load"),
                *((Given("N", alike, "x", "tubes on a side"),) if alike > 1 else ()),
            ),
            unit="W",
            closed=4.0 * point.plate_volts**2 / (math.pi**2 * load.load_ohms * alike),
            solved=load.class_b_watts,
            source=HANDBOOK,
        )
    if load.least_henries is not None:
        yield Worked(
            name="load/henries",
            group=GROUP,
            about=transformer.ref,
            what=f"primary inductance for {BASS_HERTZ:.0f} Hz",
            symbol="L",
            formula="1/((1/R + 1/rp)·2π·f)",
            given=(
                Given("R", load.load_ohms, "ohm", "reflected load"),
                Given("rp", load.plate_ohms, "ohm", "plate resistance across it"),
                Given("f", BASS_HERTZ, "Hz", "low E of a guitar"),
            ),
            unit="H",
            closed=1.0 / ((1.0 / load.load_ohms + 1.0 / load.plate_ohms) * 2.0 * math.pi * BASS_HERTZ),
            solved=load.least_henries,
            source="standard algebra, 3 dB down",
        )


def _power(netlist: Netlist, load: OutputLoad, point: SectionPoint) -> Worked:
    """The clean-power estimate by the formula the solver took, with its numbers; the knee is read back from it."""
    pair = load.topology == "push-pull"
    r = Given("Raa" if pair else "Ra", load.load_ohms, "ohm", "reflected load")
    volts = Given("Vb" if pair else "Va", point.plate_volts, "V", "plate to cathode at idle")
    if load.formula.startswith("Ia²"):
        alike = tubes_aside(netlist)
        share = screen_share(netlist, netlist.by_section[netlist.power_sections[0]])
        amps = alike * primary_amps(point, share)
        idle = f"{'plate and screen, ' if share == 1.0 else ''}idle{f', {alike} tubes' if alike > 1 else ''}"
        given, formula = (Given("Ia", amps, "A", idle), r), "Ia²·Ra/2"
        closed = amps**2 * load.load_ohms / 2.0
    else:
        share = 2.0 if pair else 0.5
        knee = point.plate_volts - math.sqrt(load.clean_watts * load.load_ohms / share)
        given = (volts, Given("Vknee", knee, "V", "by the tube law, grid at 0 V"), r)
        formula = "2·(Vb − Vknee)²/Raa" if pair else "(Va − Vknee)²/(2·Ra)"
        closed = share * (point.plate_volts - knee) ** 2 / load.load_ohms
    return Worked(
        name="load/power",
        group=GROUP,
        about=load.tap,
        what="clean power at the primary, estimate",
        symbol="P",
        formula=formula,
        given=given,
        unit="W",
        closed=closed,
        solved=load.clean_watts,
        source=HANDBOOK,
    )


def _feedback(netlist: Netlist, results: Results) -> Iterator[Worked]:
    loop, stage = results.feedback, next(iter(netlist.stages_of("feedback")), None)
    if loop is None or stage is None:
        return
    series, shunt = resistor(netlist, stage, "resistor"), resistor(netlist, stage, "shunt")
    if series is None or shunt is None:
        return
    share = shunt.ohms / (shunt.ohms + series.ohms)
    yield Worked(
        name=f"{stage.id}/share",
        group=GROUP,
        about=stage.id,
        what="share of the speaker's volts fed back",
        symbol="β",
        formula="R2/(R1 + R2)",
        given=(Given("R2", shunt.ohms, "ohm", shunt.ref), Given("R1", series.ohms, "ohm", series.ref)),
        unit="x",
        closed=share,
        solved=gain_of(results, stage.id),
        why="the stage's own cathode current flows through R2 too",
        source="voltage divider",
    )
    yield Worked(
        name=f"{stage.id}/loop",
        group=GROUP,
        about=stage.id,
        what="what closing the loop takes away, at 1 kHz",
        symbol="F",
        formula="20·log(Ao/Ac)",
        given=(Given("Ao", loop.gain_open, "x", "input to speaker, loop open"), Given("Ac", loop.gain_closed, "x", "as built")),
        unit="dB",
        closed=20.0 * math.log10(loop.gain_open / loop.gain_closed),
        solved=loop.loop_db,
        source="definition of the feedback factor",
    )
    yield from _presence(netlist, series, shunt)


def _presence(netlist: Netlist, series: Resistor, shunt: Resistor) -> Iterator[Worked]:
    stage = next(iter(netlist.stages_of("presence")), None)
    part = capacitor(netlist, stage, "capacitor") if stage else None
    if stage is None or part is None:
        return
    yield Worked(
        name=f"{stage.id}/corner",
        group=GROUP,
        about=stage.id,
        what="where the feedback begins to fall, control fully clockwise",
        symbol="f",
        formula="1/(2π·C·R1·R2/(R1 + R2))",
        given=(
            Given("C", part.farads, "F", part.ref),
            Given("R1", series.ohms, "ohm", series.ref),
            Given("R2", shunt.ohms, "ohm", shunt.ref),
        ),
        unit="Hz",
        closed=1.0 / (2.0 * math.pi * part.farads * parallel(series.ohms, shunt.ohms)),
        source=CORNER + "; the stage's own current neglected",
    )


def _drive(netlist: Netlist, results: Results) -> Iterator[Worked]:
    """Input for full drive by the product of the stage gains from the first jack down to the output grids; not through other channels."""
    found = results.sensitivity
    if found is None:
        return
    signal = ("preamp", "inverter")
    picked: dict[str, float] = {}
    reached = {netlist.input_net}
    for row in results.gains:
        if netlist.stage(row.stage).section in signal and row.stage not in picked and row.from_net in reached:
            picked[row.stage] = row.gain
            reached.add(row.to_net)
    product = math.prod(picked.values())
    if not picked or product <= 0.0:
        return
    given = tuple(Given(f"A{k}", gain, "x", stage) for k, (stage, gain) in enumerate(picked.items(), 1))
    yield Worked(
        name="drive/input",
        group=GROUP,
        about="input",
        what="input rms for full drive of the output grids, controls as they stand",
        symbol="Vin",
        formula=f"Vg/(√2·{'·'.join(g.symbol for g in given)})",
        given=(Given("Vg", found.drive_peak_volts, "V", "bias of the output tubes, peak"), *given),
        unit="V",
        closed=found.drive_peak_volts / (math.sqrt(2.0) * product),
        solved=found.volts_rms,
        why="stoppers before the output grids, and volts between grid and cathode rather than to ground",
        source="product of the solved gains",
    )

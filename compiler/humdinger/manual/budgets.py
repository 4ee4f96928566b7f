"""Tables of the design notes that are no formulas: B+ nodes, windings, heaters, heat, gain of the chain, tremolo over its control, stress."""

from __future__ import annotations

import math

from ..analysis.results import LoopLevel, Results
from ..circuit.netlist import Netlist, Pot, Resistor
from ..units import show_amps, show_decibels, show_ohms
from . import keys, words
from .kit import describe
from .model import Block, Cell, Facts, Link, Row, Table, Text, num, t, txt

NONE = num("–")


def supply_table(netlist: Netlist, results: Results) -> Table:
    """Every B+ node: volts in play and cold, ripple, time constant of its section."""
    sections = {d.node: d for d in results.decouplers}
    rows = []
    for net in netlist.b_plus:
        ripple = results.nominal.ripple_volts_pp.get(net)
        section = sections.get(net)
        rows.append(
            Row(
                (
                    txt(net),
                    num(words.volts(results.nominal.volts[net]), keys.node("nominal", net)),
                    num(words.ripple_volts(ripple), keys.node("nominal", net, "ripple_volts_pp")) if ripple is not None else NONE,
                    num(words.seconds(section.seconds), keys.at("decouplers", net, "seconds")) if section else NONE,
                    num(words.volts(results.operating["no-tubes-high"].volts[net]), keys.node("no-tubes-high", net)),
                ),
                anchor=f"supply-{net}",
            )
        )
    note = "Cold: no tubes, mains at the insulation corner; what every capacitor on the node must stand."
    columns = ("Node", "Nominal", "Ripple, peak to peak", "Time constant", "Cold")
    return Table("B+ from the rectifier outwards", columns, tuple(rows), note, "supply-nodes")


def windings_table(results: Results) -> Table:
    """Every secondary: load at idle and at full drive against its rating."""
    rows = []
    for w in results.windings:
        row = ("windings", f"{w.transformer}/{w.winding}")
        full = w.full_drive_percent
        rows.append(
            Row(
                (
                    txt(w.winding),
                    num(words.volts(w.volts), keys.at(*row, "volts_rms")),
                    num(words.amps(w.rms_amps), keys.at(*row, "amps_rms")),
                    num(words.amps(w.dc_amps), keys.at(*row, "dc_amps")) if w.dc_amps is not None else NONE,
                    num(show_amps(w.rated_amps), keys.at(*row, "rated_amps")),
                    txt(w.basis),
                    num(words.percent(w.percent), keys.at(*row, "percent")) if w.percent is not None else NONE,
                    num(words.percent(full), keys.at(*row, "full_drive_percent")) if full is not None else NONE,
                    num(words.volt_amps(w.volt_amps), keys.at(*row, "volt_amps")),
                ),
                anchor=f"winding-{w.winding}",
            )
        )
    note = "Volt-amps: rated volts times rms current, both halves of a tapped winding. Full drive: sine, the supply taken as stiff."
    columns = ("Winding", "Rated volts", "Rms", "Direct", "Rated", "Rating means", "Loaded", "At full drive", "Load")
    return Table("Load on the windings, nominal mains", columns, tuple(rows), note, "winding-loads")


def heaters_table(results: Results) -> Table:
    """Every heater winding: its consumers, its load, and volts at the three corners."""
    rows = []
    for h in results.heaters:
        corners = (
            num(words.volts(h.volts[c]), keys.at("heater_windings", h.winding, "volts_rms", c)) if c in h.volts else NONE
            for c in ("low", "nominal", "high")
        )
        rows.append(
            Row(
                (
                    txt(h.winding),
                    txt(", ".join(f"{ref} {words.amps(amps)}" for ref, amps in h.consumers) or "nothing"),
                    num(words.amps(h.load_amps), keys.at("heater_windings", h.winding, "load_amps_rms")),
                    num(show_amps(h.rated_amps), keys.at("heater_windings", h.winding, "rated_amps_rms")),
                    *corners,
                ),
                anchor=f"heater-{h.winding}",
            )
        )
    columns = ("Winding", "Feeds", "Load", "Rated", "Low mains", "Nominal", "High mains")
    guess = [h.winding for h in results.heaters if not h.regulation_known]
    note = f"{', '.join(guess)}: no-load volts and resistance are not given, so the volts are the rated ones." if guess else ""
    return Table("Heaters", columns, tuple(rows), note, "heater-loads")


def heat_table(netlist: Netlist, results: Results) -> Table:
    """Where the watts go that come in through the inlet, at idle."""
    mains = results.mains
    rows = [
        Row((txt("Heaters"), num(words.watts(mains.heater_watts), keys.at("mains", "heater_watts")))),
        Row((txt("B+, all of it"), num(words.watts(mains.high_tension_watts), keys.at("mains", "high_tension_watts")))),
    ]
    for ref in netlist.power_sections:
        point = results.nominal.sections.get(ref)
        if point is not None:
            rows.append(Row((txt(f"of this the plate of {ref}"), num(words.watts(point.plate_watts), keys.section(ref, "plate_watts")))))
        if point is not None and point.screen_watts is not None:
            rows.append(Row((txt(f"of this the screen of {ref}"), num(words.watts(point.screen_watts), keys.section(ref, "screen_watts")))))
    rows.append(Row((txt("Losses of the transformer"), num(words.watts(mains.loss_watts), keys.at("mains", "loss_watts")))))
    rows.append(Row((txt("All, as heat in the cabinet"), num(words.watts(mains.watts), keys.at("mains", "watts")))))
    note = "At idle; under drive a part of the B+ power goes to the speaker. Losses: 10 % of the load (common practice, 5 to 15 %)."
    return Table("Where the heat goes", ("What", "Watts"), tuple(rows), note, "heat")


def mains_facts(results: Results) -> Facts:
    """The primary."""
    mains = results.mains
    pairs: list[tuple[str, Text]] = [
        ("Mains at idle", t(f"{words.amps(mains.primary_rms_amps)} rms, {words.volt_amps(mains.volt_amps)}")),
    ]
    if mains.full_drive_rms_amps is not None:
        pairs.append(("At full drive", t(f"{words.amps(mains.full_drive_rms_amps)} rms")))
    return Facts(tuple(pairs))


def gains_table(results: Results) -> Table:
    """Stage by stage."""
    rows = []
    for g in results.gains:
        row = ("gains", f"{g.stage}/{g.to_net}")
        rows.append(
            Row(
                (
                    txt(g.stage),
                    txt(g.from_net),
                    txt(g.to_net),
                    num(f"{words.computed(g.gain):g}", keys.at(*row, "gain_ratio")),
                    num(show_decibels(g.gain_db), keys.at(*row, "gain_db")) if g.gain > 0.0 else NONE,
                    num(f"{round(g.phase_degrees) + 0}°", keys.at(*row, "phase_degrees")),
                ),
                anchor=f"gain-{g.stage}-{g.to_net}",
            )
        )
    note = "At 1 kHz, controls at their default positions, each stage as loaded in the amp."
    return Table("Gain, stage by stage", ("Stage", "From", "To", "Gain", "In dB", "Phase"), tuple(rows), note, "gains")


def chain_facts(results: Results) -> list[Block]:
    """What the whole chain does."""
    pairs: list[tuple[str, Text]] = []
    found, loop, pair = results.sensitivity, results.feedback, results.inverter
    if found is not None:
        pairs.append(("Input for full drive", t(f"{words.volts(found.volts_rms)} rms as the controls stand")))
        pairs.append(("With every volume full", t(f"{words.volts(found.volts_rms_full)} rms")))
    line = results.line_out
    if line is not None and line.volts_rms is not None:
        pairs.append(
            (f"Line out {line.jack}", t(f"{words.volts(line.volts_rms)} rms at the clean power, from {words.ohms(line.source_ohms)}"))
        )
    for level in results.loops:
        pairs += [(name, t(said)) for name, said in loop_words(level)]
    if results.bass_corner_hertz is not None:
        pairs.append(
            ("Bass corner", t(f"{words.hertz(results.bass_corner_hertz)}, the corners of the coupling capacitors summed (upper bound)"))
        )
    if pair is not None:
        pairs.append(("Inverter balance", t(f"{words.percent(100.0 * pair.imbalance)}, side a against side b")))
    if loop is not None:
        gains = f"{words.computed(loop.gain_open):g} open, {words.computed(loop.gain_closed):g} closed"
        pairs.append(("Feedback", t(f"{show_decibels(loop.loop_db)} over {loop.resistor}; gain input to speaker {gains}")))
    right = sum(1 for pole in results.poles if pole.real > 0.0)
    if results.poles:
        stable = "none on the unstable side" if not right else f"{right} on the unstable side: it oscillates"
        pairs.append(("Stability", t(f"{len(results.poles)} poles, {stable}; nominal, tremolo off")))
    return [Facts(tuple(pairs))] if pairs else []


def loop_words(level: LoopLevel) -> list[tuple[str, str]]:
    """An effects loop's jacks and what a device finds there."""
    rows = []
    if level.send_volts_rms is not None:
        rows.append(
            (f"Send {level.send_jack}", f"{words.volts(level.send_volts_rms)} rms at full drive, from {words.ohms(level.send_ohms)}")
        )
    if level.return_volts_rms is not None:
        rows.append(
            (
                f"Return {level.return_jack}",
                f"{words.volts(level.return_volts_rms)} rms for full drive, into {words.ohms(level.return_ohms)}",
            )
        )
    if level.device_gain:
        rows.append(
            (
                f"Between {level.send_jack} and {level.return_jack}",
                f"a device of {show_decibels(20.0 * math.log10(level.device_gain))} leaves the loudness as it is",
            )
        )
    return rows


def tremolo_blocks(results: Results) -> list[Block]:
    """The oscillator over its control, and what arrives."""
    tremolo = results.tremolo
    if tremolo is None:
        return []
    rows = []
    for k, p in enumerate(tremolo.points):
        row = ("tremolo", "positions", k)
        rows.append(
            Row(
                (
                    num(f"{10 * p.position:.0f}"),
                    num(words.hertz(p.hertz), keys.at(*row, "hertz")),
                    num(f"{words.computed(p.gain_required):g}", keys.at(*row, "gain_required")),
                    num(f"{words.computed(p.gain_available):g}", keys.at(*row, "gain_available")),
                    num(f"{words.computed(p.margin):g}", keys.at(*row, "margin_ratio")),
                    txt("starts" if p.starts else "does not start"),
                )
            )
        )
    note = (
        "Rate: where the loop's phase is 0; at margins of 2 and more the running oscillator is 5 to 15 % slower (seen on circuits stepped "
        "through time). Margin: gain of a tube aged to 0.7 of its transconductance over the gain needed."
    )
    columns = (tremolo.speed_control or "Position", "Rate", "Gain needed", "Gain there is", "Margin, aged tube", "Pole test")
    return [Facts(_tremolo_facts(results)), Table("Oscillator over the speed control", columns, tuple(rows), note, "oscillator")]


def _tremolo_facts(results: Results) -> tuple[tuple[str, Text], ...]:
    tremolo = results.tremolo
    assert tremolo is not None
    pairs = [("Rate", t(f"{words.hertz(tremolo.slow_hertz)} to {words.hertz(tremolo.fast_hertz)}"))]
    if tremolo.worst_margin is not None and tremolo.worst_position is not None:
        worst = f"{words.computed(tremolo.worst_margin):g} at {10 * tremolo.worst_position:g}"
        pairs.append(("Least margin", t(f"{worst}: worst tolerances, heaters at 90 %, aged tube")))
    if tremolo.start_seconds is not None:
        pairs.append(("Slowest start", t(words.seconds(tremolo.start_seconds))))
    if tremolo.available_peak_volts is not None:
        need = f", {words.volts(tremolo.needed_peak_volts)} needed for 6 dB" if tremolo.needed_peak_volts is not None else ""
        point = tremolo.injection.replace("-", " ")
        pairs.append(("At the output grids", t(f"{words.volts(tremolo.available_peak_volts)} peak{need}; injection at the {point}")))
    if (run := tremolo.running) is not None:
        depth = f"{words.computed(run.depth_db):g} dB from softest to loudest; m = {words.computed(run.depth):g}"
        pairs.append(("Depth", t(f"{depth}: intensity full, slowest rate, 1 kHz; injection: {tremolo.injection.replace('-', ' ')}")))
        if (cell := run.cell) is not None:
            ohms = f"{show_ohms(words.computed(cell.bright_ohms))} bright, {show_ohms(words.computed(cell.dark_ohms))} dark"
            rest = f"{show_ohms(words.computed(cell.rest_ohms))} with the tremolo off"
            pairs.append(
                (f"Cell {cell.ref}", t(f"{ohms}, {rest}; diode up to {show_amps(words.computed(cell.most_amps))}; taken to follow at once"))
            )
        pairs.append(("At the speaker without signal", t(f"{words.volts(run.idle_output_peak_volts)} peak of the slow wave")))
    return tuple(pairs)


def stress_table(netlist: Netlist, results: Results) -> Table:
    """Every resistor, pot and capacitor: the worst it sees at no signal."""
    rows = []
    for stress in results.stresses.values():
        part = netlist.by_ref.get(stress.ref)
        if part is None:
            continue
        hot = isinstance(part, Resistor | Pot)
        row = ("worst_stress", stress.ref)
        watts: tuple[Cell, Cell] = (NONE, txt("–"))
        if hot:
            watts = (num(words.watts(stress.worst_watts), keys.at(*row, "worst_watts")), txt(words.state(stress.watts_condition)))
        rows.append(
            Row(
                (
                    txt(Link(stress.ref, "kit", f"part-{stress.ref}")),
                    txt(describe(part)),
                    *watts,
                    num(words.chart_volts(stress.worst_volts), keys.at(*row, "worst_volts")),
                    txt(words.state(stress.volts_condition)),
                ),
                anchor=f"stress-{stress.ref}",
            )
        )
    columns = ("Part", "What", "Watts", "In state", "Volts", "In state")
    return Table("Dissipation and volts, no signal", columns, tuple(rows), anchor="stress-parts")

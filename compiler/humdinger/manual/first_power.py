"""First power: lamp in series and no tubes, then tube by tube, each step with what to expect and when to stop."""

from __future__ import annotations

import math
from collections.abc import Iterator

from ..analysis.results import FirstPower, MainsChart, Results
from ..analysis.stacks import node_rating
from ..circuit.heating import heater_feed, series_pairs
from ..circuit.netlist import GROUND, Netlist, OutputTransformer, Pot, PowerTransformer, Resistor, Switch, Tube, Winding
from ..layout import Layout
from ..units import show_decibels, show_ohms, show_volts, show_watts
from . import keys, words
from .bias import bias_trimmers
from .chart import PARTS_PERCENT, controls_text
from .consumables import load_watts
from .first_tubes import idle_blocks, output_blocks
from .model import BLANK, BOX, Block, Caution, Cell, Facts, Heading, Items, Link, Page, Paragraph, Row, Strong, Table, Text, num, t, txt
from .terminals import Where, terminal_text

COLUMNS = ("No.", "Measure", "Between", "Expect", "Low", "High", "Stop if", "Measured", "Pass")
KINDS = ("heater", "bias", "high-tension")
"""The order in which windings are read: what cannot kill first."""
EQUAL_PERCENT = 3
"""Halves of a high-tension winding (common practice)."""
LATE = 1.5
"""Times the computed decay: tolerance of capacitors (common practice)."""
REACTION_SECONDS = 3.0
"""What a person with a watch may be late."""
TENFOLD = 10.0
"""The trial resistor, in feedback resistors; results.json gives the fall for it."""
TRIAL_WATTS = 1.0
"""Watts at the speaker at which feedback is tried (common practice)."""


def first_power_page(netlist: Netlist, results: Results, caution: Caution, wait: int | None, layout: Layout | None = None) -> Page | None:
    """The steps; None without the numbers they need. wait: the waiting time of the safety sheet, seconds."""
    first = results.first_power
    if first is None or "no-tubes" not in results.charts:
        return None
    steps = tuple(_steps(netlist, results, first, Where(netlist, layout)))
    blocks: list[Block] = [
        caution,
        Paragraph(
            t(
                "Every box of ",
                Link("before power", "before-power"),
                " is ticked. Take the steps in order and skip none. A step that does not pass ends the day: make it dead, find the cause, start "
                f"again at the first step. Pass: from low to high. With tubes in, parts and tubes add ±{PARTS_PERCENT} % to both (common practice); beyond that, "
                "but short of Stop if, nothing more goes in until you know why. ",
                Strong("Every reading: "),
                "clip on dead, stand clear, power, read, off, discharge, move.",
            )
        ),
        Heading("Ready at the bench", "ready"),
        Facts(tuple(_ready(netlist, results, first, wait))),
    ]
    for letter, (title, anchor, body) in zip("BCDEFGHIJ", steps, strict=False):
        blocks += [Heading(f"{letter}. {title}", anchor), *_numbered(letter, body)]
    return Page("first-power", "First power", "From the first glow of the limiter lamp to a set idle current.", tuple(blocks), live=True)


def _numbered(letter: str, body: list[Block]) -> Iterator[Block]:
    """Readings numbered through the step: B.1, B.2 ... (B1 is a node, C1 a part); the first cell of such a row is empty until here."""
    count = 0
    for block in body:
        if not isinstance(block, Table) or block.columns[0] != "No.":
            yield block
            continue
        rows = []
        for row in block.rows:
            count += 1
            rows.append(Row((num(f"{letter}.{count}"), *row.cells[1:]), row.anchor, row.state))
        yield Table(block.caption, block.columns, tuple(rows), block.note, block.anchor)


def _ready(netlist: Netlist, results: Results, first: FirstPower, wait: int | None) -> Iterator[tuple[str, Text]]:
    load = f"this amp takes {words.computed(first.volt_amps):g} VA at idle; the bulb is once to twice that (common practice)"
    if first.limiter_watts is None:
        yield "Limiter", t(f"no bulb is large enough: {load}. Use a variable transformer with an ammeter in its line.")
    else:
        yield (
            "Limiter lamp",
            t(Strong(show_watts(first.limiter_watts)), f" filament bulb, {show_volts(_nominal(results))}, in the line: {load}"),
        )
    yield "Upstream", t("residual-current device of 30 mA; a switch within reach that is not on the amp")
    yield "Mains meter", t("a plug-in meter between limiter and amp: no probe ever goes to the mains side")
    tap = results.load.tap if results.load else ""
    speaker = next((p for p in netlist.parts if hasattr(p, "sensitivity_db")), None)
    if results.load is not None and speaker is not None:
        watts = load_watts(results.load)
        ohms = show_ohms(getattr(speaker, "ohms", 0.0))
        yield "Load", t(f"{ohms} resistor for {watts:g} W or more (twice the clean output, common practice) at the {tap} Ω tap")
    yield (
        "Between readings",
        t(
            "power off, plug out, ",
            f"wait {wait} s, " if wait is not None else "",
            "meter every capacitor node, as ",
            Link("the safety sheet", "safety", "dead"),
            " says",
        ),
    )
    yield "Controls", t(controls_text(netlist, results, trimmers=False))
    if bias_trimmers(netlist):
        yield "Bias trimmer", t(Strong("at its coldest end"), " until a step says otherwise")
    resistor = _loop_resistor(netlist)
    if results.feedback is not None and resistor is not None and first.feedback_tenfold_db is not None:
        yield (
            "To try the feedback",
            t(f"one resistor of {show_ohms(TENFOLD * resistor.ohms)}, half a watt, with two clip leads soldered on"),
        )


def _loop_resistor(netlist: Netlist) -> Resistor | None:
    stage = next(iter(netlist.stages_of("feedback")), None)
    part = netlist.by_ref.get(stage.parts.get("resistor", "")) if stage else None
    return part if isinstance(part, Resistor) else None


def _nominal(results: Results) -> float:
    return results.nominal.condition.mains_volts


def _steps(netlist: Netlist, results: Results, first: FirstPower, where: Where) -> Iterator[tuple[str, str, list[Block]]]:
    """Title, anchor, blocks of each step this amp has."""
    rectifiers = [tube for tube in netlist.of(Tube) if tube.type.is_rectifier]
    yield "Lamp in, every tube out", "no-tubes", _no_tubes(netlist, results, first, rectifiers, where)
    if rectifiers:
        yield "Rectifier tube in", "rectifier", _rectifier(netlist, results, rectifiers, where)
    yield "Small tubes in", "small-tubes", _small_tubes(netlist, results, first, where)
    yield "Output tubes in", "output-tubes", output_blocks(netlist, results, first)
    yield "Idle current", "idle", idle_blocks(netlist, results)
    balance = [pot for pot in netlist.of(Pot) if pot.role.endswith("hum-balance")]
    if balance:
        yield "Hum balance", "hum-balance", _hum_balance(balance)
    if results.feedback is not None:
        yield "Feedback: the right way round", "feedback", _feedback(netlist, results, first)
    yield "Whistles above hearing", "parasitics", _parasitics()


def _no_tubes(netlist: Netlist, results: Results, first: FirstPower, rectifiers: list[Tube], where: Where) -> list[Block]:
    refs = ", ".join(tube.ref for tube in rectifiers)
    supply = f"Every tube out, the rectifier {refs} too: there is no B+ yet." if rectifiers else "Every tube out. B+ is there at once."
    blocks: list[Block] = [
        Items(
            (
                t(supply, " Limiter lamp in. Lid of the mains side on."),
                t(
                    "Stand clear. Power on. The lamp flashes and goes dark, or nearly. ",
                    Strong("It stays bright: off at once."),
                    " A short.",
                ),
                t("Nothing smokes, ticks or hums loudly for a minute. Then off, dead, first clip on."),
            ),
            ordered=True,
        ),
        _windings(netlist, first),
    ]
    if first.cold_bias_volts:
        blocks.append(_cold_bias(netlist, first))
    if not rectifiers:
        blocks += [*_b_plus(netlist, results, where), _chart_1(netlist, results)]
    return blocks


def _chart_1(netlist: Netlist, results: Results) -> Block:
    """Without the lamp, and with the trimmer where the chart has it: no output tube is in."""
    chart = Link("chart 1", "chart", "chart-no-tubes")
    steps = [t("Calm, and every box ticked: off, dead, lamp out of the line."), *_turned(netlist, results, "no-tubes")]
    steps.append(t("Full mains: take ", chart, "."))
    steps += _turned_back(netlist)
    steps.append(t("Dead again, and the lamp back in before the next step."))
    return Items(tuple(steps), ordered=True)


def _turned(netlist: Netlist, results: Results, state: str) -> Iterator[Text]:
    """The trimmer to where charts 1 and 2 were solved; its grids say when it is there."""
    names = {c.ref: c for c in netlist.controls}
    for pot in bias_trimmers(netlist):
        control = names.get(pot.ref)
        if control is None:
            continue
        grids = [section for ref in netlist.power_sections if (section := netlist.by_section[ref]).grid in results.charts[state].volts]
        seen = ""
        if grids:
            chart, net = results.charts[state], grids[0].grid
            volts = chart.metered_volts.get(net, chart.volts[net][chart.nominal])
            seen = f", read {grids[0].ref}'s grid, and again, dead every time, until it shows about {words.volts(volts)} at nominal mains"
        yield t(f"No output tube in? Then, dead, turn {control.name} to about {10 * control.position:g} tenths of its turn{seen}.")


def _turned_back(netlist: Netlist) -> Iterator[Text]:
    if bias_trimmers(netlist):
        yield t("Off, dead: ", Strong("turn the bias trimmer back to its coldest end"), ".")


def _hum_balance(pots: list[Pot]) -> list[Block]:
    names = ", ".join(pot.control or pot.ref for pot in pots)
    rows = [
        Row((num(""), txt(what), BLANK, txt("rises at both sides of the middle: the best is there" if k else "–"), BOX))
        for k, what in enumerate(("hum over the load, trimmer in the middle", "hum over the load, at its best"))
    ]
    return [
        Items(
            (
                t(f"Volume at zero, load connected, true rms meter over the load, put on while dead. {names} in the middle."),
                t("Read. Off, dead, a little to one side, read again; the other side; then on towards the lower reading."),
                t("The lowest reading is where it stays. No least at all: a heater wire is wrong, or the hum comes from elsewhere."),
            ),
            ordered=True,
        ),
        Table("Hum", ("No.", "Measure", "Measured", "Note", "Pass"), tuple(rows), "Alternating volts, rms.", "first-hum"),
    ]


def _windings(netlist: Netlist, first: FirstPower) -> Table:
    """Heater volts at every socket, high tension half by half to its tap; unloaded."""
    rows: list[Row] = []
    for transformer in netlist.of(PowerTransformer):
        for winding in sorted(transformer.windings, key=lambda w: KINDS.index(w.kind)):
            key = f"{transformer.ref}/{winding.name}"
            found = first.unloaded_volts_rms.get(key)
            if found is None:
                continue
            for k, (what, between, stop) in enumerate(_places(netlist, transformer, winding)):
                low, expect, high = found
                cells = [
                    num(words.volts(v), keys.at("first_power", "unloaded_volts_rms", key, at))
                    for v, at in ((expect, 1), (low, 0), (high, 2))
                ]
                rows.append(
                    Row(
                        (num(""), txt(what), txt(between), *cells, txt(stop), BLANK, BOX),
                        anchor=f"first-{transformer.ref}-{winding.name}-{k}",
                    )
                )
    guess = " Where the spec gives no volts without load: 5 to 15 % above rated (common practice)." if first.estimated else ""
    halves = any(w.centre_tapped and w.kind == "high-tension" for x in netlist.of(PowerTransformer) for w in x.windings)
    tapped = " High tension: each half to the tap, never end to end, which is twice the volts." if halves else ""
    note = f"Alternating volts, rms, nothing loads the windings. Low and high: the ends of the mains.{tapped}{guess}"
    return Table("Alternating volts", COLUMNS, tuple(rows), note, "first-alternating")


def _outer(netlist: Netlist, ref: str, joint: str) -> str:
    """A heater pin of a tube that is not on the joint of its pair."""
    tube = netlist.by_ref[ref]
    assert isinstance(tube, Tube)
    wired = heater_feed(tube)
    assert wired is not None
    nets, connection = wired
    return str((connection.side_b_pins if nets[0] == joint else connection.side_a_pins)[0])


def _places(netlist: Netlist, transformer: PowerTransformer, winding: Winding) -> Iterator[tuple[str, str, str]]:
    """What, between which terminals, when to stop: for every reading of a winding."""
    ends = [pin for pin in (winding.pins[0], winding.pins[2]) if pin]
    if winding.kind == "heater":
        nets = {transformer.net(pin) for pin in ends}
        for tube in netlist.of(Tube):
            pins = {p.name: p.net for p in tube.pins}
            for connection in tube.type.heaters:
                a = [str(n) for n in connection.side_a_pins if pins.get(str(n)) in nets]
                b = [str(n) for n in connection.side_b_pins if pins.get(str(n)) in nets]
                if a and b and {pins[a[0]], pins[b[0]]} == nets:
                    yield f"heater of {tube.ref}", f"{tube.ref} pins {a[0]} and {b[0]}", "outside low to high"
                    break
        for pair in series_pairs(netlist):
            if pair.winding == winding.name:
                pins = (f"{ref} pin {_outer(netlist, ref, pair.joint)}" for ref in pair.refs)
                yield f"heaters of {pair.refs[0]} and {pair.refs[1]} in series", " and ".join(pins), "outside low to high"
        return
    if winding.centre_tapped:
        tap = terminal_text(transformer.ref, winding.pins[1], netlist)
        for letter, pin in zip("ab", ends, strict=False):
            yield f"HT, half {letter}", f"{terminal_text(transformer.ref, pin, netlist)} to {tap}", f"halves over {EQUAL_PERCENT} % apart"
    elif winding.kind == "bias":
        yield "bias winding", " to ".join(terminal_text(transformer.ref, pin, netlist) for pin in ends), "outside low to high"


def _cold_bias(netlist: Netlist, first: FirstPower, *, small: bool = False) -> Table:
    """The output grids, their tubes out, before the small tubes are in and, with a trimmer, once more after chart 2."""
    rows = []
    field, mark = ("cold_bias_small_volts", "-back") if small else ("cold_bias_volts", "")
    for ref, found in (first.cold_bias_small_volts if small else first.cold_bias_volts).items():
        section = netlist.by_section[ref]
        tube = netlist.by_ref[section.tube]
        pin = next((p.name for p in tube.pins if p.net == section.grid), "")
        order = sorted(range(3), key=lambda k: abs(found[k]))
        cells = [num(words.volts(found[k]), keys.at("first_power", field, ref, k)) for k in (1, order[0], order[2])]
        stop = f"less negative than {words.volts(found[order[0]])}"
        at = f"{terminal_text(tube.ref, pin, netlist)} to ground"
        rows.append(Row((num(""), txt(f"bias at {ref}"), txt(at), *cells, txt(stop), BLANK, BOX), anchor=f"first-bias{mark}-{ref}"))
    trimmed = bool(bias_trimmers(netlist))
    where = ", bias trimmer at its coldest end" if trimmed else ""
    note = f"Direct volts{where}, as a meter of 10 MΩ shows them. Every output grid pin has to show it: a grid without bias costs its tube."
    if small:
        return Table("Bias trimmer back at its coldest end, small tubes in", COLUMNS, tuple(rows), note, "first-bias-back")
    if trimmed:
        note += " Turn the trimmer once to its hot end and back with the amp dead, and read again: it must return."
    return Table("Bias, before any output tube is in", COLUMNS, tuple(rows), note, "first-bias")


def _b_plus(netlist: Netlist, results: Results, where: Where) -> list[Block]:
    """B+ against the ratings, then the decay."""
    return [_ratings(netlist, results, where, "no-tubes"), _decay(netlist, results, where)]


def _ratings(netlist: Netlist, results: Results, where: Where, state: str) -> Table:
    """Each B+ node scaled to the highest mains, against its capacitor."""
    chart = results.charts[state]
    worst = results.operating["no-tubes-high"]
    corner = worst.condition.mains_volts
    rows = []
    for net in netlist.b_plus:
        rated = node_rating(netlist, net)
        limit = show_volts(rated) if rated else "–"
        rows.append(
            Row(
                (
                    num(""),
                    txt(net),
                    txt(where.probe(net)),
                    *_of(chart, state, net),
                    num(words.volts(worst.volts[net]), keys.at("conditions", "no-tubes-high", "nodes", net, "dc_volts")),
                    num(limit),
                    BLANK,
                    BLANK,
                    BOX,
                ),
                anchor=f"first-{state}-{net}",
            )
        )
    note = (
        f"Direct volts to circuit ground. Expect, low, high: at full mains; behind the lamp a little less. Scaled: reading × {show_volts(corner)} ÷ mains on the plug-in meter at that moment. Stop if the scaled "
        "value passes the capacitor's rating. The lamp takes some mains away: these readings go nowhere but here, never into a voltage chart."
    )
    columns = ("No.", "Node", "Probe", "Expect", "Low", "High", f"Cold, {show_volts(corner)}", "Capacitor", "Measured", "Scaled", "Pass")
    return Table("B+ against its capacitors", columns, tuple(rows), note, f"first-ratings-{state}")


def _of(chart: MainsChart, state: str, net: str) -> list[Cell]:
    last = len(chart.mains_volts) - 1
    return [num(words.volts(chart.volts[net][k]), keys.at("charts", state, "dc_volts", net, k)) for k in (chart.nominal, 0, last)]


def _decay(netlist: Netlist, results: Results, where: Where) -> Table:
    rows = []
    for d in results.discharges:
        if d.kind == "signal":
            continue
        key = keys.at("discharges", "+".join(d.capacitors), "seconds")
        at = netlist.nets[d.net if d.net != GROUND else d.minus].label or d.net
        limit = num(f"{words.seconds(d.seconds)}", key) if d.seconds is not None else txt("never by itself")
        late = None if d.seconds is None else math.ceil(max(LATE * d.seconds, d.seconds + REACTION_SECONDS))
        stop = "always discharge by hand" if late is None else f"over {late} s"
        probe = where.probe(d.net if d.net != GROUND else d.minus)
        rows.append(Row((num(""), txt(at), txt(probe), limit, txt(stop), BLANK, BOX), anchor=f"first-decay-{d.net}-{d.capacitors[0]}"))
    note = (
        "Meter clipped on; switch off and count the seconds until it falls through 60 V. At most: from the highest mains, tubes out. Longer, but "
        "not yet Stop if: capacitors above their marking (common practice: up to 20 %, some 50 %); write it down. Over Stop if: a bleeder is open, "
        "and the waiting time of this amp is not true."
    )
    return Table(
        "Decay after switch-off", ("No.", "Node", "Probe", "At most", "Stop if", "Measured", "Pass"), tuple(rows), note, "first-decay"
    )


def _rectifier(netlist: Netlist, results: Results, rectifiers: list[Tube], where: Where) -> list[Block]:
    refs = " and ".join(tube.ref for tube in rectifiers)
    standby = ", standby in PLAY" if any(s.where == "standby" for s in netlist.of(Switch)) else ""
    return [
        Items(
            (
                t(f"Dead. {refs} in its socket, no other tube. Lamp still in{standby}."),
                t(
                    "Power on from a distance: B+ climbs as the tube warms. No flash inside it, no blue arc, lamp dim. ",
                    Strong("Else off."),
                ),
            ),
            ordered=True,
        ),
        *_b_plus(netlist, results, where),
        _chart_1(netlist, results),
    ]


def _small_tubes(netlist: Netlist, results: Results, first: FirstPower, where: Where) -> list[Block]:
    power = {netlist.by_section[ref].tube for ref in netlist.power_sections}
    small = [tube.ref for tube in netlist.of(Tube) if tube.ref not in power and not tube.type.is_rectifier]
    blocks: list[Block] = [
        Items(
            (
                t(f"Dead. {', '.join(small)} in. Output tubes still out. Lamp in."),
                t(
                    "Power on. Every heater glows within a minute; nothing arcs, nothing smells; the lamp glows, then dims. ",
                    Strong("Else off."),
                ),
                t("Five minutes calm: the first table of this step, lamp still in. Then off, dead, lamp out of the line."),
                *(_turned(netlist, results, "small-tubes") if "small-tubes" in results.charts else ()),
                t("Full mains: take ", Link("chart 2", "chart", "chart-small-tubes"), "."),
                *_turned_back(netlist),
                *(
                    (t("Read the last table of this step: the trimmer is at its cold end, and every output grid shows it."),)
                    if first.cold_bias_small_volts
                    else ()
                ),
                t("Dead again, and the lamp back in before the next step."),
            ),
            ordered=True,
        )
    ]
    if "small-tubes" in results.charts:
        blocks.append(_ratings(netlist, results, where, "small-tubes"))
    if first.cold_bias_small_volts:
        blocks.append(_cold_bias(netlist, first, small=True))
    return blocks


def _feedback(netlist: Netlist, results: Results, first: FirstPower) -> list[Block]:
    loop = results.feedback
    assert loop is not None
    part = netlist.by_ref[loop.resistor]
    assert isinstance(part, Resistor)
    start = math.sqrt(TRIAL_WATTS * next((way.ohms for way in results.speaker_loads), 8.0))
    transformer = next(netlist.of(OutputTransformer), None)
    pair = transformer is not None and transformer.topology == "push-pull"
    swap = "swap the two plate leads of the output transformer, on the dead amp" if pair else "swap the two primary leads, on the dead amp"
    rows = []
    for what, drop, key in (
        (
            f"{show_ohms(TENFOLD * part.ohms)} in place of {part.ref}",
            first.feedback_tenfold_db,
            keys.at("first_power", "feedback_tenfold_db"),
        ),
        (f"{part.ref} itself, {show_ohms(part.ohms)}", loop.loop_db, keys.at("feedback", "loop_db")),
    ):
        if drop is None:
            continue
        expect = num(f"{show_decibels(words.computed(drop))} less", key)
        volts = words.volts(start * 10.0 ** (-drop / 20.0))
        rows.append(Row((num(""), txt(what), expect, num(f"to {volts}"), txt("rises, howls, motor-boats"), BLANK, BOX)))
    return [
        Items(
            (
                t(
                    f"Feedback still open. Load connected. 1 kHz in, up until the load has {words.volts(start)} rms: 1 W. Leave the generator there."
                ),
                t(
                    f"Off, dead. One lead of {part.ref} off. {show_ohms(TENFOLD * part.ohms)} in its place, and the wire that closes the loop on. "
                    "Generator as it was, hand on the switch, power on."
                ),
                t(
                    f"The output must fall. Falls as the table says: off, dead, {part.ref} back on in place of the trial resistor, and read again."
                ),
                t("Rises, howls or motor-boats: off at once, dead, and ", swap, ". Never the secondary's leads. Begin this step again."),
            ),
            ordered=True,
        ),
        Table(
            "Level at the load when feedback closes",
            ("No.", "Closed with", "Expect", "From 1 W", "Stop if", "Measured", "Pass"),
            tuple(rows),
            "At 1 kHz, controls as above but the volume where 1 W was. Computed on the amp as it stands.",
            "first-feedback",
        ),
    ]


def _parasitics() -> list[Block]:
    return [
        Items(
            (
                t("Oscilloscope of 20 MHz or more over the load, its ground clip on circuit ground only, put on while dead."),
                t("No signal: turn every control slowly through its whole range. The trace stays a line."),
                t("1 kHz, up to clipping and back: no fuzz on the tops of the wave, no bursts, at any setting."),
                t(
                    "Anything else: off, dead. Shorten grid wires, put the stoppers on the pins, part plate from grid wires (common practice)."
                ),
            ),
            ordered=True,
        ),
        Table(
            "Parasitic oscillation",
            ("No.", "Look", "Stop if", "Pass"),
            tuple(
                Row((num(""), txt(what), txt("any burst or fuzz"), BOX)) for what in ("every control swept, no signal", "1 kHz at clipping")
            ),
            anchor="first-parasitics",
        ),
        Paragraph(t("All boxes ticked: take charts 3 and 4 of ", Link("the voltage chart", "chart", "chart-nominal"), ".")),
    ]

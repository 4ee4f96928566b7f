"""Bench test: a sine into a dummy load, what the oscilloscope shows, power, symmetry, response, tremolo."""

from __future__ import annotations

from collections.abc import Iterator

from ..analysis.results import LargeSignal, PowerPoint, Results
from ..circuit.netlist import LEVELS, Jack, Netlist
from ..units import show_hertz, show_ohms
from . import keys, words
from .chart import tremolo_stopped
from .consumables import load_watts
from .model import (
    BLANK,
    BOX,
    Block,
    Caution,
    Facts,
    Figure,
    Gallery,
    Heading,
    Items,
    Link,
    Page,
    Paragraph,
    Row,
    Strong,
    Table,
    Text,
    num,
    t,
    txt,
)

POWER_PERCENT = 20
"""Of the computed power where clipping begins; an eye-judged clip is no better than 1 dB (common practice)."""
PAIR_PERCENT, SINGLE_PERCENT = 10, 30
"""Difference of the crests over their sum (common practice)."""
RESPONSE = (50.0, 80.0, 125.0, 250.0, 500.0, 1000.0, 2000.0, 4000.0, 8000.0, 15000.0)
RESPONSE_DB = 3.0
RATE_PERCENT = 20
"""Of the computed tremolo rate (common practice)."""
QUIET_MILLIVOLTS = 5
"""Hum and noise at the load with the volume at 0: acceptable up to here (common practice)."""
NAMES = {
    "clipping": "a flat begins to show",
    "distortion-0.05": "5 % distortion",
    "distortion-0.1": "10 % distortion",
    "most": "four times full drive",
}
TITLES = {
    "half": "Half of that input: a sine, or nearly",
    "clipping": "Where a flat begins to show",
    "most": "Four times full drive",
}


def bench_test_page(netlist: Netlist, results: Results, caution: Caution) -> Page | None:
    """None where no drive sweep was found."""
    sweep = results.large_signal
    if sweep is None or sweep.point("clipping") is None:
        return None
    blocks: list[Block] = [
        caution,
        Paragraph(
            t(
                "Every reading here is taken at the load, outside the chassis: ",
                Strong("the lid is on"),
                ". ",
                Link("First power", "first-power"),
                " and the ",
                Link("chart", "chart"),
                " are passed and the amp has run for fifteen minutes (common practice).",
            )
        ),
        Heading("Ready at the bench", "ready"),
        Facts(tuple(_ready(netlist, results, sweep))),
        Heading("Power", "power"),
        Items(
            (
                t("Turn the generator up until the top or the bottom of the sine begins to flatten. Read the load's volts, true rms."),
                t("Power is volts squared over the load's ohms. Write both down, with the mains volts at that moment."),
                t("A few seconds at a time: the load gets hot, and so do the screens."),
            ),
            ordered=True,
        ),
        _power(results, sweep),
        Gallery("At the load, oscilloscope coupled for direct volts", "waves", tuple(_waves(sweep))),
        _symmetry(netlist, results, sweep),
        Heading("What moves with the signal", "moves"),
        Paragraph(t("For whoever wonders why: nothing here is to be probed while the amp is driven.")),
        _moving(netlist, sweep),
        _watts(netlist, results, sweep),
        *_response_blocks(netlist, results),
        *_tremolo_blocks(results),
        Heading("Noise", "noise"),
        _noise(netlist),
    ]
    return Page(
        "bench-test", "Bench test", "A sine into a resistor: power, shape, response, before a speaker is heard.", tuple(blocks), live=True
    )


def _ready(netlist: Netlist, results: Results, sweep: LargeSignal) -> Iterator[tuple[str, Text]]:
    if results.load is not None:
        yield (
            "Load",
            t(
                f"{show_ohms(sweep.load_ohms)} resistor for {load_watts(results.load):g} W or more in the speaker's place, {results.load.tap} Ω tap"
            ),
        )
    source = next((j.ref for j in netlist.of(Jack) if j.purpose == "input"), "")
    yield "Generator", t(f"sine of {show_hertz(sweep.hertz)} into {source}" if source else f"sine of {show_hertz(sweep.hertz)}")
    volumes = {ref for kind in LEVELS for stage in netlist.stages_of(kind) for ref in stage.parts.values()}
    said = [
        f"{c.name} at {10 * sweep.controls.get(c.name, c.position):g}"
        for c in netlist.controls
        if c.ref in volumes or c.name in sweep.controls
    ]
    if results.tremolo is not None:
        said.append(tremolo_stopped(netlist))
    yield "Controls", t(", ".join(said))
    yield (
        "Oscilloscope",
        t("across the load, its ground clip on the side that is circuit ground; no second ground from the generator's mains lead"),
    )
    yield "Computed", t("nominal mains, tubes of the library, a resistor for the speaker")


def _key(index: int, *names: str) -> str:
    return keys.at("large_signal", "points", index, "level", *names)


def _power(results: Results, sweep: LargeSignal) -> Table:
    rows = []
    for index, point in enumerate(sweep.points):
        if point.name not in NAMES:
            continue
        level = point.level
        band = (1.0 - POWER_PERCENT / 100.0, 1.0 + POWER_PERCENT / 100.0)
        rows.append(
            Row(
                (
                    txt(NAMES[point.name]),
                    num(words.volts(level.input_volts_rms), _key(index, "input_volts_rms")),
                    num(words.volts(level.output_volts_rms), _key(index, "output_volts_rms")),
                    num(words.volts(level.crest_up_volts + level.crest_down_volts)),
                    num(words.watts(level.watts), _key(index, "watts")),
                    num(words.percent(100.0 * level.distortion), _key(index, "distortion_ratio")),
                    num(f"{words.watts(band[0] * level.watts)} to {words.watts(band[1] * level.watts)}"),
                    BLANK,
                    BOX,
                ),
                anchor=f"power-{point.name.replace('.', '')}",
            )
        )
    columns = ("Level", "At the input, rms", "At the load, rms", "Peak to peak", "Power", "Distortion", "Good", "Measured", "Pass")
    note = (
        f"Good: ±{POWER_PERCENT} %, for a flat judged by eye (common practice). A flat is taken to show where the wave stays near a crest half "
        "as long again as a sine does. Distortion: harmonics over the fundamental."
    )
    return Table("Power into the load", columns, tuple(rows), note, "power-table")


def _waves(sweep: LargeSignal) -> Iterator[Figure]:
    from ..drawing.oscillogram import oscillogram

    for point in sweep.points:
        if point.name in TITLES:
            title = f"{TITLES[point.name]}: {words.volts(point.level.input_volts_rms)} rms in, {words.watts(point.level.watts)} out"
            plot = oscillogram(f"wave-{point.name}", title, point.wave, 1.0 / sweep.hertz)
            yield Figure(plot.name, plot.title, plot.svg, plot.width_mm, plot.height_mm)


def _symmetry(netlist: Netlist, results: Results, sweep: LargeSignal) -> Table:
    pair = results.load is not None and results.load.topology == "push-pull"
    limit = PAIR_PERCENT if pair else SINGLE_PERCENT
    rows = []
    for name in ("clipping", "most"):
        found = _find(sweep, name)
        if found is None:
            continue
        index, point = found
        level = point.level
        rows.append(
            Row(
                (
                    txt(NAMES[name]),
                    num(words.volts(level.crest_up_volts), _key(index, "crest_up_volts")),
                    num(words.volts(level.crest_down_volts), _key(index, "crest_down_volts")),
                    num(words.percent(100.0 * abs(level.asymmetry))),
                    num(f"{limit} %" if name == "clipping" else "–"),
                    BLANK,
                    BOX if name == "clipping" else txt(""),
                )
            )
        )
    kind = "a pair" if pair else "one tube, which clips one side first"
    note = f"Difference over sum of the crests; the limit is that of {kind} (common practice)."
    return Table(
        "Symmetry", ("Level", "Crest up", "Crest down", "Difference", "At most", "Measured", "Pass"), tuple(rows), note, "symmetry"
    )


def _find(sweep: LargeSignal, name: str) -> tuple[int, PowerPoint] | None:
    return next(((k, p) for k, p in enumerate(sweep.points) if p.name == name), None)


def _shown(sweep: LargeSignal) -> list[tuple[int, PowerPoint]]:
    return [found for name in ("clipping", "most") if (found := _find(sweep, name)) is not None]


def _moving(netlist: Netlist, sweep: LargeSignal) -> Table:
    shown = _shown(sweep)
    rows = []
    for net, idle in sweep.idle_volts.items():
        cells = [num(words.chart_volts(p.level.mean_volts[net]), _key(k, "mean_dc_volts", net)) for k, p in shown]
        label = netlist.nets[net].label or net
        rows.append(Row((txt(label), num(words.chart_volts(idle), keys.at("large_signal", "idle_dc_volts", net)), *cells), nets=(net,)))
    columns = ("Node", "No signal", *(NAMES[p.name] for _, p in shown))
    note = (
        "Mean volts to circuit ground. B+ falls because the tubes draw more; a cathode rises, and a grid that draws current goes negative."
    )
    return Table("Supply and bias", columns, tuple(rows), note, "moving")


def _watts(netlist: Netlist, results: Results, sweep: LargeSignal) -> Table:
    shown = _shown(sweep)
    rows = []
    for ref in netlist.power_sections:
        rating = netlist.by_section[ref].section.rating()
        point = results.nominal.sections[ref]
        for what, idle, limit in (
            ("plate", point.plate_watts, rating.plate_watts if rating else None),
            ("screen", point.screen_watts, rating.screen_watts if rating else None),
        ):
            if idle is None:
                continue
            driven = [(k, p.level.plate_watts if what == "plate" else p.level.screen_watts) for k, p in shown]
            cells = [num(words.watts(watts[ref]), _key(k, f"{what}_watts", ref)) for k, watts in driven]
            rated = num(words.watts(float(limit)) if limit else "–")
            rows.append(
                Row((txt(f"{ref} {what}"), num(words.watts(idle), keys.section(ref, f"{what}_watts")), *cells, rated), parts=(ref,))
            )
    columns = ("Element", "No signal", *(NAMES[p.name] for _, p in shown), "Rating")
    note = "Mean dissipation. A screen over its rating for the length of a chord is usual practice, for the length of a test it is not (common practice)."
    return Table("Dissipation of the output tubes", columns, tuple(rows), note, "dissipation")


def _response_blocks(netlist: Netlist, results: Results) -> list[Block]:
    found = next((r for r in results.responses if r.net == netlist.output_net), None)
    if found is None:
        return []
    rows = []
    middle = found.decibels_at(1000.0)
    for hertz in RESPONSE:
        value = found.decibels_at(hertz) - middle
        rows.append(Row((num(show_hertz(hertz)), num(f"{value:+.1f} dB".replace("-", "−")), BLANK, BOX)))
    said = ", ".join(f"{name} at {10 * position:g}" for name, position in found.controls.items())
    note = f"Small signal, {said}. Against 1 kHz; good within {RESPONSE_DB:g} dB (common practice). Keep the load below a tenth of the clipping power."
    return [
        Heading("Response", "response"),
        Table("From the input to the load", ("Frequency", "Against 1 kHz", "Measured", "Pass"), tuple(rows), note, "response-table"),
    ]


def _tremolo_blocks(results: Results) -> list[Block]:
    if results.tremolo is None:
        return []
    rows = [
        Row(
            (
                txt(what),
                num(words.hertz(rate), keys.at("tremolo", key)),
                num(f"{_ten_beats(rate, 1.0)} to {_ten_beats(rate, -1.0)} s"),
                BLANK,
                BOX,
            )
        )
        for what, rate, key in (
            ("slowest", results.tremolo.slow_hertz, "slow_hertz"),
            ("fastest", results.tremolo.fast_hertz, "fast_hertz"),
        )
    ]
    note = f"Count ten beats of the sine's height on a slow sweep. Good: ±{RATE_PERCENT} % of the computed rate (common practice)."
    return [
        Heading("Tremolo", "tremolo"),
        Table(
            "Rate at the ends of the speed control",
            ("Position", "Rate", "Ten beats take", "Measured", "Pass"),
            tuple(rows),
            note,
            "tremolo-rate",
        ),
    ]


def _ten_beats(rate: float, sign: float) -> str:
    """Seconds of ten beats at an end of the good rates."""
    return f"{10.0 / (rate * (1.0 + sign * RATE_PERCENT / 100.0)):.1f}"


def _noise(netlist: Netlist) -> Table:
    volumes = [c.name for c in netlist.controls if any(c.ref in s.parts.values() for kind in LEVELS for s in netlist.stages_of(kind))]
    name = ", ".join(volumes) or "guitar turned"
    rows = [
        Row((txt(f"{name} at 0, nothing plugged in"), num(f"{QUIET_MILLIVOLTS} mV"), BLANK, BOX)),
        Row((txt(f"{name} at 10, nothing plugged in"), num("–"), BLANK, BOX)),
    ]
    note = "True rms at the load, 20 Hz to 20 kHz. The limit is common practice, it is not computed; at full volume the reading is for the record."
    return Table("Hum and noise", ("Setting", "At most", "Measured", "Pass"), tuple(rows), note, "noise-table")

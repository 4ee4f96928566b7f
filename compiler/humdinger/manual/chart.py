"""The voltage charts: what each node shows without tubes, with the small tubes, at nominal mains, and at the mains one really has."""

from __future__ import annotations

from collections.abc import Iterator

from ..analysis.probing import METER_OHMS, READABLE_VOLTS
from ..analysis.results import MainsChart, Results
from ..analysis.stacks import node_rating
from ..circuit.netlist import GROUND, LEVELS, Jack, Netlist, Resistor, Switch, Tube
from ..layout import Layout
from ..units import show_hertz, show_ohms, show_volts
from . import keys, words
from .alternating import alternating_table
from .bias import bias_blocks, bias_trimmers
from .model import BLANK, BOX, Block, Caution, Cell, Facts, Heading, Items, Link, Page, Paragraph, Row, Table, num, t, txt
from .probes import refusals
from .terminals import Where

CHARTS = (
    ("no-tubes", "Chart 1: no tubes", "every tube out"),
    ("small-tubes", "Chart 2: small tubes only", "the output tubes out, all others in and warm; B+ stands near its cold value"),
    ("nominal", "Chart 3: nominal", "every tube in and warm, load connected"),
)
"""State, title, what is in the sockets."""

ORDER = ("supply", "bias", "signal", "heater", "speaker")
PARTS_PERCENT = 10
"""What parts and tubes add to the band of the mains, until bands from tolerances are computed (common practice)."""
STATES = (
    ("no-tubes", "No tubes"),
    ("small-tubes", "Small tubes only"),
    ("nominal", "Nominal"),
    ("low", "Low mains"),
    ("high", "High mains"),
)
"""Conditions of the alternating volts."""


def chart_page(netlist: Netlist, results: Results, caution: Caution, layout: Layout | None = None) -> Page:
    """Conditions, four charts, the zero nodes, tube by tube, bias, alternating volts."""
    where = Where(netlist, layout)
    blocks: list[Block] = [
        caution,
        Heading("Conditions", "conditions"),
        _conditions(netlist, results),
        _record(),
        Heading("How to read the charts", "columns"),
        Items(
            (
                t("Charts 1, 2 and 3 are the order of ", Link("first power", "first-power"), ". Never take one through the limiter lamp."),
                t(
                    "Every node: clip on dead, stand clear, power, read, off, discharge, move. A node that may not be probed has no box; its row "
                    "says what to read instead."
                ),
                t(
                    "Low and high: the node with the mains at either end of the region's range, solved. "
                    "They say where the node goes with the mains; they are not what it may miss by."
                ),
                t(
                    f"Pass: within {PARTS_PERCENT} % of what the node is at the mains you read (common practice for parts and tubes; bands from "
                    "the tolerances of the parts are not computed yet). At nominal mains that is Expect, or Meter shows where it says a number; "
                    "between nominal and an end go in proportion to Low or High."
                ),
                t(
                    f"Meter shows: the node with a meter of {show_ohms(METER_OHMS)} on it, solved with the meter in the circuit; given where the "
                    "meter moves the node by more than 1 %. An old meter of 1 MΩ or of 20 kΩ per volt moves far more nodes: do not use one."
                ),
                t("Read the mains first. Away from nominal use chart 4. Where the pins are: ", Link("socket views", "sockets"), "."),
            )
        ),
    ]
    for state, title, what in CHARTS:
        if state in results.charts:
            blocks += [
                Heading(title, f"chart-{state}"),
                Paragraph(t(*_sockets(netlist, state, what))),
                _table(netlist, results, state, where),
            ]
    if refused := _refused(netlist, results, where):
        blocks.append(refused)
    blocks += [
        _zero_table(netlist, results, where),
        Heading("Chart 4: for the mains you have", "chart-mains"),
        *_scaled(netlist, results, where),
        Heading("Tube by tube", "by-tube"),
        _sections(netlist, results),
        *bias_blocks(netlist, results),
        Heading("Alternating volts", "ac"),
        alternating_table(netlist, results, tuple((name, title) for name, title in STATES if name in results.operating)),
    ]
    return Page(
        "chart", "Voltage chart", "Four charts: every node in every state, with room for what you measured.", tuple(blocks), live=True
    )


def _sockets(netlist: Netlist, state: str, what: str) -> Iterator[str]:
    """What is in the sockets, and where the trimmer of a fixed bias stands while its tubes are out."""
    rectifiers = " and ".join(tube.ref for tube in netlist.of(Tube) if tube.type.is_rectifier)
    kept = f" but the rectifier {rectifiers}, without which there is no B+" if state == "no-tubes" and rectifiers else ""
    yield f"{what[0].upper()}{what[1:]}{kept}."
    if state != "nominal" and bias_trimmers(netlist):
        yield " The bias trimmer as the conditions say, for this chart only: it goes back to its coldest end before an output tube goes in."


def _conditions(netlist: Netlist, results: Results) -> Facts:
    mains = results.nominal.condition.mains_volts
    pairs = [
        ("Mains", t(f"{show_volts(mains)} rms, {show_hertz(netlist.mains_hertz)}; range {_range(netlist)}")),
        *_tap(netlist),
        ("Meter", t(f"{show_ohms(METER_OHMS)}, direct volts; true rms for the alternating ones")),
        ("Reference", t("circuit ground, black clip, put on first")),
        ("Signal", t("none: input jack empty, which its contact shorts" if _shorted(netlist) else "none: input jack shorted by a plug")),
        ("Controls", t(controls_text(netlist, results))),
    ]
    load = results.load
    if load is not None:
        pairs.append(("Load", t("speaker or load resistor on the speaker's tap, rated for full power")))
    if any(s.where == "standby" for s in netlist.of(Switch)):
        pairs.append(("Standby", t("in PLAY")))
    pairs += [("Warm-up", t("15 minutes for charts 3 and 4 (common practice)")), ("Ambient", t("an ordinary room, 20 to 25 °C"))]
    return Facts(tuple(pairs))


def controls_text(netlist: Netlist, results: Results, *, trimmers: bool = True) -> str:
    """Every control where the charts want it: volumes at zero, the others where they were solved; trimmers: those of the bias too."""
    volumes = {ref for kind in LEVELS for stage in netlist.stages_of(kind) for ref in stage.parts.values()}
    adjusted = {pot.ref for pot in bias_trimmers(netlist)}
    said = []
    for c in netlist.controls:
        if c.ref in adjusted and not trimmers:
            continue
        turn = " tenths of its turn from the coldest end" if c.ref in adjusted else ""
        said.append(f"{c.name} at {0 if c.ref in volumes else 10 * c.position:g}{turn}")
    return ", ".join([*said, *([tremolo_stopped(netlist)] if results.tremolo else [])]) or "none"


def tremolo_stopped(netlist: Netlist) -> str:
    """How a builder stops it: only a pedal does, closed; with its jack empty it runs."""
    jack = next((j.ref for j in netlist.of(Jack) if j.purpose == "footswitch"), None)
    if jack is None:
        return "tremolo stopped (while it runs its own nodes swing: read the middle)"
    return f"tremolo stopped: pedal in {jack} and pressed (with {jack} empty it runs)"


def _range(netlist: Netlist) -> str:
    region = netlist.region
    return f"{show_volts(float(region.low_volts))} to {show_volts(float(region.high_volts))}"


def _tap(netlist: Netlist) -> Iterator[tuple[str, tuple[str, ...]]]:
    stage = next(iter(netlist.stages_of("power-transformer")), None)
    taps = stage.facts.get("primary_taps_volts", ()) if stage else ()
    picked = stage.facts.get("primary_tap_volts") if stage else None
    if isinstance(taps, tuple) and len(taps) > 1 and isinstance(picked, float | int):
        yield "Primary", (f"the {show_volts(float(picked))} winding",)


def _shorted(netlist: Netlist) -> bool:
    return any(j for j in netlist.parts if getattr(j, "purpose", "") == "input" and getattr(j, "switched", False))


def _record() -> Table:
    what = (
        "Mains at the start, V", "Mains at the end, V", "Meter, its input resistance", "Tubes: makes and marks", "Load, Ω",
        "Room, °C", "Date", "Tester",
    )  # fmt: skip
    return Table("Write down before the first reading", ("What", "Value"), tuple(Row((txt(one), BLANK)) for one in what), anchor="record")


def charted_nets(netlist: Netlist, results: Results) -> tuple[str, ...]:
    """The nets the charts have a row for: every solved net but ground and the mains side, with something to clip on. B+ first."""
    solved = results.nominal.volts
    nets = [
        n.name for n in netlist.nets.values() if n.name != GROUND and n.domain in ORDER and n.name in solved and netlist.on_net.get(n.name)
    ]
    others = [n for n in nets if n not in netlist.b_plus]
    return (*netlist.b_plus, *sorted(others, key=lambda n: ORDER.index(netlist.nets[n].domain)))


def _is_zero(chart: MainsChart, net: str) -> bool:
    """Whether a node reads nothing at any mains of a chart."""
    return all(abs(volts) < READABLE_VOLTS for volts in chart.volts.get(net, (0.0,)))


def _zero_everywhere(results: Results, net: str) -> bool:
    return all(_is_zero(chart, net) for chart in results.charts.values())


def _rows_of(netlist: Netlist, results: Results, state: str) -> tuple[str, ...]:
    """The nets a chart asks for: nominal every one that is not zero everywhere, the others what is not zero there."""
    chart, no = results.charts[state], refusals(netlist, results, state)
    nets = (net for net in charted_nets(netlist, results) if net not in no)
    if state == "nominal":
        return tuple(net for net in nets if not _zero_everywhere(results, net))
    return tuple(net for net in nets if not _is_zero(chart, net))


def anchor_of(state: str, net: str) -> str:
    """The anchor of a chart row; the nominal one is the node's own."""
    return f"net-{net}" if state == "nominal" else f"{state}-{net}"


def _table(netlist: Netlist, results: Results, state: str, where: Where) -> Table:
    chart = results.charts[state]
    rows = tuple(
        Row(
            (
                txt(netlist.nets[net].label),
                txt(where.probe(net)),
                *_three(chart, state, net),
                _metered(chart, state, net),
                BLANK,
                BOX,
                txt(_note(netlist, results, state, net)),
            ),
            anchor=anchor_of(state, net),
        )
        for net in _rows_of(netlist, results, state)
    )
    columns = ("Node", "Probe", "Expect", "Low", "High", "Meter shows", "Measured", "Pass", "Note")
    mains = show_volts(chart.nominal_mains_volts)
    note = f"Direct volts to circuit ground, mains {mains}. Low and high: mains {show_volts(chart.mains_volts[0])} and {show_volts(chart.mains_volts[-1])}."
    return Table(f"{len(rows)} nodes", columns, rows, note, "volts" if state == "nominal" else f"volts-{state}")


def _three(chart: MainsChart, state: str, net: str) -> tuple[Cell, Cell, Cell]:
    """Nominal, then the ends of the mains, the one nearer to zero first."""
    volts = chart.volts[net]
    low, high = (0, len(volts) - 1) if abs(volts[0]) <= abs(volts[-1]) else (len(volts) - 1, 0)
    expect, least, most = (
        num(words.chart_volts(volts[k]), keys.at("charts", state, "dc_volts", net, k)) for k in (chart.nominal, low, high)
    )
    return expect, least, most


def _metered(chart: MainsChart, state: str, net: str) -> Cell:
    shown = chart.metered_volts.get(net)
    return num("same") if shown is None else num(words.chart_volts(shown), keys.at("charts", state, "metered_volts", net))


def _note(netlist: Netlist, results: Results, state: str, net: str) -> str:
    """Ripple of a B+ node, and the rating that its volts must never pass."""
    notes = []
    loop = next((stage.parts.get("resistor", "") for stage in netlist.stages_of("feedback")), "")
    resistor = netlist.by_ref.get(loop)
    if state != "nominal" and isinstance(resistor, Resistor) and net in {pin.net for pin in resistor.pins}:
        notes.append(f"computed with {loop} joined; still open in first power, so a little different")
    ripple = results.operating[state].ripple_volts_pp.get(net)
    if ripple is not None and ripple >= words.READABLE_RIPPLE:
        notes.append(f"ripple {words.ripple_volts(ripple)} p-p")
    rated = node_rating(netlist, net)
    if rated and netlist.nets[net].domain in ("supply", "bias"):
        notes.append(f"capacitor {show_volts(rated)}")
    return ", ".join(note.replace(" V", "\u00a0V").replace(" mV", "\u00a0mV").replace("p-p", "p\u2011p") for note in notes)


def _refused(netlist: Netlist, results: Results, where: Where) -> Table | None:
    """Nodes that have volts but must not be probed with every tube in: they have no box."""
    if "nominal" not in results.charts:
        return None
    chart, no = results.charts["nominal"], refusals(netlist, results, "nominal")
    rows = tuple(
        Row(
            (
                txt(netlist.nets[net].label),
                txt(where.probe(net)),
                *_three(chart, "nominal", net),
                txt(no[net][0]),
                txt(no[net][1]),
            ),
            anchor=anchor_of("nominal", net),
        )
        for net in charted_nets(netlist, results)
        if net in no and not _zero_everywhere(results, net)
    )
    if not rows:
        return None
    note = "What stands there, for understanding. No clip goes on these with every tube in; grids that the meter moves are left alone in charts 1 and 2 too."
    columns = ("Node", "At", "Stands at", "Low", "High", "Why not", "Read instead")
    return Table("Nodes that are not probed", columns, rows, note, "not-probed")


def _zero_table(netlist: Netlist, results: Results, where: Where) -> Table:
    """The nodes that must read nothing: a reading there is a leaking coupling capacitor or a wrong wire."""
    rows = tuple(
        Row(
            (
                txt(netlist.nets[net].label),
                txt(where.probe(net)),
                num("0 V", keys.at("charts", "nominal", "dc_volts", net, results.charts["nominal"].nominal)),
                BLANK,
                BOX,
            ),
            anchor=f"net-{net}",
        )
        for net in charted_nets(netlist, results)
        if _zero_everywhere(results, net)
    )
    note = "Zero in every state. More than 0.1 V: a leaking coupling capacitor or a wire in the wrong place (common practice)."
    return Table("Nodes that must read nothing", ("Node", "Probe", "Every state", "Measured", "Pass"), rows, note, "zero")


def _scaled(netlist: Netlist, results: Results, where: Where) -> list[Block]:
    """Every tube in, solved at five mains volts: the mains as measured at the time picks the column."""
    chart = results.charts.get("nominal")
    if chart is None:
        return []
    nominal = show_volts(chart.nominal_mains_volts)
    rows = tuple(
        Row(
            (
                txt(netlist.nets[net].label),
                txt(where.probe(net)),
                *(num(words.chart_volts(v), keys.at("charts", "nominal", "dc_volts", net, k)) for k, v in enumerate(chart.volts[net])),
                BLANK,
                BOX,
            ),
            anchor=f"mains-{net}",
        )
        for net in _rows_of(netlist, results, "nominal")
        if abs(chart.volts[net][chart.nominal]) >= READABLE_VOLTS
    )
    columns = ("Node", "Probe", *(f"{show_volts(v)} mains" for v in chart.mains_volts), "Measured", "Pass")
    text = (
        "Take the column nearest the mains you measured; between two columns go in proportion. Every column is the whole amp solved at that "
        f"mains, not the {nominal} column multiplied: rectifier, bias and tubes do not follow in proportion. To compare a reading with another "
        f"amp's, multiply it by {nominal} over the mains you measured."
    )
    return [Paragraph(t(text)), Table("Every tube in, over the mains", columns, rows, "Direct volts to circuit ground.", "volts-mains")]


def _sections(netlist: Netlist, results: Results) -> Table:
    """Tube by tube, nominal: what the tube sees between its own electrodes."""
    rows = []
    types = {tube.ref: tube.type.name for tube in netlist.of(Tube)}
    for section in netlist.sections:
        point = results.nominal.sections.get(section.ref)
        if section.unused or point is None:
            continue

        def key(field: str, ref: str = section.ref) -> str:
            return keys.at("conditions", "nominal", "sections", ref, field)

        limit = section.section.rating()
        watts = limit.plate_watts if limit else None
        percent = words.percent(100.0 * point.plate_watts / float(watts)) if watts else "–"
        screen = num(words.amps(point.screen_amps), key("screen_amps")) if point.screen_amps is not None else txt("–")
        rows.append(
            Row(
                (
                    txt(section.ref),
                    txt(types[section.tube]),
                    num(words.volts(point.plate_volts), key("plate_volts")),
                    num(words.volts(point.grid_volts), key("grid_volts")),
                    num(words.volts(point.cathode_to_ground_volts), key("cathode_to_ground_volts")),
                    num(words.amps(point.plate_amps), key("plate_amps")),
                    screen,
                    num(words.watts(point.plate_watts), key("plate_watts")),
                    num(percent),
                ),
                anchor=f"tube-{section.ref}",
            )
        )
    columns = ("Section", "Type", "Plate to cathode", "Grid to cathode", "Cathode", "Plate current", "Screen current", "Plate", "Of rating")
    note = "Computed, for understanding: no reading is taken between electrodes."
    return Table("Tubes at idle, nominal mains", columns, tuple(rows), note, "tubes")

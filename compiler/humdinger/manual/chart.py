"""The voltage chart: what each node shows in each state, from the solved operating points."""

from __future__ import annotations

from ..analysis.results import Results
from ..circuit.netlist import GROUND, Netlist, Tube
from ..units import show_amps, show_ohms, show_percent, show_volts, show_watts
from .model import BLANK, BOX, Block, Caution, Cell, Facts, Heading, Items, Link, Page, Paragraph, Row, Strong, Table, num, t, txt
from .wiring import probe_of, terminal_text
from .words import READABLE_VOLTS, chart_volts

COLUMNS = (
    ("no-tubes", "No tubes"),
    ("small-tubes", "Small tubes only"),
    ("low", "Low mains"),
    ("nominal", "Nominal"),
    ("high", "High mains"),
)
"""Condition -> column head, in the order they are met at the bench."""

ORDER = ("supply", "bias", "signal", "heater", "speaker")


def chart_page(netlist: Netlist, results: Results, caution: Caution) -> Page:
    """One table over all states; rows in the order B+ first, then along the signal."""
    region = netlist.region
    blocks: list[Block] = [
        caution,
        Heading("Conditions", "conditions"),
        Facts(
            (
                ("Mains", t(_mains(results))),
                ("Signal", t("none, volume at zero, input jack empty, tremolo stopped")),
                ("Reference", t("circuit ground (black clip), direct volts")),
                ("Load", t("speaker or load resistor connected")),
                ("Warm-up", t("15 minutes for the nominal column")),
                ("Meter", t("10 MΩ; nodes marked indirect are not read at the grid, the meter would shift them")),
                (
                    "Band",
                    t(
                        f"low and high columns: mains at {show_volts(float(region.low_volts))} and {show_volts(float(region.high_volts))}; part tolerances come on top"
                    ),
                ),
            )
        ),
        Items(
            (
                t(Strong("No tubes: "), "every tube out but a rectifier tube; B+ stands at its cold value."),
                t(Strong("Small tubes only: "), "output tubes out; B+ stands near its cold value."),
                t(Strong("Low, nominal, high mains: "), "every tube in, warm."),
            )
        ),
        Paragraph(
            t(
                "Read the mains first and multiply every reading by nominal mains over measured mains. Columns from left to right are "
                "the order of first power: no tubes, small tubes only, all tubes. See ",
                Link("wiring", "wiring"),
                " for the pins.",
            )
        ),
        _table(netlist, results),
        _zero_table(netlist, results),
        _sections(netlist, results),
        Heading("Bias", "bias"),
        *_bias(netlist, results),
    ]
    return Page("chart", "Voltage chart", "Every node, in every state, with room for what you measured.", tuple(blocks), live=True)


def _mains(results: Results) -> str:
    return ", ".join(
        f"{title.lower()} {show_volts(results.operating[name].condition.mains_volts)}"
        for name, title in COLUMNS
        if name in results.operating
    )


def probe_point(netlist: Netlist, net: str) -> str:
    """Where a builder clips on, in the words of the wiring page."""
    found = probe_of(netlist, net)
    return terminal_text(found[0].ref, found[1], netlist) if found else ""


def charted_nets(netlist: Netlist, results: Results) -> tuple[str, ...]:
    """The nets the chart has a row for: every solved net but ground and the mains side, with something to clip on. B+ first."""
    solved = results.nominal.volts
    nets = [
        n.name for n in netlist.nets.values() if n.name != GROUND and n.domain in ORDER and n.name in solved and netlist.on_net.get(n.name)
    ]
    others = [n for n in nets if n not in netlist.b_plus]
    return (*netlist.b_plus, *sorted(others, key=lambda n: ORDER.index(netlist.nets[n].domain)))


def _is_zero(results: Results, net: str) -> bool:
    """Whether a node reads nothing in any state."""
    return all(abs(point.volts.get(net, 0.0)) < READABLE_VOLTS for point in results.operating.values())


def _table(netlist: Netlist, results: Results) -> Table:
    states = [(name, title) for name, title in COLUMNS if name in results.operating]
    rows = []
    for net in charted_nets(netlist, results):
        if _is_zero(results, net):
            continue
        numbers = tuple(_volts(results, name, net) for name, _ in states)
        cells = (txt(netlist.nets[net].label), txt(probe_point(netlist, net)), *numbers, BLANK, BOX, txt(_grid_note(netlist, results, net)))
        rows.append(Row(cells, anchor=f"net-{net}"))
    columns = ("Node", "Probe", *(title for _, title in states), "Measured", "Pass", "Note")
    return Table("Direct volts to circuit ground", columns, tuple(rows), anchor="volts")


def _zero_table(netlist: Netlist, results: Results) -> Table:
    """The nodes that must read nothing: a reading there is a leaking coupling capacitor or a wrong wire."""
    rows = tuple(
        Row(
            (txt(netlist.nets[net].label), txt(probe_point(netlist, net)), num("0 V", f"states.nominal.nodes.{net}.volts"), BLANK, BOX),
            anchor=f"net-{net}",
        )
        for net in charted_nets(netlist, results)
        if _is_zero(results, net)
    )
    note = "Zero in every state. More than 0.1 V: a leaking coupling capacitor or a wire in the wrong place (common practice)."
    return Table("Nodes that must read nothing", ("Node", "Probe", "All states", "Measured", "Pass"), rows, note, "zero")


def _grid_note(netlist: Netlist, results: Results, net: str) -> str:
    """Grids behind more than 100 kΩ are not read directly: the meter would shift them."""
    paths = {p.section: p.effective_ohms for p in results.grid_paths}
    for section in netlist.sections:
        if section.grid == net and paths.get(section.ref, 0.0) > 1e5:
            return f"indirect: {show_ohms(paths[section.ref], 2)} source"
    return ""


def _volts(results: Results, state: str, net: str) -> Cell:
    volts = results.operating[state].volts.get(net)
    return txt("–") if volts is None else num(chart_volts(volts), f"states.{state}.nodes.{net}.volts")


def _bias(netlist: Netlist, results: Results) -> list[Block]:
    """How the output tubes are set, or what they set themselves to."""

    power = [results.nominal.sections[ref] for ref in netlist.power_sections if ref in results.nominal.sections]
    match = t("Cathode currents of a pair: within 10 % of each other, 5 % is good (a test handbook of the 1960s, as quoted).")
    span = results.bias_range
    if span is None:
        rows = [
            t(f"{b.resistor}: {show_volts(b.volts)} across it at nominal mains, {' and '.join(b.sections)}.")
            for b in results.cathode_biases
        ]
        return [Items((*rows, match))]
    cold = ", ".join(f"{ref} {show_percent(x / 100.0, 2)}" for ref, x in span.idle_percent_cold.items())
    hot = ", ".join(f"{ref} {show_percent(x / 100.0, 2)}" for ref, x in span.idle_percent_hot.items())
    mean = sum(p.cathode_amps for p in power) / max(len(power), 1)
    items = (
        t(f"Before the output tubes go in: bias pot to its coldest end. Every output grid must show {show_volts(span.coldest_volts)}."),
        t(f"Turn it over its whole travel: the hottest end shows {show_volts(span.hottest_volts)}. Back to the coldest end."),
        t(f"Output tubes in, load connected, volume at zero. Warm up, then turn slowly until each cathode draws {show_amps(mean, 3)}."),
        t("Over a test resistor of 1 Ω, millivolts are milliamps. Set again after 15 and 30 minutes."),
        match,
        t(f"Idle dissipation at the coldest end: {cold} of the rating; at the hottest end: {hot}. Never leave it there."),
        t(f"A lifting wiper sends the grids to {show_volts(span.wiper_open_volts)}: colder, which is the safe side."),
    )
    return [Items(items, ordered=True)]


def _sections(netlist: Netlist, results: Results) -> Table:
    """Tube by tube, nominal: what the tube sees between its own electrodes."""
    rows = []
    types = {tube.ref: tube.type.name for tube in netlist.of(Tube)}
    for section in netlist.sections:
        point = results.nominal.sections.get(section.ref)
        if section.unused or point is None:
            continue
        key = f"states.nominal.tubes.{section.ref}"
        limit = section.section.rating()
        watts = limit.plate_watts if limit else None
        percent = f"{100 * point.plate_watts / float(watts):.0f} %" if watts else "–"
        screen = num(show_amps(point.screen_amps), f"{key}.screen_amps") if point.screen_amps is not None else txt("–")
        rows.append(
            Row(
                (
                    txt(section.ref),
                    txt(types[section.tube]),
                    num(show_volts(point.plate_volts), f"{key}.plate_to_cathode_volts"),
                    num(show_volts(point.grid_volts), f"{key}.grid_to_cathode_volts"),
                    num(show_volts(point.cathode_to_ground_volts), f"{key}.cathode_volts"),
                    num(show_amps(point.plate_amps), f"{key}.plate_amps"),
                    screen,
                    num(show_watts(point.plate_watts), f"{key}.plate_watts"),
                    num(percent),
                ),
                anchor=f"tube-{section.ref}",
            )
        )
    columns = ("Section", "Type", "Plate to cathode", "Grid to cathode", "Cathode", "Plate current", "Screen current", "Plate", "Of rating")
    return Table("Tubes at idle, nominal mains", columns, tuple(rows), anchor="tubes")

"""The voltage chart: what each node shows in each state, from the solved operating points."""

from __future__ import annotations

from ..analysis.probing import METER_OHMS, READABLE_VOLTS
from ..analysis.results import Results
from ..circuit.netlist import GROUND, Netlist, Tube
from ..units import show_ohms, show_volts
from . import keys, words
from .alternating import alternating_table
from .bias import bias_blocks
from .model import BLANK, BOX, Block, Caution, Cell, Facts, Heading, Items, Link, Page, Paragraph, Row, Strong, Table, num, t, txt
from .wiring import probe_of, terminal_text

COLUMNS = (
    ("no-tubes", "No tubes"),
    ("small-tubes", "Small tubes only"),
    ("nominal", "Nominal"),
    ("low", "Low mains"),
    ("high", "High mains"),
)
"""Condition -> column head: the states in the order they are met at the bench, then the corners of the mains."""

ORDER = ("supply", "bias", "signal", "heater", "speaker")


def chart_page(netlist: Netlist, results: Results, caution: Caution) -> Page:
    """Direct volts over all states, the zero nodes, tube by tube, bias, alternating volts."""
    states = tuple((name, title) for name, title in COLUMNS if name in results.operating)
    blocks: list[Block] = [
        caution,
        Heading("Conditions", "conditions"),
        _conditions(netlist, results),
        Heading("What the columns mean", "columns"),
        Items(
            (
                t(
                    Strong("No tubes: "),
                    "every tube out but a rectifier tube, which stays in: without it there is no B+. B+ stands at its cold value.",
                ),
                t(Strong("Small tubes only: "), "the output tubes out, all others in and warm. B+ stands near its cold value."),
                t(Strong("Nominal: "), "every tube in and warm, mains at its nominal volts."),
                t(Strong("Low mains, high mains: "), "as nominal, with the mains at the ends of the region's range."),
            )
        ),
        Paragraph(
            t(
                "The first three columns from left to right are the order of first power. Read the mains first, and multiply every reading "
                "by nominal mains over measured mains before you compare. Where the pins are: ",
                Link("wiring", "wiring", "sockets"),
                ".",
            )
        ),
        Heading("Direct volts", "direct"),
        _table(netlist, results, states),
        _zero_table(netlist, results),
        Heading("Tube by tube", "by-tube"),
        _sections(netlist, results),
        *bias_blocks(netlist, results),
        Heading("Alternating volts", "ac"),
        alternating_table(netlist, results, states),
    ]
    return Page("chart", "Voltage chart", "Every node, in every state, with room for what you measured.", tuple(blocks), live=True)


def _conditions(netlist: Netlist, results: Results) -> Facts:
    region = netlist.region
    return Facts(
        (
            ("Mains", t(_mains(results))),
            (
                "Signal",
                t(
                    "none, volume at zero, input jack empty, tremolo stopped"
                    if results.tremolo
                    else "none, volume at zero, input jack empty"
                ),
            ),
            ("Reference", t("circuit ground (black clip), direct volts")),
            ("Load", t("speaker or load resistor connected")),
            ("Warm-up", t("15 minutes for the nominal column")),
            (
                "Meter",
                t(
                    f"{show_ohms(METER_OHMS)}. A node marked indirect is one that it moves by more than 1 %: the note says what it then shows"
                ),
            ),
            (
                "Pass",
                t(
                    f"low and high are the band of the mains alone, {show_volts(float(region.low_volts))} to {show_volts(float(region.high_volts))}; "
                    "parts and tubes add ±10 % (common practice; bands from the tolerances of the parts are not computed)"
                ),
            ),
        )
    )


def _mains(results: Results) -> str:
    return ", ".join(
        f"{title.lower()} {show_volts(results.operating[name].condition.mains_volts)}"
        for name, title in COLUMNS
        if name in results.operating
    )


def probe_point(netlist: Netlist, net: str) -> str:
    """Where a builder clips on, in the words of the wiring page, in one line."""
    found = probe_of(netlist, net)
    return terminal_text(found[0].ref, found[1], netlist).replace(" ", "\u00a0") if found else ""


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


def _table(netlist: Netlist, results: Results, states: tuple[tuple[str, str], ...]) -> Table:
    rows = []
    for net in charted_nets(netlist, results):
        if _is_zero(results, net):
            continue
        numbers = tuple(_volts(results, name, net) for name, _ in states)
        cells = (txt(netlist.nets[net].label), txt(probe_point(netlist, net)), *numbers, BLANK, BOX, txt(_meter_note(results, net)))
        rows.append(Row(cells, anchor=f"net-{net}"))
    columns = ("Node", "Probe", *(title for _, title in states), "Measured", "Pass", "Note")
    return Table("Direct volts to circuit ground", columns, tuple(rows), anchor="volts")


def _zero_table(netlist: Netlist, results: Results) -> Table:
    """The nodes that must read nothing: a reading there is a leaking coupling capacitor or a wrong wire."""
    rows = tuple(
        Row(
            (txt(netlist.nets[net].label), txt(probe_point(netlist, net)), num("0 V", keys.node("nominal", net)), BLANK, BOX),
            anchor=f"net-{net}",
        )
        for net in charted_nets(netlist, results)
        if _is_zero(results, net)
    )
    note = "Zero in every state. More than 0.1 V: a leaking coupling capacitor or a wire in the wrong place (common practice)."
    return Table("Nodes that must read nothing", ("Node", "Probe", "All states", "Measured", "Pass"), rows, note, "zero")


def _meter_note(results: Results, net: str) -> str:
    """What the meter shows where it moves the node, at the nominal state."""
    shown = results.metered_volts.get(net)
    return "" if shown is None else f"indirect: a {show_ohms(METER_OHMS)} meter shows {words.chart_volts(shown)}"


def _volts(results: Results, state: str, net: str) -> Cell:
    volts = results.operating[state].volts.get(net)
    return txt("–") if volts is None else num(words.chart_volts(volts), keys.node(state, net))


def _sections(netlist: Netlist, results: Results) -> Table:
    """Tube by tube, nominal: what the tube sees between its own electrodes."""
    rows = []
    types = {tube.ref: tube.type.name for tube in netlist.of(Tube)}
    for section in netlist.sections:
        point = results.nominal.sections.get(section.ref)
        if section.unused or point is None:
            continue
        limit = section.section.rating()
        watts = limit.plate_watts if limit else None
        percent = words.percent(100.0 * point.plate_watts / float(watts)) if watts else "–"
        screen = num(words.amps(point.screen_amps), keys.section(section.ref, "screen_amps")) if point.screen_amps is not None else txt("–")
        rows.append(
            Row(
                (
                    txt(section.ref),
                    txt(types[section.tube]),
                    num(words.volts(point.plate_volts), keys.section(section.ref, "plate_volts")),
                    num(words.volts(point.grid_volts), keys.section(section.ref, "grid_volts")),
                    num(words.volts(point.cathode_to_ground_volts), keys.section(section.ref, "cathode_to_ground_volts")),
                    num(words.amps(point.plate_amps), keys.section(section.ref, "plate_amps")),
                    screen,
                    num(words.watts(point.plate_watts), keys.section(section.ref, "plate_watts")),
                    num(percent),
                ),
                anchor=f"tube-{section.ref}",
            )
        )
    columns = ("Section", "Type", "Plate to cathode", "Grid to cathode", "Cathode", "Plate current", "Screen current", "Plate", "Of rating")
    return Table("Tubes at idle, nominal mains", columns, tuple(rows), anchor="tubes")

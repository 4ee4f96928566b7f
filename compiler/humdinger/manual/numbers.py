"""The results page: supply, windings, gains, tremolo, each with what it was computed from."""

from __future__ import annotations

from ..analysis.results import Results
from ..circuit.netlist import Netlist, Pot, Resistor
from ..units import show_amps, show_decibels, show_number
from . import keys, words
from .describe import describe
from .model import Block, Facts, Heading, Link, Page, Paragraph, Row, Table, num, t, txt


def numbers_page(netlist: Netlist, results: Results) -> Page:
    """Everything that is not a voltage chart."""
    mains = results.mains
    blocks: list[Block] = [
        Heading("B+ nodes", "supply"),
        _supply(netlist, results),
        Heading("Transformer", "transformer"),
        _windings(results),
        _heaters(results),
        Facts(
            (
                (
                    "Mains at idle",
                    t(
                        f"{words.watts(mains.watts)}, {show_number(words.computed(mains.volt_amps))} VA, {words.amps(mains.primary_rms_amps)} rms"
                    ),
                ),
                ("Of which B+", t(words.watts(mains.high_tension_watts))),
                ("Of which heaters", t(words.watts(mains.heater_watts))),
            )
        ),
        Heading("Gain at 1 kHz", "gain"),
        _gains(results),
    ]
    if results.tremolo:
        blocks += [Heading("Tremolo", "tremolo"), *_tremolo(results)]
    blocks += [Heading("Worst stress of each part", "stress"), _stress(netlist, results)]
    return Page("numbers", "Results", "What the compiler computed, and from what.", tuple(blocks))


def _supply(netlist: Netlist, results: Results) -> Table:
    rows = []
    for net in netlist.b_plus:
        nominal = results.nominal
        cold = results.operating["no-tubes-high"]
        rows.append(
            Row(
                (
                    txt(net),
                    num(words.volts(nominal.volts[net]), keys.node("nominal", net)),
                    num(words.ripple_volts(nominal.ripple_volts_pp[net]), keys.node("nominal", net, "ripple_volts_pp"))
                    if net in nominal.ripple_volts_pp
                    else txt("–"),
                    num(words.volts(cold.volts[net]), keys.node("no-tubes-high", net)),
                ),
                anchor=f"supply-{net}",
            )
        )
    note = "Ripple is the first-order estimate I/(2fC) with the conduction correction, then through each RC or LC section. Cold: no tubes, mains at the insulation corner."
    return Table("B+ from the rectifier outwards", ("Node", "Nominal", "Ripple, peak to peak", "Cold"), tuple(rows), note)


def _windings(results: Results) -> Table:
    rows = []
    for w in results.windings:
        row = f"{w.transformer}/{w.winding}"
        rows.append(
            Row(
                (
                    txt(w.winding),
                    num(words.volts(w.volts), keys.at("windings", row, "volts_rms")),
                    num(words.amps(w.rms_amps), keys.at("windings", row, "amps_rms")),
                    num(words.amps(w.dc_amps) if w.dc_amps is not None else "–", keys.at("windings", row, "dc_amps")),
                    num(f"{w.form_factor:.2f}" if w.form_factor else "–", keys.at("windings", row, "form_factor")),
                    num(f"{show_amps(w.rated_amps)} {w.basis}", keys.at("windings", row, "rated_amps")),
                    num(words.percent(w.percent) if w.percent is not None else "–", keys.at("windings", row, "percent")),
                )
            )
        )
    note = "Form factor: rms of the winding's current pulses over the direct current, from the averaged rectifier law."
    return Table(
        "Load on the windings, nominal",
        ("Winding", "Volts", "Rms current", "Direct current", "Form factor", "Rated", "Loaded to"),
        tuple(rows),
        note,
    )


def _heaters(results: Results) -> Table:
    rows = [
        Row(
            (
                txt(h.winding),
                num(words.amps(h.load_amps)),
                num(show_amps(h.rated_amps)),
                *(num(words.volts(h.volts[c]) if c in h.volts else "–") for c in ("low", "nominal", "high")),
            )
        )
        for h in results.heaters
    ]
    return Table("Heaters", ("Winding", "Load", "Rated", "Low mains", "Nominal", "High mains"), tuple(rows))


def _gains(results: Results) -> Table:
    rows = [
        Row(
            (
                txt(g.stage),
                txt(g.from_net),
                txt(g.to_net),
                num(f"{g.gain:.3g}", keys.at("gains", f"{g.stage}/{g.to_net}", "gain_ratio")),
                num(show_decibels(g.gain_db)),
                num(f"{show_number(round(g.phase_degrees))}°"),
            )
        )
        for g in results.gains
    ]
    return Table("Stage by stage, controls at their default positions", ("Stage", "From", "To", "Gain", "In dB", "Phase"), tuple(rows))


def _tremolo(results: Results) -> list[Block]:
    tremolo = results.tremolo
    assert tremolo is not None
    rows = tuple(
        Row(
            (
                num(f"{10 * p.position:.0f}"),
                num(words.hertz(p.hertz)),
                num(f"{p.gain_required:.1f}"),
                num(f"{p.gain_available:.1f}"),
                num(f"{p.margin:.2f}"),
                txt("starts" if p.starts else "does not start"),
            )
        )
        for p in tremolo.points
    )
    text = f"Rate {words.hertz(tremolo.slow_hertz)} to {words.hertz(tremolo.fast_hertz)}, injection at the {tremolo.injection.replace('-', ' ')}."
    return [
        Paragraph(t(text)),
        Table(
            "Oscillator over the speed control", ("Speed", "Rate", "Gain needed", "Gain there is", "Margin, aged tube", "Pole test"), rows
        ),
    ]


def _stress(netlist: Netlist, results: Results) -> Table:
    rows = []
    for stress in results.stresses.values():
        part = netlist.by_ref.get(stress.ref)
        if part is None:
            continue
        hot = isinstance(part, Resistor | Pot)
        rows.append(
            Row(
                (
                    txt(Link(stress.ref, "kit", f"part-{stress.ref}")),
                    txt(describe(part)),
                    num(words.watts(stress.worst_watts) if hot else "–"),
                    txt(words.state(stress.watts_condition) if hot else "–"),
                    num(words.chart_volts(stress.worst_volts)),
                    txt(words.state(stress.volts_condition)),
                )
            )
        )
    return Table("Dissipation and volts, no signal", ("Part", "What", "Watts", "In state", "Volts", "In state"), tuple(rows))

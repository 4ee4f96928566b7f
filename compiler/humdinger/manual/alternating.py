"""Alternating volts to expect at the secondaries of the power transformer, state by state."""

from __future__ import annotations

from ..analysis.results import Results
from ..circuit.netlist import Netlist, PowerTransformer, Winding
from . import words
from .model import BLANK, BOX, Cell, Row, Table, num, txt
from .terminals import terminal_text


def alternating_table(netlist: Netlist, results: Results, states: tuple[tuple[str, str], ...]) -> Table:
    """A row per heater winding, per half of a centre-tapped winding, per other winding. states: condition and column head."""
    rows = tuple(
        Row((txt(what), txt(between), *cells, BLANK, BOX), anchor=f"alternating-{transformer.ref}-{winding.name}-{k}")
        for transformer in netlist.of(PowerTransformer)
        for winding in transformer.windings
        for k, (what, between, cells) in enumerate(_of(netlist, results, transformer, winding, states))
    )
    tapped = any(w.centre_tapped for x in netlist.of(PowerTransformer) for w in x.windings)
    halves = " Measure each half to the centre tap, never end to end: that is twice the volts." if tapped else ""
    note = (
        "Rms volts, meter on alternating, both clips on while dead. Unloaded: the winding with nothing on it, nominal mains. The others are "
        f"with what that state draws; charging pulses flatten the wave, and only a meter for true rms shows it.{halves}"
    )
    columns = ("Winding", "Between", "Unloaded", *(title for _, title in states), "Measured", "Pass")
    return Table("Alternating volts at the transformer", columns, rows, note, "alternating")


def _of(netlist: Netlist, results: Results, transformer: PowerTransformer, winding: Winding, states: tuple[tuple[str, str], ...]):
    """(What, between which terminals, number cells) for every reading of a winding."""
    ends = [pin for pin in (winding.pins[0], winding.pins[2]) if pin]
    names = [terminal_text(transformer.ref, pin, netlist) for pin in ends]
    if winding.kind == "heater":
        budget = next((h for h in results.heaters if h.winding == winding.name), None)
        if budget is None:
            return
        scale = results.nominal.condition.mains_volts / transformer.primary_volts
        alone = words.volts(winding.no_load_volts * scale) if winding.no_load_volts is not None and not winding.centre_tapped else "–"
        found = [words.volts(budget.volts[name]) if name in budget.volts else "–" for name, _ in states]
        yield f"heaters {winding.name}", " to ".join(names), _cells(alone, found)
        return
    fed = next((r.id for r in netlist.rectifiers if r.transformer == transformer.ref and r.winding == winding.name), "")
    if fed not in results.nominal.rectifiers:
        return
    found = [words.volts(results.operating[name].rectifiers[fed].winding_volts_rms) for name, _ in states]
    cells = _cells(words.volts(results.nominal.rectifiers[fed].no_load_volts_rms), found)
    what = "HT" if winding.kind == "high-tension" else winding.kind
    if winding.centre_tapped:
        tap = terminal_text(transformer.ref, winding.pins[1], netlist)
        for k, name in enumerate(names):
            yield f"{what}, half {'ab'[k]}", f"{name} to {tap}", cells
    elif winding.kind != "high-tension":  # one without a tap would be read end to end, which is never done: its B+ tells
        yield what, " to ".join(names), cells


def _cells(alone: str, found: list[str]) -> tuple[Cell, ...]:
    return (num(alone), *(num(text) for text in found))

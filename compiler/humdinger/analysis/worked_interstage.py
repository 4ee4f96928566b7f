"""Formulas of an interstage transformer behind its triode: reflected load, gain to each side, bass corner of the primary."""

from __future__ import annotations

import math
from collections.abc import Iterator

from ..circuit.netlist import InterstageTransformer, Netlist, Resistor, StageInstance
from .results import Given, Results, Worked
from .worked_inputs import capacitor, parallel, resistor, sections, tube_given

IDEAL = "ideal transformer, standard algebra"
CORNER = "R/(2π·L), standard algebra; Radiotron Designer's Handbook ch. 5, from memory"


def interstage_transformer(netlist: Netlist, results: Results, stage: StageInstance) -> Iterator[Worked]:
    """The load of the plate, the gain to each side and the bass corner, by n = whole secondary over primary."""
    part = netlist.by_ref.get(stage.parts.get("transformer", ""))
    found = sections(netlist, results, stage)
    leaks = [p for port in ("out-a", "out-b") for p in _leaks(netlist, stage.ports[port])]
    if not isinstance(part, InterstageTransformer) or not found or len(leaks) != 2:
        return
    section, point = found[0]
    mu, rp = tube_given(section, point)
    halves = (0.5 * part.ratio) ** 2
    each = [(leak.ohms + 0.5 * part.secondary_resistance) / halves for leak in leaks]
    load = parallel(*each)
    names = " and ".join(leak.ref for leak in leaks)
    yield _worked(
        stage,
        "load",
        "load of the plate",
        ("R'", "(Rg + rs/2)/(n²/2)", "ohm"),
        (
            Given("Rg", leaks[0].ohms, "ohm", names),
            Given("rs", part.secondary_resistance, "ohm", "copper of the whole secondary"),
            Given("n", part.ratio, "x", f"whole secondary of {part.ref} over its primary"),
        ),
        load,
    )
    cathode = resistor(netlist, stage, "cathode-resistor")
    bare = 0.0 if cathode is None or capacitor(netlist, stage, "cathode-bypass") else (point.mu + 1.0) * cathode.ohms
    series = point.plate_ohms + part.primary_resistance + bare
    lost = leaks[0].ohms / (leaks[0].ohms + 0.5 * part.secondary_resistance)
    gain = 0.5 * part.ratio * point.mu * load / (series + load) * lost
    given = (
        mu,
        rp,
        Given("R'", load, "ohm", "load of the plate, as above"),
        Given("rw", part.primary_resistance, "ohm", "copper of the primary"),
        Given("K", bare, "ohm", "(µ + 1)·Rk where the cathode is not bypassed"),
        Given("n", part.ratio, "x", "turns"),
        Given("Rg", leaks[0].ohms, "ohm", names),
        Given("rs", part.secondary_resistance, "ohm", "copper of the whole secondary"),
    )
    pair = results.inverter
    for letter in "ab":
        solved = (pair.gain_a if letter == "a" else pair.gain_b) if pair and pair.stage == stage.id else None
        formula = "n/2·µ·R'/(rp + rw + K + R')·Rg/(Rg + rs/2)"
        yield _worked(stage, f"gain-{letter}", f"gain to side {letter}", (f"A{letter}", formula, "x"), given, gain, solved)
    yield Worked(
        name=f"{stage.id}/corner",
        group="inverter",
        about=stage.id,
        what="bass corner of the primary",
        symbol="f",
        formula="R/(2·π·L)",
        given=(
            Given("R", parallel(series, load), "ohm", "rp + rw + K parallel to the load of the plate"),
            Given("L", part.henries, "H", f"primary of {part.ref}"),
        ),
        unit="Hz",
        closed=parallel(series, load) / (2.0 * math.pi * part.henries),
        source=CORNER,
    )


def _leaks(netlist: Netlist, net: str) -> list[Resistor]:
    return [p for p, _ in netlist.on_net.get(net, ()) if isinstance(p, Resistor) and p.role.startswith("grid-leak")]


def _worked(
    stage: StageInstance,
    name: str,
    what: str,
    said: tuple[str, str, str],
    given: tuple[Given, ...],
    closed: float,
    solved: float | None = None,
) -> Worked:
    """said: symbol, formula, unit."""
    symbol, formula, unit = said
    return Worked(
        name=f"{stage.id}/{name}",
        group="inverter",
        about=stage.id,
        what=what,
        symbol=symbol,
        formula=formula,
        given=given,
        unit=unit,
        closed=closed,
        solved=solved,
        why="at 1 kHz the solver has the inductance, the leakage and the stray capacitances in it",
        source=IDEAL,
    )

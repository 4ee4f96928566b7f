"""Discharge of capacitors against the closed form and a published table of this trade."""

from __future__ import annotations

import math

import numpy as np
import pytest

from humdinger.analysis.discharge import discharge_with, discharges, last_above
from humdinger.analysis.study import silencers, study
from support.demos import demo
from support.netlists import Bench
from support.ngspice import run_deck

# "Reference decay 450 -> 60 V": rules.md 2.4, computed, printed to whole seconds. t = R C ln(450/60), ln 7.5 = 2.0149.
TABLE = [
    (50e-6, 100e3, 10),
    (100e-6, 100e3, 20),
    (200e-6, 100e3, 40),
    (50e-6, 220e3, 22),
    (100e-6, 220e3, 44),
    (200e-6, 220e3, 89),
    (50e-6, 470e3, 47),
    (100e-6, 470e3, 95),
    (200e-6, 470e3, 189),
]


@pytest.mark.parametrize(("farads", "ohms", "seconds"), TABLE)
def test_a_bleeder_empties_a_reservoir_as_the_table_says(farads: float, ohms: float, seconds: int) -> None:
    found = float(last_above(np.array([[450.0]]), np.array([ohms * farads]))[0])
    assert found == pytest.approx(ohms * farads * math.log(7.5), rel=1e-9)
    # the table is rounded to whole seconds; half a second, plus what the last figure of ln 7.5 may do
    assert abs(found - seconds) <= 0.52


def reservoir(bleeder: float | None = 220e3, farads: float = 47e-6) -> Bench:
    """A bridge on 250 V into one capacitor."""
    bench = Bench()
    bench.supply("B1", farads, volts=250.0, resistance=100.0, arrangement="bridge", primary_resistance=20.0)
    bench.domains["B1"] = "supply"
    if bleeder:
        bench.resistor("R1", "B1", "0", bleeder)
    return bench


def test_one_capacitor_and_one_resistor_in_a_whole_netlist() -> None:
    bench = reservoir()
    rows, stored = discharges(study(bench.netlist(b_plus=("B1",))))
    (row,) = rows
    # Closed form of the averaged bridge for a constant drop (design notes 4.9): the bleeder's milliamps at the volts found, within the
    # half volt that the drop of two diodes is uncertain by. R = 100 + (250/230)^2 * 20 ohm.
    peak, ohms = math.sqrt(2.0) * 250.0 * 253.0 / 230.0, 100.0 + (250.0 / 230.0) ** 2 * 20.0

    def closed_form(volts: float, drop: float) -> float:
        phi = math.asin((volts + drop) / peak)
        return (2.0 * peak * math.cos(phi) - (volts + drop) * (math.pi - 2.0 * phi)) / (math.pi * ohms)

    assert closed_form(row.start_volts, 1.4) < row.start_volts / 220e3 < closed_form(row.start_volts, 0.4)
    assert row.seconds == pytest.approx(220e3 * 47e-6 * math.log(row.start_volts / 60.0), rel=1e-6)
    assert row.joules == pytest.approx(0.5 * 47e-6 * row.start_volts**2)
    assert stored == pytest.approx(row.joules)
    assert row.fixed_path
    assert row.paths == ("R1",)
    assert row.kind == "supply"


def test_without_a_path_the_answer_is_never() -> None:
    (row,), _ = discharges(study(reservoir(bleeder=None).netlist(b_plus=("B1",))))
    assert row.seconds is None
    assert row.seconds_alone is None
    assert not row.fixed_path
    assert row.paths == ()


def test_two_sections_slow_each_other_down() -> None:
    """Two equal capacitors over a dropper, one bleeder: slowest time constant of [[1/R+1/r, -1/r], [-1/r, 1/r]]/C by its quadratic."""
    bench = reservoir(bleeder=100e3, farads=100e-6)
    bench.domains["B2"] = "supply"
    bench.resistor("R2", "B1", "B2", 10e3)
    bench.capacitor("C2", "B2", "0", 100e-6)
    rows, _ = discharges(study(bench.netlist(b_plus=("B1", "B2"))))
    by_net = {row.net: row for row in rows}
    g, h, c = 1 / 100e3, 1 / 10e3, 100e-6
    half, product = (g + 2 * h) / 2, g * h
    slow = c / (half - math.sqrt(half**2 - product))
    fast = c / (half + math.sqrt(half**2 - product))
    v = by_net["B2"].start_volts
    # B2: modes with v2/v1 fixed by h(v2 - v1) = c v2/tau; start v1 = v2 = v
    k_slow, k_fast = 1 / (1 - c / (h * slow)), 1 / (1 - c / (h * fast))
    share = (k_fast - 1) / (k_fast - k_slow)
    a_slow, a_fast = v * share * k_slow, v * (1 - share) * k_fast

    def b2(t: float) -> float:
        return a_slow * math.exp(-t / slow) + a_fast * math.exp(-t / fast)

    assert b2(0.0) == pytest.approx(v)
    seconds = by_net["B2"].seconds
    assert seconds is not None
    assert b2(seconds) == pytest.approx(60.0, rel=1e-4)
    assert by_net["B2"].paths == ("R2", "R1")
    assert not by_net["B2"].fixed_path


def test_an_open_standby_switch_leaves_what_it_cuts_off() -> None:
    bench = reservoir()
    bench.domains |= {"B1s": "supply", "B2": "supply"}
    bench.switch("S1", "B1", "B1s", "standby", True)
    bench.resistor("R2", "B1s", "B2", 1e3)
    bench.capacitor("C2", "B2", "0", 47e-6)
    rows, _ = discharges(study(bench.netlist(b_plus=("B1", "B2"))))
    by_net = {row.net: row for row in rows}
    assert by_net["B2"].seconds is not None
    assert by_net["B2"].seconds > 30.0
    assert by_net["B2"].seconds_alone is None
    assert by_net["B2"].opened == ("S1",)
    assert by_net["B1"].seconds_alone is not None
    assert by_net["B1"].seconds_alone < (by_net["B1"].seconds or 0.0)
    assert by_net["B1"].fixed_path
    assert not by_net["B2"].fixed_path


def test_two_resistors_in_series_are_a_fixed_path_and_a_fuse_spoils_one() -> None:
    bench = reservoir(bleeder=None)
    bench.resistor("R1", "B1", "mid", 100e3)
    bench.resistor("R2", "mid", "0", 120e3)
    (row,), _ = discharges(study(bench.netlist(b_plus=("B1",))))
    assert row.fixed_path
    bench = reservoir(bleeder=None)
    bench.resistor("R1", "B1", "mid", 100e3)
    bench.fuse("F1", "mid", "0")
    (row,), _ = discharges(study(bench.netlist(b_plus=("B1",))))
    assert not row.fixed_path
    assert row.seconds is not None
    assert row.seconds_alone is None


def test_the_bleed_tool_empties_a_reservoir_in_a_second() -> None:
    bench = reservoir()
    found = study(bench.netlist(b_plus=("B1",)))
    ohms = 1 / (1 / 10e3 + 1 / 220e3)
    assert discharge_with(found, 10e3)["B1"] == pytest.approx(ohms * 47e-6 * math.log(found.cold.volts["B1"] / 60.0), rel=1e-6)


@pytest.mark.parametrize("name", ["curlew", "heron"])
def test_every_node_of_a_demo_against_a_stepped_circuit(name: str) -> None:
    """ngspice, the same resistors and capacitors from the cold volts on, every fuse and switch as it plays.

    Steps of a tenth of a second, trapezoid, and straight lines between them: a percent and a tenth of a second.
    """
    found = study(demo(name))
    flat = found.elements("no-tubes-high")
    rows, _ = discharges(found)
    still = silencers(found.netlist)
    nodes = {"0": "0"} | {net: f"n{k}" for k, net in enumerate(flat.nets)}
    deck = [f"discharge of {name}"]
    deck += [f"R{k} {nodes[r.a]} {nodes[r.b]} {r.value:.9g}" for k, r in enumerate(flat.resistors) if r.owner not in still]
    chokes = [(c.a, c.b, c.ohms) for c in flat.inductors] + [(c.a, c.b, c.ohms) for t in flat.transformers for c in t.coils]
    deck += [f"RW{k} {nodes[a]} {nodes[b]} {max(ohms, 1e-3):.9g}" for k, (a, b, ohms) in enumerate(chokes)]
    cold = found.cold.volts
    for k, c in enumerate(flat.capacitors):
        deck.append(f"C{k} {nodes[c.a]} {nodes[c.b]} {c.value:.9g} ic={cold.get(c.a, 0.0) - cold.get(c.b, 0.0):.9g}")
    deck += [f"RL{k} {node} 0 1e12" for k, node in enumerate(nodes.values()) if node != "0"]
    deck += [".options reltol=1e-5 vntol=1e-6", ".tran 0.1 120 0 0.1 uic", ".end", ""]
    vectors = run_deck("\n".join(deck))
    time = np.real(vectors["time"])
    for row in rows:
        if row.kind == "signal" and abs(cold[row.net] - cold[row.minus]) < 0.999 * row.start_volts:
            continue  # stands highest with the tubes in, so it starts from another state
        volts = np.abs(np.real(vectors[nodes[row.net]]) - (np.real(vectors[nodes[row.minus]]) if row.minus != "0" else 0.0))
        after = np.flatnonzero(volts > 60.0)[-1]
        share = (volts[after] - 60.0) / (volts[after] - volts[after + 1])
        stepped = time[after] + share * (time[after + 1] - time[after])
        assert row.seconds == pytest.approx(stepped, rel=0.01, abs=0.1), row.net

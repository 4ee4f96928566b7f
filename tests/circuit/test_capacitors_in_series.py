"""Capacitors in series on a B+ node: nets, ripple and discharge against one capacitor of the same farads, ngspice, and what is judged."""

from __future__ import annotations

import math
from functools import cache

import pytest

from humdinger.analysis.stacks import series_farads, stack_of, uneven_share
from humdinger.analysis.worked import worked
from humdinger.circuit.netlist import Capacitor
from humdinger.compile import Compiled, judged
from support.amps import above_info, changed, demo_text, run
from support.front import PATH, world
from support.kinds import agrees_with_ngspice
from support.outputs import stacked
from support.signal_amps import ends

ALONE = {"supply/filter/0/capacitor": "{value: 50u, rating: 450 V, ripple: 350 mA}", "supply/filter/0/bleeder": "164k 5W flameproof"}
"""One capacitor of half the farads, and one bleeder of twice the ohms."""
AMPS = {
    "reservoir": ("curlew", stacked()),
    "three": ("curlew", stacked(count=3, capacitor="{value: 150u, rating: 250 V, ripple: 350 mA}", balancing="54k9 5W flameproof 1%")),
    "behind-a-resistor": ("dunlin", stacked(1, capacitor="220u 250V", balancing="100k 3W flameproof")),
}


@cache
def made(name: str) -> Compiled:
    amp, changes = AMPS[name]
    return judged(world(changed(demo_text(amp), changes)), PATH, bench=True, propose=False)


@cache
def alone() -> Compiled:
    return judged(world(changed(demo_text("curlew"), ALONE)), PATH, bench=True, propose=False)


def test_nets_of_a_series():
    netlist = made("three").netlist
    assert netlist is not None
    nets = ["B1", "B1.series-1", "B1.series-2", "0"]
    for number in (1, 2, 3):
        assert ends(netlist, "filter", f"B1-capacitor-{number}") == (nets[number - 1], nets[number])
        assert ends(netlist, "filter", f"B1-balancing-{number}") == (nets[number - 1], nets[number])
    (rectifier,) = netlist.rectifiers
    assert rectifier.reservoir == netlist.stage("filter").parts["B1-capacitor-1"]


def test_shares_of_capacitors_that_differ():
    """Q = C V: of 80 and 120 µF the 80 gets 120/200 of the volts; of 80, 120 and 120 it gets 60/(40 + 40 + 60)."""
    netlist = made("three").netlist
    assert netlist is not None
    three = stack_of(netlist, netlist.stage("filter").parts["B1-capacitor-2"])
    assert [part.farads for part in three] == pytest.approx([150e-6] * 3)
    assert series_farads(three) == pytest.approx(50e-6)
    assert uneven_share(three[:2]) == pytest.approx(120.0 / 200.0)
    assert uneven_share(three) == pytest.approx((1 / 80) / (1 / 80 + 2 / 120))
    assert uneven_share(three[:1]) == pytest.approx(1.0)


@pytest.mark.parametrize("name", ["reservoir", "three"])
def test_a_series_smooths_like_one_of_its_farads(name: str):
    one, many = alone().results, made(name).results
    assert one is not None
    assert many is not None
    ripple, same = (r.nominal.rectifiers["high-tension"] for r in (many, one))
    # 165k instead of 164k across the three: a hundredth of a milliamp of load
    assert ripple.ripple_volts_pp == pytest.approx(same.ripple_volts_pp, rel=2e-3)
    assert many.nominal.ripple_volts_pp["B2"] == pytest.approx(one.nominal.ripple_volts_pp["B2"], rel=2e-3)
    netlist = made(name).netlist
    assert netlist is not None
    reservoir = [p for p in netlist.of(Capacitor) if p.role.startswith("B1-capacitor")]
    amps = {many.nominal.parts[part.ref].amps for part in reservoir}
    assert len(amps) == 1  # the same current runs through all
    assert amps.pop() == pytest.approx(next(one.nominal.parts[p.ref].amps for p in _reservoirs(alone())), rel=2e-3)


def _reservoirs(found: Compiled) -> list[Capacitor]:
    assert found.netlist is not None
    return [p for p in found.netlist.of(Capacitor) if p.role.startswith("B1-capacitor")]


def test_it_is_empty_when_its_top_is_and_not_when_each_is():
    """Each of two stands at 60 V a good deal before the top does; the row of the whole is that of one capacitor of half the farads."""
    one, two = alone().results, made("reservoir").results
    assert one is not None
    assert two is not None
    whole, same = (next(d for d in r.discharges if d.net == "B1") for r in (two, one))
    assert whole.capacitors == tuple(p.ref for p in _reservoirs(made("reservoir")))
    assert whole.minus == "0"
    assert whole.fixed_path
    assert (whole.farads, whole.joules) == pytest.approx((same.farads, same.joules), rel=1e-6)
    assert whole.seconds == pytest.approx(same.seconds, rel=1e-6)
    lower = next(d for d in two.discharges if d.net == "B1.series-1")
    assert lower.start_volts == pytest.approx(whole.start_volts / 2.0)
    assert lower.seconds is not None
    assert whole.seconds is not None
    assert lower.seconds < whole.seconds
    assert two.stored_joules == pytest.approx(one.stored_joules, rel=1e-6)


def test_alone_it_empties_with_its_own_time_constant():
    """t = R C ln(V/60) of 164k and 50 µF, the rest of the filter disconnected by a huge dropper."""
    changes = stacked() | {"supply/filter/1/through": "100M", "supply/filter/1/bleeder": "100k", "supply/filter/0/feeds": "[output-plates]"}
    results = judged(world(changed(demo_text("curlew"), changes)), PATH, propose=False).results
    assert results is not None
    whole = next(d for d in results.discharges if d.net == "B1")
    assert whole.seconds == pytest.approx(164e3 * 50e-6 * math.log(whole.start_volts / 60.0), rel=0.01)


def test_each_is_judged_by_the_worst_share():
    """362 V cold: 181 V each by the resistors, 217 V on the one with the least capacitance. 200 V are too few, and so are 225 (96 %)."""
    results = made("reservoir").results
    assert results is not None
    for part in _reservoirs(made("reservoir")):
        assert results.stresses[part.ref].cold_volts == pytest.approx(0.6 * results.operating["no-tubes-high"].volts["B1"], rel=1e-6)

    def codes(volts: str) -> set[str]:
        return set(above_info(run(changed(demo_text("curlew"), stacked(capacitor=f"{{value: 100u, rating: {volts}, ripple: 350 mA}}")))))

    assert "CAP-001" in codes("200 V")
    assert "CAP-001" not in codes("250 V")
    close = run(changed(demo_text("curlew"), stacked(capacitor="{value: 100u, rating: 200 V, ripple: 350 mA, tolerance: 5 %}")))
    assert "CAP-001" not in {d.code for d in close.diagnostics if d.severity.name == "ERROR"}


def test_the_resistors_are_judged_as_bleeders():
    """181 V across 82k are 0.4 W: half a watt is too little, of which half may be used."""
    assert "DIS-003" in above_info(run(changed(demo_text("curlew"), stacked(balancing="82k 0.5W flameproof"))))


@pytest.mark.parametrize("name", AMPS)
def test_against_ngspice(name: str):
    netlist = made(name).netlist
    assert netlist is not None
    agrees_with_ngspice(netlist, "nominal", "high", "no-tubes-high")


def test_the_formula_of_the_ripple_takes_the_series():
    found = made("reservoir")
    assert found.netlist is not None
    assert found.results is not None
    row = next(w for w in worked(found.netlist, found.results) if w.name == "high-tension/ripple")
    assert next(g.value for g in row.given if g.symbol == "C") == pytest.approx(50e-6)


def test_sections_behind_count_the_series_too():
    results = made("behind-a-resistor").results
    assert results is not None
    row = next(d for d in results.decouplers if d.node == "B2")
    assert row.farads == pytest.approx(110e-6)


@pytest.mark.parametrize("name", AMPS)
def test_the_amp_compiles_without_a_warning(name: str):
    assert above_info(made(name)) == []

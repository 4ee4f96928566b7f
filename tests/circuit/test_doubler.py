"""Voltage doubler: nets, its law against a full-wave rectifier of the same power, ripple with phase, ngspice, safety, judgement."""

from __future__ import annotations

import math
from functools import cache

import numpy as np
import pytest

from humdinger.analysis.operating import solve_operating
from humdinger.analysis.results import Results
from humdinger.analysis.spice import Names, spice_deck
from humdinger.analysis.stacks import node_rating
from humdinger.analysis.system import build_system
from humdinger.analysis.worked import worked
from humdinger.circuit.netlist import Capacitor, Netlist, PowerTransformer
from humdinger.compile import Compiled, elaborated, judged
from humdinger.diagnostics import Severity
from humdinger.layout.loads import net_amps, net_volts
from support.amps import above_info, changed, demo_text, run
from support.driven import nominal
from support.front import PATH, world
from support.kinds import agrees_with_ngspice, draws_clean
from support.ngspice import run_deck
from support.outputs import stacked
from support.signal_amps import ends
from support.spice import settled_means
from support.supplies import DOUBLER

MIDDLE = "B1.series-1"


@cache
def made() -> Compiled:
    return judged(world(changed(demo_text("curlew"), DOUBLER)), PATH, bench=True, propose=False)


def netlist_of(changes: dict[str, str]) -> Netlist:
    found = elaborated(world(changed(demo_text("curlew"), changes)), PATH).netlist
    assert found is not None
    return found


def amp() -> tuple[Netlist, Results]:
    netlist, results = made().netlist, made().results
    assert netlist is not None
    assert results is not None
    return netlist, results


def test_nets():
    netlist, _ = amp()
    assert ends(netlist, "rectifier", "diode-plus-1") == ("ht.a", "B1")
    assert ends(netlist, "rectifier", "diode-minus-1") == ("0", "ht.a")
    assert ends(netlist, "filter", "B1-capacitor-1") == ("B1", MIDDLE)
    assert ends(netlist, "filter", "B1-capacitor-2") == (MIDDLE, "0")
    assert [t.net("HT-B") for t in netlist.of(PowerTransformer)] == [MIDDLE]
    (rectifier,) = netlist.rectifiers
    assert (rectifier.arrangement, rectifier.plus, rectifier.middle, rectifier.minus) == ("doubler", "B1", MIDDLE, "0")


def test_things_in_its_leads():
    """Fuse and resistor stand in the winding's one lead, two diodes in each leg."""
    netlist = netlist_of(
        DOUBLER
        | {
            "supply/rectifier/diodes/in_series": "2",
            "supply/rectifier/plate_resistors": "10 5W",
            "supply/ht_fuse": "{rating: T 630mA 500V, where: winding}",
        }
    )
    assert ends(netlist, "rectifier", "ht-fuse") == ("ht.a", "ht.a-fused")
    assert ends(netlist, "rectifier", "plate-resistor") == ("ht.a-fused", "rectifier.a")
    assert ends(netlist, "rectifier", "diode-plus-1")[0] == "rectifier.a"
    assert ends(netlist, "rectifier", "diode-minus-2")[1] == "rectifier.a"
    assert netlist.rectifiers[0].extra_ohms == 10.0


def test_a_tapped_winding_is_used_whole():
    changes = DOUBLER | {
        "supply/transformer/high_tension/volts": "57.5-0-57.5 V",
        "supply/transformer/high_tension/no_load": "60.5 V",
        "supply/transformer/high_tension/resistance": "[4.4, 4.6]",
    }
    tapped, plain = netlist_of(changes), netlist_of(DOUBLER)
    found, same = (solve_operating(n, nominal(n)).volts["B1"] for n in (tapped, plain))
    assert found == pytest.approx(same, rel=1e-9)


def test_unloaded_it_gives_twice_the_peak():
    """2 √2 V: of 121 V 342.2 V; less two diodes and what the resistors across the reservoirs take."""
    netlist, results = amp()
    assert results.operating["no-tubes"].volts["B1"] == pytest.approx(2.0 * math.sqrt(2.0) * 121.0, rel=0.02)
    row = next(w for w in worked(netlist, results) if w.name == "high-tension/doubled")
    assert row.closed == pytest.approx(342.2, abs=0.1)
    assert row.solved == pytest.approx(results.operating["no-tubes"].volts["B1"])


def test_it_is_a_full_wave_rectifier_of_twice_the_volts_and_four_times_the_ohms():
    """Derived: pulses of half the amps on each half cycle through 4 R at 2 E carry the same charge. Its winding then carries half the
    current at twice the volts (conservation of power). The diodes' logarithm, half a volt of 300, is what is left."""
    changes = {
        "supply/transformer/high_tension": "{volts: 230 V, current: 500 mA, basis: rms, resistance: [36], no_load: 242 V}",
        "supply/rectifier": "{kind: silicon, arrangement: bridge, diodes: {part: 1N4007}}",
        **stacked(capacitor="{value: 100u, rating: 350 V, ripple: 700 mA}", balancing="68k 3W flameproof"),
    }
    full = netlist_of(changes)
    _, results = amp()
    doubled, bridge = results.nominal.rectifiers["high-tension"], solve_operating(full, nominal(full)).rectifiers["high-tension"]
    assert bridge.source_ohms == pytest.approx(4.0 * doubled.source_ohms)
    assert doubled.dc_volts == pytest.approx(bridge.dc_volts, rel=2e-3)
    assert doubled.winding_rms_amps == pytest.approx(2.0 * bridge.winding_rms_amps, rel=5e-3)
    assert doubled.ripple_volts_pp == pytest.approx(bridge.ripple_volts_pp, rel=5e-3)
    volt_amps = {w.winding: w.volt_amps for w in results.windings}["HT"]
    assert volt_amps == pytest.approx(115.0 * doubled.winding_rms_amps)


def test_ripple_of_both_halves():
    """Each capacitor has I/(f C), 17.1 V, less what flows in the pulse; B+ has no more, not their sum: the fundamental cancels."""
    _, results = amp()
    point = results.nominal.rectifiers["high-tension"]
    flat = point.dc_amps / (50.0 * 100e-6)
    ripple = results.nominal.ripple_volts_pp
    assert 0.8 * flat < ripple[MIDDLE] < flat
    assert 0.65 * flat < ripple["B1"] < 0.8 * flat
    assert point.ripple_volts_pp == pytest.approx(ripple["B1"], rel=0.05)


def test_b_plus_and_ripple_of_the_real_supply():
    """Reads high by what the averaged law states for itself, within a fifth, and 0.01 % for the transient's tolerance, as for the demos."""
    netlist, results = amp()
    point = results.nominal.rectifiers["high-tension"]
    found = settled_means(netlist, nominal(netlist), ("B1", MIDDLE, "B2"))
    mean, ripple = found["B1"]
    assert results.nominal.volts["B1"] - mean == pytest.approx(point.averaging_volts, rel=0.2, abs=1e-4 * mean)
    for net in ("B1", MIDDLE, "B2"):
        assert results.nominal.ripple_volts_pp[net] == pytest.approx(found[net][1], rel=0.03)
    assert point.ripple_volts_pp == pytest.approx(ripple, rel=0.03)


def test_currents_of_the_real_supply():
    """rms amps of the winding and of each capacitor, peak of the pulses, against ngspice: first order in ripple over volts, 2 %."""
    netlist, results = amp()
    names = Names(build_system(netlist, nominal(netlist)).elements)
    found = run_deck(spice_deck(netlist, nominal(netlist), "real", "tran"))
    last = found["time"] >= found["time"][-1] - 1.0 / netlist.mains_hertz
    time = found["time"][last]
    charging = {name: -found[f"i(v_{names.label(name)}_0)"][last] for name in ("high-tension", "high-tension/lower")}

    def rms(amps: np.ndarray) -> float:
        return math.sqrt(float(np.trapezoid(amps**2, time) / (time[-1] - time[0])))

    point = results.nominal.rectifiers["high-tension"]
    assert point.winding_rms_amps == pytest.approx(rms(charging["high-tension"] - charging["high-tension/lower"]), rel=0.02)
    assert point.peak_amps == pytest.approx(float(np.max(charging["high-tension"])), rel=0.06)  # flat-topped by the ripple
    for part, name in zip(reservoirs(netlist), charging, strict=True):
        assert results.nominal.parts[part.ref].amps == pytest.approx(rms(charging[name] - point.dc_amps), rel=0.03)


def reservoirs(netlist: Netlist) -> list[Capacitor]:
    return [p for p in netlist.of(Capacitor) if p.role.startswith("B1-capacitor")]


def test_each_reservoir_stands_its_half():
    """The winding charges each to its peak, so none gets the other's share; 372 V cold at the corner are 186 V each."""
    netlist, results = amp()
    cold = results.operating["no-tubes-high"].volts["B1"]
    for part in reservoirs(netlist):
        assert results.stresses[part.ref].cold_volts == pytest.approx(0.5 * cold, rel=1e-6)
    assert node_rating(netlist, "B1") == 500.0
    assert node_rating(netlist, MIDDLE) == 250.0
    assert "CAP-001" in above_info(run(changed(demo_text("curlew"), DOUBLER | {"supply/filter/0/capacitor": "100u 160V"})))


def test_discharge_of_the_whole():
    """One capacitor of half the farads and one resistor of twice the ohms; its energy is that of both."""
    _, results = amp()
    row = next(d for d in results.discharges if d.net == "B1")
    assert row.fixed_path
    assert row.minus == "0"
    assert row.farads == pytest.approx(50e-6)
    each = 0.5 * 100e-6 * (0.5 * row.start_volts) ** 2
    assert row.joules == pytest.approx(2.0 * each, rel=1e-6)
    assert row.seconds is not None
    lone = 136e3 * (50e-6 + 3 * 47e-6) * math.log(row.start_volts / 60.0)
    assert row.seconds == pytest.approx(lone, rel=0.05)
    lower = next(d for d in results.discharges if d.net == MIDDLE)
    assert lower.start_volts == pytest.approx(0.5 * row.start_volts, rel=1e-6)


def test_alone_a_reservoir_pair_empties_by_its_own_resistors():
    """With the fuse before the second node open: t = R C ln(V/60) of 136k and 50 µF."""
    changes = DOUBLER | {"supply/filter/1/through": "100M", "supply/filter/1/bleeder": "100k 2W"}
    results = judged(world(changed(demo_text("curlew"), changes)), PATH, propose=False).results
    assert results is not None
    row = next(d for d in results.discharges if d.net == "B1")
    assert row.seconds == pytest.approx(136e3 * 50e-6 * math.log(row.start_volts / 60.0), rel=0.01)


def test_a_fuse_in_the_winding_carries_the_pulses_of_both_halves():
    changes = DOUBLER | {"supply/ht_fuse": "{rating: T 630mA 500V, where: winding}"}
    results = judged(world(changed(demo_text("curlew"), changes)), PATH, bench=True, propose=False).results
    assert results is not None
    (load,) = results.fuses
    assert load.idle_rms_amps["nominal"] == pytest.approx(results.nominal.rectifiers["high-tension"].winding_rms_amps)


@pytest.mark.parametrize("key", ["ht_fuse", "standby"])
def test_nothing_that_opens_stands_before_the_reservoirs(key: str):
    """With the upper diode off the lower reservoir stays charged and the load holds B+ near ground: the upper one is reversed."""
    rating = "rating: T 630mA 500V" if key == "ht_fuse" else "rating: 250 V 3 A, dc_rating: 400 V"
    found = run(changed(demo_text("curlew"), DOUBLER | {f"supply/{key}": f"{{{rating}, where: before-reservoir}}"}))
    assert [d.code for d in found.diagnostics if d.severity is Severity.ERROR] == ["ELB-104"]
    behind = netlist_of(DOUBLER | {f"supply/{key}": f"{{{rating}, where: after-reservoir}}"})
    assert behind.rectifiers[0].plus == "B1.reservoir"


def test_a_rating_in_direct_amps_is_that_of_a_bridge():
    """200 mA behind a capacitor are 320 mA rms of a bridge (1.6, common practice); the doubler's rms is held against them."""
    changes = DOUBLER | {"supply/transformer/high_tension/basis": "dc-capacitor-input", "supply/transformer/high_tension/current": "200 mA"}
    results = judged(world(changed(demo_text("curlew"), changes)), PATH, propose=False).results
    assert results is not None
    budget = next(w for w in results.windings if w.winding == "HT")
    assert budget.percent == pytest.approx(100.0 * budget.rms_amps / 0.32)


def test_wires_of_the_winding():
    """Both ends carry the winding's current; end a swings to the whole B+, the joint stands at half of it."""
    netlist, results = amp()
    amps, volts = net_amps(netlist, results), net_volts(netlist, results)
    budget = next(w for w in results.windings if w.winding == "HT")
    assert amps["ht.a"] == amps[MIDDLE] == max(budget.rms_amps, budget.full_drive_rms_amps or 0.0)
    assert volts["ht.a"] == pytest.approx(
        2.0 * results.operating["high"].rectifiers["high-tension"].no_load_volts_rms * math.sqrt(2.0), rel=0.05
    )
    assert volts[MIDDLE] == pytest.approx(0.5 * results.operating["no-tubes-high"].volts["B1"], rel=1e-6)


def test_inverse_volts_are_twice_the_peak():
    _, results = amp()
    point = results.operating["high"].rectifiers["high-tension"]
    assert point.inverse_peak_unloaded_volts == pytest.approx(2.0 * math.sqrt(2.0) * point.no_load_volts_rms)
    assert "REC-001" in above_info(run(changed(demo_text("curlew"), DOUBLER | {"supply/rectifier/diodes/part": "1N4004"})))


def test_against_ngspice():
    netlist, _ = amp()
    agrees_with_ngspice(netlist, "nominal", "high", "no-tubes-high", "small-tubes")


def test_it_is_drawn_clean():
    names = {sheet.name for sheet in draws_clean(amp()[0], "long")}
    assert "supply" in names


def test_the_amp_compiles_without_a_warning():
    assert above_info(made()) == []

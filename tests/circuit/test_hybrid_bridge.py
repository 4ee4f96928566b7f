"""Hybrid bridge: nets, its law against a full-wave rectifier of the same half, ngspice, and what is judged."""

from __future__ import annotations

import math
from functools import cache

import pytest

from humdinger.analysis.results import Results
from humdinger.circuit.netlist import Diode, Netlist, Tube
from humdinger.compile import Compiled, judged
from support.amps import above_info, changed, demo, demo_text, run
from support.driven import nominal
from support.front import PATH, world
from support.kinds import agrees_with_ngspice, draws_clean
from support.signal_amps import ends
from support.spice import settled_means
from support.supplies import HYBRID


@cache
def made() -> Compiled:
    return judged(world(changed(demo_text("heron"), HYBRID)), PATH, bench=True, propose=False)


def amp() -> tuple[Netlist, Results]:
    netlist, results = made().netlist, made().results
    assert netlist is not None
    assert results is not None
    return netlist, results


def test_nets():
    """Plates behind their resistors, silicon from ground to the winding's ends before them: a path has one resistor."""
    netlist, _ = amp()
    assert ends(netlist, "rectifier", "diode-minus-a-1") == ("0", "ht.a")
    assert ends(netlist, "rectifier", "diode-minus-b-1") == ("0", "ht.b")
    assert ends(netlist, "rectifier", "plate-resistor-a") == ("ht.a", "rectifier.a")
    tube = netlist.by_ref["V6"]
    assert isinstance(tube, Tube)
    assert (tube.net("4"), tube.net("6")) == ("rectifier.a", "rectifier.b")
    rectifier = next(r for r in netlist.rectifiers if r.id == "high-tension")
    assert (rectifier.kind, rectifier.arrangement, rectifier.devices[0], rectifier.extra_ohms) == ("tube", "hybrid-bridge", "V6", 10.0)
    assert [type(netlist.by_ref[ref]) for ref in rectifier.devices] == [Tube, Diode, Diode]


def test_it_is_the_full_wave_rectifier_of_a_half_less_one_diode():
    """A path is the whole winding, one plate and one diode: a half of heron's winding gives the same B+ but for the diode's 0.9 V. The
    winding carries the pulses of both half cycles, √2 times those of a half, and a plate blocks the B+ instead of twice the peak."""
    tapped = demo("heron").results
    _, results = amp()
    assert tapped is not None
    full, hybrid = (r.nominal.rectifiers["high-tension"] for r in (tapped, results))
    assert hybrid.source_ohms == pytest.approx(full.source_ohms, rel=1e-9)
    assert hybrid.emf_peak_volts == pytest.approx(full.emf_peak_volts, rel=1e-9)
    assert 0.3 < full.dc_volts - hybrid.dc_volts < 1.2
    assert hybrid.winding_rms_amps == pytest.approx(math.sqrt(2.0) * full.winding_rms_amps, rel=0.01)
    assert hybrid.charging_rms_amps == pytest.approx(full.charging_rms_amps, rel=0.01)
    assert hybrid.device_drop_volts - full.device_drop_volts == pytest.approx(0.85, abs=0.15)
    assert hybrid.inverse_peak_volts < 0.6 * full.inverse_peak_volts
    assert hybrid.inverse_peak_unloaded_volts == pytest.approx(0.5 * full.inverse_peak_unloaded_volts)


def test_b_plus_and_ripple_of_the_real_supply():
    """Diodes with their own law below; 0.05 % on top of what the averaged law states: their drop is taken as constant, 0.1 V of 360."""
    netlist, results = amp()
    point = results.nominal.rectifiers["high-tension"]
    mean, ripple = settled_means(netlist, nominal(netlist), ("B1",))["B1"]
    assert results.nominal.volts["B1"] - mean == pytest.approx(point.averaging_volts, rel=0.2, abs=5e-4 * mean)
    assert point.ripple_volts_pp == pytest.approx(ripple, rel=0.03)


def test_both_devices_are_judged_by_their_inverse_volts():
    """Each blocks the winding's peak, 471 V at high mains: a 400 V diode is too little, the tube has 1500 V."""
    codes = [
        d
        for d in run(changed(demo_text("heron"), HYBRID | {"supply/rectifier/diodes": "{part: 1N4004}"})).diagnostics
        if d.code == "REC-001"
    ]
    assert len(codes) == 1
    assert "silicon" in codes[0].message


@pytest.mark.parametrize("where", ["winding", "before-reservoir"])
def test_fuses_carry_all_pulses(where: str):
    changes = HYBRID | {"supply/ht_fuse/where": where}
    results = judged(world(changed(demo_text("heron"), changes)), PATH, bench=True, propose=False).results
    assert results is not None
    amps = results.nominal.rectifiers["high-tension"].winding_rms_amps
    assert len(results.fuses) == (2 if where == "winding" else 1)
    for load in results.fuses:
        assert load.idle_rms_amps["nominal"] == pytest.approx(amps, rel=1e-3)


def test_against_ngspice():
    agrees_with_ngspice(amp()[0], "nominal", "high", "no-tubes-high")


def test_it_is_drawn_clean():
    assert "supply" in {sheet.name for sheet in draws_clean(amp()[0], "long")}


def test_the_amp_compiles_without_a_warning():
    assert above_info(made()) == []

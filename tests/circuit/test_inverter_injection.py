"""The tremolo on a long-tailed pair's tail: what is built, the depth against two tones in ngspice, the share against algebra."""

from __future__ import annotations

import math
from functools import cache

import pytest

from humdinger.analysis.smallsignal import small_signal
from humdinger.compile import Compiled
from support.amps import above_info, changed, run
from support.drawn import VOLTS
from support.driven import nominal
from support.kinds import agrees_with_ngspice, draws_clean
from support.signal_amps import codes_of, ends, netlist_of, text_of
from support.tremolos import FOLLOWER, inverter_tail, two_tones, wave_of


@cache
def at_tail() -> Compiled:
    return run(inverter_tail())


def test_the_tail_is_reached_through_follower_capacitor_and_resistor():
    netlist = netlist_of(inverter_tail())
    assert ends(netlist, "injection", "blocking") == ("injection.cathode", "injection.blocked")
    assert ends(netlist, "injection", "through") == ("injection.blocked", "inverter.tail")
    facts = netlist.stage("injection").facts
    assert (facts["point"], facts["moved"], facts["follower"]) == ("inverter-tail", ("V3a", "V3b"), "V2b")
    assert next(d.text for d in netlist.defaults if d.path == "modulation/injection/blocking") == "1u 630V film"


def test_a_cathodyne_has_no_gain_to_move():
    assert codes_of(changed(text_of("whimbrel"), {"modulation/injection": "{point: inverter-tail, through: 100k}"})) == ["ELB-110"]


def test_against_ngspice():
    agrees_with_ngspice(netlist_of(inverter_tail()))


def test_the_share_that_arrives_at_the_tail_is_what_the_algebra_says():
    """Z/(Z + through), Z = Rt parallel (Rk + (rp + Ra)/(2 (mu + 1))), the tubes in parallel, grids still (standard small-signal algebra).

    The grids are not quite still: their leaks follow the tail, and grid a rests on what feeds it. At 200 Hz the coupling and the grid
    capacitors hold both: 5 %, with the output grid leaks across the plate loads of 82k and 91k.
    """
    netlist, results = at_tail().netlist, at_tail().results
    assert netlist is not None
    assert results is not None
    a, b = (results.nominal.sections[ref] for ref in ("V3a", "V3b"))
    loads = [1.0 / (1.0 / ohms + 1.0 / 330e3) for ohms in (82e3, 91e3)]
    into = sum((p.mu + 1.0) / (p.plate_ohms + load) for p, load in zip((a, b), loads, strict=True))
    z = 1.0 / (1.0 / 22e3 + 1.0 / (680.0 + 1.0 / into))
    found = small_signal(netlist, nominal(netlist)).transfer("injection.blocked", ["inverter.tail"], [200.0])[0, 0]
    assert abs(found) == pytest.approx(z / (z + 150e3), rel=0.05)


def test_depth_against_two_tones():
    """ngspice, the wave and a millivolt of 1 kHz together for four turns. 4 % of level, as for the preamp cathode."""
    netlist = netlist_of(inverter_tail())
    wave = wave_of(netlist)
    assert wave.running is not None
    loudest, softest = two_tones(netlist, wave)
    assert wave.running.loudest_gain == pytest.approx(loudest, rel=0.04)
    assert wave.running.softest_gain == pytest.approx(softest, rel=0.04)
    assert wave.running.depth_db == pytest.approx(20.0 * math.log10(loudest / softest), abs=0.5)


def test_the_pair_and_the_output_tubes_are_judged():
    wave = wave_of(netlist_of(inverter_tail("47k"))).running
    assert wave is not None
    assert [e.section for e in wave.excursions] == ["V3a", "V3b", "V4", "V5"]
    found = run(inverter_tail("47k"))
    assert above_info(found) == ["TRM-008"]
    assert [d.element for d in found.diagnostics if d.code == "TRM-008"] == ["V5"]


@pytest.mark.parametrize("volts", VOLTS)
@pytest.mark.parametrize("follower", ["", f", {FOLLOWER}"])
def test_the_drawing_reads_back_and_is_clean(follower: str, volts: str):
    injection = f"{{point: inverter-tail, through: 2M2{follower}}}"
    draws_clean(netlist_of(changed(text_of("ruff"), {"modulation/injection": injection})), volts)


def test_the_amp_compiles_without_a_warning():
    assert above_info(at_tail()) == []

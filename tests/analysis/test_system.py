"""From parts to matrices: what conducts in which condition, and the output transformer in closed form."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest

from humdinger.analysis.elements import elements_of, pulled_tubes
from humdinger.analysis.operating import conditions, solve_system
from humdinger.analysis.results import Condition
from humdinger.analysis.smallsignal import SmallSignal
from humdinger.analysis.supply import heater_amps, heater_primary_amps, no_load_volts, rectifier_elements
from humdinger.analysis.system import GMIN, build_system
from humdinger.circuit.netlist import Netlist, PowerTransformer
from support.driven import impedance, linear, nominal, stiff
from support.netlists import Bench, small_amp


def volts(netlist: Netlist, net: str, condition: Condition | None = None) -> float:
    """Volts of a net with 100 V on "in"."""
    found = condition or nominal(netlist)
    return solve_system(stiff(build_system(netlist, found), {"in": 100.0})).volts(net)


def test_resistors_make_a_conductance_matrix() -> None:
    b = Bench()
    b.resistor("R1", "in", "a", 100.0)
    b.resistor("R2", "a", "0", 300.0)
    b.resistor("R3", "in", "0", 50.0)
    system = build_system(b.netlist(), nominal(b.netlist()))
    assert np.array_equal(system.G, system.G.T)
    i, a = system.index["in"], system.index["a"]
    assert system.G[i, i] == pytest.approx(0.01 + 0.02 + GMIN)
    assert system.G[i, a] == pytest.approx(-0.01)
    assert system.G.sum() == pytest.approx(1.0 / 300.0 + 0.02 + 2.0 * GMIN)


@pytest.mark.parametrize(("position", "share"), [(0.0, 1e-4), (0.25, 0.25), (1.0, 1.0 - 1e-4)])
def test_pot_divides_by_its_track(position: float, share: float) -> None:
    b = Bench()
    b.pot("VOLUME", "0", "wiper", "in", 1e6, position=0.5)
    netlist = b.netlist()
    condition = replace(nominal(netlist), controls={"VOLUME": position})
    # a track end is 1e-4 of the track, so the two parts together may be 1e-4 above 1 at an end
    assert volts(netlist, "wiper", condition) == pytest.approx(100.0 * share, rel=2e-4)


def test_audio_taper_is_a_tenth_at_half() -> None:
    # units.taper: 10 % of the track at half rotation (common practice)
    b = Bench()
    b.pot("VOLUME", "0", "wiper", "in", 1e6, taper="audio", position=0.5)
    assert volts(b.netlist(), "wiper") == pytest.approx(10.0, rel=1e-6)


def test_switch_fuse_and_bond_conduct() -> None:
    b = Bench()
    b.fuse("F1", "in", "a")
    b.switch("S1", "a", "b", "standby", closed=True)
    b.switch("S2", "b", "c", "standby", closed=False)
    b.resistor("R1", "b", "0", 1e3)
    b.resistor("R2", "c", "0", 1e3)
    b.bond()
    b.resistor("R3", "PE", "in", 1e3)
    assert volts(b.netlist(), "b") == pytest.approx(100.0, rel=1e-5)
    assert volts(b.netlist(), "c") == pytest.approx(0.0, abs=1e-6)
    assert volts(b.netlist(), "PE") == pytest.approx(0.0, abs=1e-3)


@pytest.mark.parametrize("closed_to_play", [True, False])
def test_footswitch_turns_round_while_the_tremolo_is_off(closed_to_play: bool) -> None:
    b = Bench()
    b.resistor("R1", "in", "a", 1e3)
    b.resistor("R2", "a", "0", 1e3)
    b.switch("S1", "a", "0", "footswitch", closed=closed_to_play)
    netlist = b.netlist()
    playing = replace(nominal(netlist), tremolo=True)
    quiet = replace(nominal(netlist), tremolo=False)
    for condition, closed in ((playing, closed_to_play), (quiet, not closed_to_play)):
        assert volts(netlist, "a", condition) == pytest.approx(0.0 if closed else 50.0, abs=1e-3)


def test_mains_and_high_tension_nets_are_not_solved() -> None:
    system = build_system(small_amp(), nominal(small_amp()))
    assert not {"mains.L", "mains.N", "ht.1", "ht.2"} & set(system.nets)
    assert {"B1", "B2", "B3", "h1", "h2", "PE"} <= set(system.nets)


def test_which_tubes_are_out() -> None:
    netlist = small_amp(tube_rectifier=True)
    by_name = {c.name: c for c in conditions(netlist)}
    assert pulled_tubes(netlist, by_name["nominal"]) == frozenset()
    assert pulled_tubes(netlist, by_name["small-tubes"]) == {"V4", "V5"}
    assert pulled_tubes(netlist, by_name["no-tubes"]) == {"V1", "V2", "V3", "V4", "V5"}
    assert {t.name for t in elements_of(netlist, by_name["small-tubes"]).tubes} == {"V1a", "V2a", "V3a"}
    heaters = {r.name for r in elements_of(netlist, by_name["no-tubes"]).resistors if r.name.endswith(".heater")}
    assert heaters == set()


def test_heaters_load_the_primary_of_the_rectifiers() -> None:
    netlist = small_amp()
    transformer = netlist.by_ref["T1"]
    assert isinstance(transformer, PowerTransformer)
    amps = heater_amps(netlist, transformer, transformer.winding("heater"))
    assert amps == pytest.approx(3 * 0.3 + 2 * 0.76)
    primary = heater_primary_amps(netlist, transformer, frozenset())
    assert primary == pytest.approx(amps * 6.8 / 230.0)
    loaded, bare = (
        rectifier_elements(netlist, nominal(netlist), out)[0] for out in (frozenset(), frozenset({"V1", "V2", "V3", "V4", "V5"}))
    )
    assert bare.peak == pytest.approx(math.sqrt(2.0) * 236.0)
    assert loaded.peak / bare.peak == pytest.approx(1.0 - primary * 32.0 / 230.0)
    assert loaded.ohms == pytest.approx(70.0 + (236.0 / 230.0) ** 2 * 32.0)


@pytest.mark.parametrize(("basis", "arrangement", "rms"), [("rms", "full-wave", 0.1), ("dc-capacitor-input", "bridge", 0.16)])
def test_no_load_volts_follow_from_rating_and_resistance(basis: str, arrangement: str, rms: float) -> None:
    netlist = small_amp()
    transformer = netlist.by_ref["T1"]
    assert isinstance(transformer, PowerTransformer)
    winding = replace(transformer.winding("high-tension"), no_load_volts=None, volts=220.0, amps=0.1, basis=basis)
    found = no_load_volts(transformer, winding, arrangement)
    assert found == pytest.approx(220.0 + rms * (70.0 + (found / 230.0) ** 2 * 32.0), abs=1e-3)


def single_ended(leakage: float = 30e-3, henries: float = 12.0) -> Bench:
    b = Bench()
    b.resistor("R1", "in", "0", 1e12)
    pins = {"P": "in", "B": "0", "0": "0", "8": "out"}
    b.output_transformer("T1", pins, {"8": (8.0, 25.0, 0.5)}, primary_resistance=280.0, henries=henries, leakage_henries=leakage)
    return b


def seen(found: SmallSignal, hertz: float) -> complex:
    """Impedance at "in" without the source of 1 ohm that stands there."""
    return 1.0 / (1.0 / impedance(found, "in", hertz) - 1.0)


def test_open_secondary_shows_the_primary_inductance() -> None:
    found = seen(linear(single_ended().netlist(), {}), 100.0)
    assert found == pytest.approx(280.0 + 2j * math.pi * 100.0 * (12.0 + 0.015), rel=1e-6)


def test_shorted_secondary_shows_the_leakage() -> None:
    b = single_ended()
    b.resistor("R2", "out", "0", 1e-6)
    hertz = 10e3
    s = 2j * math.pi * hertz
    magnetising, secondary = s * 12.0, 625.0 * (0.5 + 1e-6) + s * 0.015
    expected = 280.0 + s * 0.015 + magnetising * secondary / (magnetising + secondary)
    assert seen(linear(b.netlist(), {}), hertz) == pytest.approx(expected, rel=1e-5)


def test_plate_to_plate_impedance_and_phase() -> None:
    b = Bench()
    b.resistor("R1", "in", "a", 1e6)
    b.resistor("R2", "b", "0", 1e6)
    pins = {"P1": "a", "CT": "0", "P2": "b", "0": "0", "4": "tap", "8": "out"}
    taps = {"8": (8.0, math.sqrt(1000.0), 0.0), "4": (4.0, math.sqrt(2000.0), 0.0)}
    b.output_transformer("T1", pins, taps, primary_resistance=0.0, henries=1e4, leakage_henries=1e-3)
    b.speaker("LS1", "out", "0", 8.0)
    found = linear(b.netlist(), {})
    assert abs(impedance(found, "a", back="b")) == pytest.approx(8000.0, rel=0.01)  # 1 M of R1 and R2 stands across it
    out, tap, other = found.transfer("a", ["out", "tap", "b"], [1000.0])[0]
    assert out.real > 0.0
    assert tap.real == pytest.approx(out.real / math.sqrt(2.0), rel=1e-3)
    assert other.real == pytest.approx(-1.0, rel=1e-3)


def test_unloaded_tap_carries_no_direct_current() -> None:
    b = single_ended()
    b.resistor("R2", "B1", "in", 1e3)
    b.resistor("R3", "B1", "0", 1e6)
    b.speaker("LS1", "out", "0", 8.0)
    solved = solve_system(stiff(build_system(b.netlist(), nominal(b.netlist())), {"B1": 128.0}))
    assert solved.x[solved.system.branch["T1.P-B"]] == pytest.approx(0.1, rel=1e-5)
    assert solved.x[solved.system.branch["T1.0-8"]] == pytest.approx(0.0, abs=1e-12)
    assert solved.volts("out") == pytest.approx(0.0, abs=1e-9)

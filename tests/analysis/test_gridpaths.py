"""DC resistance of control grids, against sums a builder does on paper."""

from __future__ import annotations

from dataclasses import replace

import pytest

from humdinger.analysis.gridpaths import grid_paths
from humdinger.analysis.results import GridPath
from humdinger.analysis.study import study
from humdinger.circuit.netlist import Resistor, Switch
from support.demos import demo
from support.netlists import Bench


def paths(bench: Bench, **domains: str) -> dict[str, GridPath]:
    bench.domains |= domains
    return {row.section: row for row in grid_paths(study(bench.netlist(input_net="")))}


def pair(own: float = 220e3) -> Bench:
    """Two output tubes on cathode resistors, with grid leaks of `own` to a common net "feed", stoppers of 1.5k."""
    bench = Bench()
    bench.supply("B1", 47e-6)
    for n in "12":
        bench.pentode(f"V{n}", f"p{n}", "B1", f"g{n}", f"k{n}")
        bench.resistor(f"R1{n}", "B1", f"p{n}", 3e3)
        bench.resistor(f"R2{n}", f"k{n}", "0", 270.0)
        bench.resistor(f"R3{n}", f"g{n}", f"leak{n}", 1.5e3)
        bench.resistor(f"R4{n}", f"leak{n}", "feed", own)
    return bench


def test_leaks_in_a_common_resistor_count_once_per_tube() -> None:
    # TUB-011: own + n * common = (220k + 1.5k) + 2 * 100k
    bench = pair()
    bench.resistor("R5", "feed", "0", 100e3)
    found = paths(bench)["V1"]
    assert found.own_ohms == pytest.approx(221.5e3)
    assert found.shared_ohms == pytest.approx(100e3)
    assert found.sharers == 2
    assert found.effective_ohms == pytest.approx(421.5e3)
    assert found.ends_at == "0"


def test_leaks_straight_to_ground_share_nothing() -> None:
    bench = pair()
    bench.resistor("R5", "feed", "0", 1e-3)
    found = paths(bench)["V2"]
    assert (found.sharers, found.shared_ohms) == (1, 0.0)
    assert found.effective_ohms == pytest.approx(221.5e3)


def test_mixing_resistors_only_help() -> None:
    """330k to ground at each leak's end and 330k to a 500k pot to ground: two equal branches, by the even and the odd mode on paper."""
    bench = pair(own=1e-3)
    bench.parts = [p for p in bench.parts if p.ref not in ("R41", "R42")]
    for n in "12":
        bench.resistor(f"R5{n}", f"leak{n}", "0", 330e3)
        bench.resistor(f"R6{n}", f"leak{n}", "wiper", 330e3)
    bench.pot("INTENSITY", "0", "wiper", "top", 500e3)
    # the top of the pot goes nowhere by DC, so the worst wiper is fully clockwise: the whole track below it
    bench.capacitor("C9", "top", "p1", 100e-9)
    found = paths(bench)["V1"]
    even = 1.5e3 + 1 / (1 / 330e3 + 1 / (330e3 + 2 * 500e3))
    odd = 1.5e3 + 1 / (1 / 330e3 + 1 / 330e3)
    # 1e-4 of a track is always left at its end
    assert found.effective_ohms == pytest.approx(even, rel=1e-4)
    assert found.own_ohms == pytest.approx(odd, rel=1e-6)
    assert found.sharers == 2


def test_a_volume_pot_is_worst_where_its_wiper_is_worst() -> None:
    bench = Bench()
    bench.supply("B1", 47e-6)
    bench.triode("V1", "p1", "g1", "k1")
    bench.resistor("R1", "B1", "p1", 100e3)
    bench.resistor("R2", "k1", "0", 1.5e3)
    bench.resistor("R3", "wiper", "g1", 68e3)
    bench.pot("VOLUME", "0", "wiper", "top", 1e6)
    bench.capacitor("C2", "top", "p1", 22e-9)
    # blocked at the top: up is the whole track
    assert paths(bench)["V1a"].effective_ohms == pytest.approx(68e3 + 1e6 * (1.0 - 1e-4), rel=1e-9)
    # fed from a 100k resistor to ground: never more than the middle of 1.1M
    bench.resistor("R4", "top", "0", 100e3)
    assert paths(bench)["V1a"].effective_ohms == pytest.approx(68e3 + 500e3 * 600e3 / 1.1e6, rel=1e-6)


def test_a_grid_without_a_way_back_ends_nowhere() -> None:
    bench = Bench()
    bench.supply("B1", 47e-6)
    bench.triode("V1", "p1", "g1", "k1")
    bench.resistor("R1", "B1", "p1", 100e3)
    bench.resistor("R2", "k1", "0", 1.5e3)
    bench.resistor("R3", "out", "g1", 68e3)
    bench.capacitor("C2", "out", "p1", 22e-9)
    found = paths(bench)["V1a"]
    assert found.ends_at == ""
    assert found.effective_ohms > 1e9


def test_a_direct_coupled_grid_returns_to_the_supply() -> None:
    bench = Bench()
    bench.supply("B1", 47e-6)
    bench.triode("V1", "p1", "g1", "k1")
    bench.triode("V2", "B1", "p1", "k2")
    bench.resistor("R1", "B1", "p1", 100e3)
    bench.resistor("R2", "k1", "0", 1.5e3)
    bench.resistor("R3", "k2", "0", 100e3)
    bench.resistor("R4", "g1", "0", 1e6)
    found = paths(bench, B1="supply")["V2a"]
    assert found.effective_ohms == pytest.approx(100e3)
    assert found.ends_at == "B1"


def test_a_bias_feed_is_where_the_bias_begins() -> None:
    bench = pair(own=150e3)
    bench.resistor("R5", "feed", "0", 22e3)
    bench.domains |= {"feed": "bias"}
    netlist = bench.netlist(input_net="")
    row = grid_paths(study(replace(netlist, bias_scheme="fixed")))[0]
    assert row.ends_at == "feed"
    assert row.effective_ohms == pytest.approx(151.5e3 + 2 * 22e3)


@pytest.mark.parametrize("name", ["curlew", "heron"])
def test_what_silences_the_tremolo_is_no_grid_path(name: str) -> None:
    """Without a footswitch the oscillator's grid is held still in every condition; its leak is still the last shunt of the ladder."""
    netlist = demo(name)
    stage = netlist.stages_of("phase-shift-oscillator")[0]
    last = max((role for role in stage.parts if role.startswith("step-resistor")), key=lambda role: int(role[-1]))
    leak = netlist.by_ref[stage.parts[last]]
    assert isinstance(leak, Resistor)
    plain = replace(netlist, parts=tuple(p for p in netlist.parts if not (isinstance(p, Switch) and p.where == "footswitch")))
    for found in (netlist, plain):
        row = next(r for r in grid_paths(study(found)) if r.section == stage.facts["section"])
        assert row.effective_ohms == pytest.approx(leak.ohms, rel=1e-6)

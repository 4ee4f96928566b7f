"""Circuits with one thing changed, against the same circuits built that way; bias ranges and stress that are read off them."""

from __future__ import annotations

from dataclasses import replace

import pytest

from humdinger.analysis.bias import adjustments, bias_changes, bias_range, cathode_biases, cathode_resistors, shorted_changes
from humdinger.analysis.drive import drive
from humdinger.analysis.operating import conditions, solve_operating, solve_system
from humdinger.analysis.study import study, with_controls
from humdinger.analysis.system import build_system
from humdinger.analysis.variants import lifted_wiper, moved_wiper, short, solve_variants
from humdinger.analysis.worst import bypass_changes, bypass_faults, bypassed, part_stresses
from humdinger.circuit.netlist import Netlist, Pin, Pot, Resistor
from support.demos import demo
from support.netlists import NOWHERE, Bench, small_amp


def with_resistor(netlist: Netlist, a: str, b: str, ohms: float) -> Netlist:
    part = Resistor(ref="R99", path="R99", stage="", role="", span=NOWHERE, pins=(Pin("1", a), Pin("2", b)), ohms=ohms)
    return replace(netlist, parts=(*netlist.parts, part))


@pytest.mark.parametrize(("a", "b"), [("P1", "k40"), ("p1", "v3"), ("g4", "0"), ("B2", "B3")])
def test_a_short_is_the_same_as_a_resistor_soldered_in(a: str, b: str) -> None:
    netlist = small_amp()
    condition = conditions(netlist)[0]
    base = solve_system(build_system(netlist, condition))
    (found,) = solve_variants(base, [(short(a, b),)])
    built = solve_operating(with_resistor(netlist, a, b, 0.01), condition)
    assert found.good
    for net, volts in built.volts.items():
        assert found.volts(net) == pytest.approx(volts, abs=1e-6 * max(abs(volts), 1.0)), net


def test_an_unchanged_variant_is_the_solution_itself() -> None:
    base = study(small_amp()).solved["nominal"]
    (found,) = solve_variants(base, [()])
    assert found.good
    assert found.x == pytest.approx(base.x, abs=1e-7)


def divider() -> Bench:
    """A pot between B+ and ground with its wiper loaded by 1M, and enough else to have ports."""
    bench = Bench()
    bench.supply("B1", 47e-6)
    bench.resistor("R1", "B1", "top", 100e3)
    bench.pot("TRIM", "0", "wiper", "top", 50e3)
    bench.resistor("R2", "wiper", "0", 1e6)
    bench.resistor("R3", "wiper", "B1", 220e3)
    return bench


def test_a_wiper_moves_and_lifts() -> None:
    netlist = divider().netlist(input_net="")
    base = solve_system(build_system(netlist, conditions(netlist)[0]))
    pot = next(p for p in netlist.parts if isinstance(p, Pot))
    moved, lifted = solve_variants(base, [moved_wiper(base.system, pot, 0.8), lifted_wiper(base.system, pot)])
    there = solve_operating(netlist, with_controls(netlist, conditions(netlist)[0], TRIM=0.8))
    assert moved.volts("wiper") == pytest.approx(there.volts["wiper"], rel=1e-9)
    # lifted: nothing but R3 over R2 on the wiper; the track stays between its ends
    assert lifted.volts("wiper") == pytest.approx(lifted.volts("B1") * 1e6 / 1.22e6, rel=1e-6)
    assert lifted.volts("top") == pytest.approx(lifted.volts("B1") / 3.0, rel=1e-6)


def test_the_bias_range_is_that_of_the_pot_turned() -> None:
    netlist = demo("heron")
    found = study(netlist)
    (pot,) = adjustments(netlist)
    variants = solve_variants(found.solved["nominal"], bias_changes(found))
    span = bias_range(found, variants)
    assert span is not None
    nominal = found.nominal.condition
    name = next(c.name for c in netlist.controls if c.ref == pot.ref)
    ends = [solve_operating(netlist, with_controls(netlist, nominal, **{name: at})) for at in (0.0, 1.0)]
    grid = netlist.by_section[netlist.power_sections[0]].grid
    assert span.coldest_volts == pytest.approx(min(o.volts[grid] for o in ends), rel=1e-6)
    assert span.hottest_volts == pytest.approx(max(o.volts[grid] for o in ends), rel=1e-6)
    hot = max(ends, key=lambda o: o.volts[grid])
    for ref in netlist.power_sections:
        rating = netlist.by_section[ref].section.rating()
        assert rating is not None
        assert rating.plate_watts is not None
        assert span.idle_percent_hot[ref] == pytest.approx(100.0 * hot.sections[ref].plate_watts / rating.plate_watts.value, rel=1e-6)
        assert span.idle_percent_cold[ref] < span.idle_percent_hot[ref]
    # the fail-safe resistor takes the grids below the coldest setting
    assert span.wiper_open_volts < span.coldest_volts


def test_an_amp_without_adjustment_has_no_range() -> None:
    found = study(demo("curlew"))
    assert bias_changes(found) == []
    assert bias_range(found, []) is None


@pytest.mark.parametrize("name", ["curlew", "dunlin"])
def test_cathode_resistors_at_work_and_with_a_shorted_tube(name: str) -> None:
    netlist = demo(name)
    found = study(netlist)
    resistors = cathode_resistors(netlist)
    rows = cathode_biases(found, resistors, solve_variants(found.solved["nominal"], shorted_changes(resistors, netlist)))
    assert sorted(ref for row in rows for ref in row.sections) == sorted(netlist.power_sections)
    for row in rows:
        part = netlist.by_ref[row.resistor]
        assert isinstance(part, Resistor)
        amps = sum(found.nominal.sections[ref].cathode_amps for ref in row.sections)
        assert row.volts == pytest.approx(amps * part.ohms, rel=1e-6)
        assert row.watts == pytest.approx(amps**2 * part.ohms, rel=1e-6)
        # all but a few volts less than the sagging supply stand on it
        section = netlist.by_section[row.shorted_section]
        built = solve_operating(with_resistor(netlist, section.plate, section.cathode, 0.01), found.nominal.condition)
        assert row.shorted_volts == pytest.approx(built.volts[section.cathode], rel=1e-6)
        assert row.shorted_watts > 10.0 * row.watts


def test_a_bypass_capacitor_of_a_preamp_tube_sees_a_divider_when_the_tube_shorts() -> None:
    netlist = demo("dunlin")
    found = study(netlist)
    pairs = bypassed(netlist)
    faults = bypass_faults(netlist, pairs, solve_variants(found.solved["nominal"], bypass_changes(pairs)))
    ref, section = next((r, s) for r, s in pairs if s.ref == "V1a")
    stage = netlist.stage(section.stage)
    load, cathode = (netlist.by_ref[stage.parts[role]] for role in ("plate-load", "cathode-resistor"))
    assert isinstance(load, Resistor)
    assert isinstance(cathode, Resistor)
    # B+ of that stage sags a little under 1 mA: within 12 % of what it was
    plain = found.nominal.volts[stage.ports["supply"]] * cathode.ohms / (cathode.ohms + load.ohms)
    assert 0.88 * plain < faults[ref] <= plain


def test_worst_stress_is_the_worst_of_the_conditions() -> None:
    netlist = demo("curlew")
    found = study(netlist)
    rows = part_stresses(found, {"C12": 99.0}, {}, drive(found, found.playing))
    bleeder = next(ref for ref, part in netlist.by_ref.items() if part.role == "B1-bleeder")
    part = netlist.by_ref[bleeder]
    assert isinstance(part, Resistor)
    cold = found.cold.volts["B1"]
    assert rows[bleeder].worst_watts == pytest.approx(cold**2 / part.ohms)
    assert rows[bleeder].watts_condition == "no-tubes-high"
    for name, operating in found.operating.items():
        for ref, row in rows.items():
            assert row.worst_watts >= operating.parts[ref].watts - 1e-12, (name, ref)
            assert row.worst_volts >= abs(operating.parts[ref].volts) - 1e-6, (name, ref)
    assert rows["C12"].fault_volts == 99.0


def test_a_coupling_capacitor_is_judged_cold_with_the_bias_on_its_other_side() -> None:
    netlist = demo("heron")
    found = study(netlist)
    rows = part_stresses(found, {}, {}, None)
    for role in ("coupling-a", "coupling-b"):
        ref = netlist.stage("inverter").parts[role]
        first, second = (pin.net for pin in netlist.by_ref[ref].pins)
        assert rows[ref].cold_volts == pytest.approx(abs(found.cold.volts[first] - found.cold.volts[second]))
    plate = netlist.stage("inverter").parts["coupling-a"]
    assert rows[plate].cold_volts > found.cold.volts["B3"] + 20.0


def test_signal_watts_of_the_load_resistor() -> None:
    netlist = demo("curlew")
    found = study(netlist)
    at = drive(found, found.playing)
    assert at is not None
    rows = part_stresses(found, {}, {}, at)
    part = netlist.by_ref[netlist.stage("speaker").parts["load-resistor"]]
    assert isinstance(part, Resistor)
    rms = abs(at.volts[netlist.output_net]) * at.full / 2**0.5
    assert rows[part.ref].signal_watts == pytest.approx(rms**2 / part.ohms)

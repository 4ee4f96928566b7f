"""Load lines against the operating point, the netlist's own resistors, and the power estimate, which are computed in other ways."""

from __future__ import annotations

import pytest

from humdinger.analysis.loadlines import chart, plate_law, round_up
from humdinger.analysis.screening import screen_share
from humdinger.circuit.netlist import Resistor
from support.manuals import DEMO_NAMES, manual


def lines(name: str):
    made = manual(name)[0]
    assert made.netlist is not None
    assert made.results is not None
    return made.netlist, made.results, {line.section: line for line in made.results.load_lines}


@pytest.mark.parametrize("name", DEMO_NAMES)
def test_every_section_in_use_has_a_line_through_its_idle_point(name: str) -> None:
    netlist, results, found = lines(name)
    assert set(found) == {s.ref for s in netlist.sections if not s.unused}
    for ref, line in found.items():
        section = netlist.by_section[ref]
        law = plate_law(section, line.screen_volts, line.plate_volts, screen_share(netlist, section))
        assert law is not None
        assert float(law(line.grid_volts, line.plate_volts)) == pytest.approx(line.plate_amps, rel=1e-5), ref
        assert line.plate_amps == results.nominal.sections[ref].plate_amps
        assert float(law(0.0, line.zero_volts)) == pytest.approx(line.zero_amps, rel=1e-6), ref
        assert line.zero_volts < line.plate_volts < line.cutoff_volts


@pytest.mark.parametrize("name", DEMO_NAMES)
def test_a_common_cathode_stage_ends_on_its_node_and_sees_its_resistors(name: str) -> None:
    netlist, results, found = lines(name)
    seen = 0
    for stage in netlist.stages_of("common-cathode"):
        section = next(s for s in netlist.sections if s.stage == stage.id)
        line = found[section.ref]
        parts = [netlist.by_ref[stage.parts[role]] for role in ("plate-load", "cathode-resistor")]
        ohms = sum(part.ohms for part in parts if isinstance(part, Resistor))
        fed = any(loop.facts["to"] == stage.id for loop in netlist.stages_of("feedback"))  # its cathode ends on the feedback's shunt
        assert line.dc_ohms == pytest.approx(ohms, rel=1e-3 if fed else 1e-6)
        assert line.dc_cutoff_volts == pytest.approx(results.nominal.volts[stage.ports["supply"]], rel=1e-3)
        if not fed:
            assert line.ac_ohms < line.dc_ohms  # the next stage loads it
        seen += 1
    assert seen


def test_the_tail_of_a_pair_carries_both_currents() -> None:
    netlist, results, found = lines("curlew")
    stage = netlist.stages_of("long-tailed-pair")[0]
    ohms = {role: part.ohms for role, ref in stage.parts.items() if isinstance(part := netlist.by_ref[ref], Resistor)}
    for letter, ref in (("a", "V3a"), ("b", "V3b")):
        expected = ohms[f"plate-load-{letter}"] + 2.0 * (ohms["tail"] + ohms["cathode-resistor"])
        assert found[ref].dc_ohms == pytest.approx(expected, rel=1e-6)
        # the halves carry 1.18 and 1.09 mA, so the line of equal currents misses the node by half of their difference
        assert found[ref].dc_cutoff_volts == pytest.approx(results.nominal.volts["B3"], rel=0.02)


@pytest.mark.parametrize("name", ["curlew", "heron"])
def test_a_pair_has_half_and_a_quarter_of_its_load_and_the_estimated_power(name: str) -> None:
    netlist, results, found = lines(name)
    assert results.load is not None
    for ref in netlist.power_sections:
        line = found[ref]
        assert line.ac_ohms == pytest.approx(results.load.load_ohms / 2.0)
        assert line.alone_ohms == pytest.approx(results.load.load_ohms / 4.0)
        assert line.kink_amps == pytest.approx(2.0 * line.plate_amps)
        # load.py looks for the knee on a grid of 400 points, this by bisection
        assert 2.0 * line.swing_down_volts**2 / results.load.load_ohms == pytest.approx(results.load.clean_watts, rel=0.01)
        assert line.swing_up_volts == pytest.approx(line.swing_down_volts)


@pytest.mark.parametrize("name", DEMO_NAMES)
def test_charts_end_on_round_numbers_and_hold_what_they_show(name: str) -> None:
    netlist, _, found = lines(name)
    for ref, line in found.items():
        made = chart(netlist.by_section[ref], line)
        assert made is not None
        assert made.volts_end == round_up(made.volts_end)
        assert made.amps_end == round_up(made.amps_end)
        assert made.volts_end >= max(line.cutoff_volts, line.dc_cutoff_volts)
        assert made.amps_end >= line.zero_amps
        assert 5 <= len(made.curves) <= 10, ref
        step = made.curves[1].grid_volts - made.curves[0].grid_volts
        for k, curve in enumerate(made.curves):
            assert curve.grid_volts == pytest.approx(k * step)
            assert max(curve.amps) <= made.amps_end * (1 + 1e-9)
            assert max(curve.volts) <= made.volts_end
        for volts, amps in made.limit:
            assert line.limit_watts is not None
            assert volts * amps == pytest.approx(line.limit_watts)


def test_round_up_goes_to_the_next_round_number() -> None:
    assert [round_up(x) for x in (0.99, 1.0, 1.01, 0.0031, 287.0, 9.0)] == [1.0, 1.0, 1.2, 0.004, 300.0, 10.0]

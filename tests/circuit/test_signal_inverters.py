"""Long-tailed pair and cathodyne: topology, and that the two outputs are opposite and alike."""

from __future__ import annotations

import pytest

from humdinger.analysis.operating import conditions
from humdinger.analysis.smallsignal import small_signal
from support.signal_amps import codes_of, ends, netlist_of, text_of

NOMINAL = "nominal"


def gains(netlist, start, *nets):
    """Complex gains at 1 kHz from a net to others in the working amp."""
    found = small_signal(netlist, next(c for c in conditions(netlist) if c.name == NOMINAL))
    return found.transfer(start, nets, [1000.0])[0]


def test_long_tailed_pair_stands_on_its_tail():
    netlist = netlist_of(text_of("ruff"))
    assert ends(netlist, "inverter", "grid-leak-a") == ("second.out", "inverter.tail")
    assert ends(netlist, "inverter", "grid-leak-b") == ("inverter.grid-b", "inverter.tail")
    assert ends(netlist, "inverter", "cathode-resistor") == ("inverter.cathode", "inverter.tail")
    assert ends(netlist, "inverter", "tail") == ("inverter.tail", "0")
    assert ends(netlist, "inverter", "grid-bypass") == ("inverter.grid-b", "0")
    assert ends(netlist, "inverter", "coupling-a") == ("inverter.plate-a", "inverter.out-a")
    a, b = netlist.by_section["V3a"], netlist.by_section["V3b"]
    assert (a.grid, a.plate, a.cathode) == ("second.out", "inverter.plate-a", "inverter.cathode")
    assert (b.grid, b.plate, b.cathode) == ("inverter.grid-b", "inverter.plate-b", "inverter.cathode")


def test_long_tailed_pair_outputs_are_opposite():
    netlist = netlist_of(text_of("ruff"))
    a, b = gains(netlist, "second.out", "inverter.out-a", "inverter.out-b")
    assert a.real < -10.0
    assert b.real > 10.0
    assert abs(a) / abs(b) == pytest.approx(1.0, abs=0.05)  # PIN-001: within 5 %


def test_long_tailed_pair_with_a_stopper_has_it_on_the_driven_grid_only():
    netlist = netlist_of(text_of("ruff", ("    grid_bypass: 100n 400V\n", "    grid_bypass: 100n 400V\n    grid_stopper: 10k\n")))
    assert ends(netlist, "inverter", "grid-stopper") == ("second.out", "inverter.grid-a")
    assert netlist.by_section["V3a"].grid == "inverter.grid-a"
    assert ends(netlist, "inverter", "grid-leak-a") == ("second.out", "inverter.tail")


def test_long_tailed_pair_of_two_named_sections():
    text = text_of("ruff", ("    tube: V3\n", "    tube: [V3a, V2b]\n"))
    netlist = netlist_of(text)
    assert [s.ref for s in netlist.sections if s.stage == "inverter"] == ["V3a", "V2b"]
    assert netlist.by_section["V2b"].plate == "inverter.plate-b"
    assert netlist.by_section["V3b"].unused


def test_long_tailed_pair_of_one_section_is_refused():
    assert codes_of(text_of("ruff", ("    tube: V3\n", "    tube: V3a\n"))) == ["ELB-014"]


def test_long_tailed_pair_behind_a_pot_is_refused():
    moved = ("  - stage: long-tailed-pair\n    id: inverter\n", "  - stage: long-tailed-pair\n    id: inverter\n    from: level\n")
    assert codes_of(text_of("ruff", moved)) == ["ELB-013"]


def test_feedback_into_the_tail():
    text = text_of("ruff") + "\nfeedback: {from: 8 ohm, to: inverter, resistor: 47k 1W, shunt: 4k7}\n"
    netlist = netlist_of(text)
    assert ends(netlist, "inverter", "tail") == ("inverter.tail", "inverter.feedback")
    assert ends(netlist, "inverter", "grid-bypass") == ("inverter.grid-b", "inverter.feedback")
    assert ends(netlist, "feedback", "resistor") == ("speaker.hot", "inverter.feedback")
    assert ends(netlist, "feedback", "shunt") == ("inverter.feedback", "0")
    # a pair's output a is upside down at its grid and the right way up again on its plate: P1 opposes
    assert netlist.stage("output").facts["swapped"] is False


def test_cathodyne_has_equal_loads_and_a_bootstrapped_leak():
    netlist = netlist_of(text_of("whimbrel"))
    assert ends(netlist, "inverter", "load-a") == ("B3", "inverter.plate")
    assert ends(netlist, "inverter", "cathode-resistor") == ("inverter.cathode", "inverter.bias")
    assert ends(netlist, "inverter", "load-b") == ("inverter.bias", "0")
    assert ends(netlist, "inverter", "grid-leak") == ("driver.out", "inverter.bias")
    assert ends(netlist, "inverter", "grid-stopper") == ("driver.out", "inverter.grid")
    assert ends(netlist, "inverter", "coupling-a") == ("inverter.plate", "inverter.out-a")
    assert ends(netlist, "inverter", "coupling-b") == ("inverter.bias", "inverter.out-b")


def test_cathodyne_outputs_are_opposite_and_alike():
    netlist = netlist_of(text_of("whimbrel"))
    a, b = gains(netlist, "driver.out", "inverter.out-a", "inverter.out-b")
    assert -1.0 < a.real < -0.9
    assert 0.9 < b.real < 1.0
    # exact but for the grid leak's current and the tube's own capacitances
    assert abs(a) / abs(b) == pytest.approx(1.0, abs=0.005)


def test_cathodyne_gain_is_that_of_the_textbook():
    """mu R/(rp + (mu+2) R + (mu+1) Rk), R the load with the output grid's leak across it (checks.md 1.8 with a bias resistor)."""
    text = text_of("whimbrel", ("    grid_stopper: 10k\n", ""))
    netlist = netlist_of(text)
    condition = next(c for c in conditions(netlist) if c.name == NOMINAL)
    found = small_signal(netlist, condition)
    from humdinger.analysis.operating import solve_operating

    point = solve_operating(netlist, condition).sections["V2b"]
    # the leaks lead to the bias feed, which is nearly still: the output loads are leak and coupling in series with it
    load = 1.0 / (1.0 / 56e3 + 1.0 / 150e3)
    wanted = point.mu * load / (point.plate_ohms + (point.mu + 2.0) * load + (point.mu + 1.0) * 1500.0)
    a = found.transfer("driver.out", ["inverter.plate"], [1000.0])[0, 0]
    # 1 %: the formula leaves out the grid leak's current, the stopper's share and the coupling capacitor
    assert abs(a) == pytest.approx(wanted, rel=0.01)


def test_cathodyne_stopper_is_filled_in():
    netlist = netlist_of(text_of("whimbrel", ("    grid_stopper: 10k\n", "")))
    (found,) = [d for d in netlist.defaults if d.path == "signal/6/grid_stopper"]
    assert (found.text, "common practice" in found.reason) == ("10k", True)


def test_cathodyne_may_hang_on_the_plate_before_it():
    driver = "    cathode_resistor: 1k5\n    coupling: 47n 630V\n"
    netlist = netlist_of(text_of("whimbrel", (driver, driver.replace("47n 630V", "direct"))))
    assert ends(netlist, "inverter", "grid-stopper") == ("driver.plate", "inverter.grid")


def test_a_stage_behind_an_inverter_is_refused():
    late = "  - {stage: volume, id: late, control: LATE, pot: 1M audio}\n\noutput:\n"
    assert "ELB-011" in codes_of(text_of("whimbrel", ("\noutput:\n", late)))

"""Heater volts at the pins and heater-to-cathode volts."""

from __future__ import annotations

from dataclasses import replace

import pytest

from humdinger.analysis.heaters import heater_budgets, heater_cathodes, reference_watts
from humdinger.analysis.results import HeaterCathode
from humdinger.analysis.study import Study, study
from humdinger.circuit.netlist import PowerTransformer
from support.demos import demo
from support.netlists import Bench, small_amp

LOAD = 3 * 0.3 + 2 * 0.76 + 6.3 / 200.0
"""Amps of small_amp: three triodes, two pentodes, two resistors of 100 ohm."""


def amp() -> Study:
    return study(small_amp())


def test_volts_follow_the_line_through_the_makers_two_figures() -> None:
    (row,) = heater_budgets(amp())
    # 6.8 V with no load, 6.3 V at 4 A
    line = 6.8 - 0.5 * LOAD / 4.0
    assert row.load_amps == pytest.approx(LOAD)
    assert row.regulation_known
    assert row.volts["nominal"] == pytest.approx(line)
    assert row.volts["high"] == pytest.approx(1.1 * line)
    assert row.volts["low"] == pytest.approx(0.9 * line)


def test_pulled_tubes_let_the_volts_rise() -> None:
    (row,) = heater_budgets(amp())
    assert row.volts["no-tubes"] == pytest.approx(6.8 - 0.5 * (6.3 / 200.0) / 4.0)
    assert row.volts["small-tubes"] == pytest.approx(6.8 - 0.5 * (0.9 + 6.3 / 200.0) / 4.0)


def test_consumers_are_named() -> None:
    (row,) = heater_budgets(amp())
    assert [name for name, _ in row.consumers] == ["V1", "V2", "V3", "V4", "V5", "R4 + R5"]
    assert sum(amps for _, amps in row.consumers) == pytest.approx(row.load_amps)


def test_without_no_load_volts_the_resistance_tells_and_without_both_nothing() -> None:
    netlist = small_amp()

    def winding(**changed: object) -> Study:
        parts = []
        for part in netlist.parts:
            if isinstance(part, PowerTransformer):
                windings = tuple(replace(w, **changed) if w.kind == "heater" else w for w in part.windings)
                part = replace(part, windings=windings)
            parts.append(part)
        return study(replace(netlist, parts=tuple(parts)))

    (row,) = heater_budgets(winding(no_load_volts=None))
    # rated volts at rated amps; 0.05 ohm and the primary's 32 ohm seen through the turns
    rise = 0.05 + (6.3 / 230.0) ** 2 * 32.0
    assert row.volts["nominal"] == pytest.approx(6.3 + (4.0 - LOAD) * rise)
    (row,) = heater_budgets(winding(no_load_volts=None, resistance=()))
    assert not row.regulation_known
    assert row.volts["nominal"] == pytest.approx(6.3)


def test_the_reference_resistors_get_warm() -> None:
    found = amp()
    budgets = heater_budgets(found)
    watts = reference_watts(found, budgets)
    # half of the winding each, at its highest: no tubes, high mains
    highest = max(budgets[0].volts.values())
    assert watts["R4"] == pytest.approx((highest / 2, (highest / 2) ** 2 / 100.0))
    assert set(watts) == {"R4", "R5"}


def rows(found: Study, **swing: float) -> dict[str, HeaterCathode]:
    return {row.section: row for row in heater_cathodes(found, swing)}


def test_signs_and_the_signal() -> None:
    found = amp()
    by_name = rows(found, V2a=12.0)
    pair = by_name["V2a"]
    cathode = found.nominal.volts["k2"]
    assert cathode > 30.0
    assert pair.volts["nominal"] == pytest.approx(-cathode)
    assert pair.cathode_positive_volts == pytest.approx(found.operating["small-tubes"].volts["k2"] + 12.0)
    assert pair.heater_positive_volts == 0.0
    assert pair.volts_cold_start == pytest.approx(0.0, abs=1e-6)
    # an output tube is not there in the state without output tubes
    assert "small-tubes" not in by_name["V4"].volts


def elevated(reference: float) -> Bench:
    """One triode at ground, heaters raised by a divider from B+."""
    bench = Bench()
    bench.supply("B1", 47e-6, heater=("h1", "h2"))
    bench.triode("V1", "p1", "g1", "k1", None, ("h1", "h2"))
    bench.resistor("R1", "B1", "p1", 100e3)
    bench.resistor("R2", "k1", "0", 1.5e3)
    bench.resistor("R3", "g1", "0", 1e6)
    bench.resistor("R4", "B1", "h1", 470e3)
    bench.resistor("R5", "h1", "0", reference)
    return bench


def test_raised_heaters_are_worst_before_the_cathodes_are_hot() -> None:
    found = study(elevated(100e3).netlist(input_net=""))
    row = rows(found)["V1a"]
    cold = found.cold.volts["B1"] * 100.0 / 570.0
    assert row.volts_cold_start == pytest.approx(cold, rel=1e-4)
    assert row.heater_positive_volts == pytest.approx(cold, rel=1e-4)
    assert row.volts["high"] < cold


def test_a_rectifier_whose_cathode_is_its_heater_is_tied() -> None:
    found = rows(study(demo("heron")))
    tied = found["V6"]
    assert tied.tied
    assert (tied.heater_positive_volts, tied.cathode_positive_volts) == (0.0, 0.0)
    # every other section hangs on the raised winding and sees it before its cathode is hot
    assert all(row.volts_cold_start > 20.0 for name, row in found.items() if name != "V6")
    assert {row.winding for row in found.values()} == {"H1", "H2"}

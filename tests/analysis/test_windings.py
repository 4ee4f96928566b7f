"""Winding loads, form factors and the mains side."""

from __future__ import annotations

from dataclasses import replace

import pytest

from humdinger.analysis.heaters import heater_budgets
from humdinger.analysis.results import WindingBudget
from humdinger.analysis.study import Study, study
from humdinger.analysis.windings import LOSS_SHARE, mains_budget, winding_budgets
from humdinger.circuit.netlist import Netlist, PowerTransformer
from support.netlists import Bench, small_amp

# Form factors by source resistance over load: the computed table of the practice page, 1.3 (50 Hz, ideal diodes, omega C R = 100), which
# prints two decimals. The bridge's silicon drops 1.1 V of 1000 V here, and the averaged law has no ripple: 1.5 % covers both.
TABLE = [
    # Rs/RL, rms over DC of a bridge's winding, of a half of a centre-tapped one, peak over DC
    (0.005, 2.57, 1.82, 8.3),
    (0.01, 2.30, 1.63, 6.6),
    (0.02, 2.06, 1.46, 5.3),
    (0.04, 1.86, 1.31, 4.3),
    (0.06, 1.75, 1.23, 3.8),
    (0.08, 1.67, 1.18, 3.5),
    (0.10, 1.62, 1.15, 3.3),
]


def budgets(found: Study) -> dict[str, WindingBudget]:
    heaters = {h.winding: h.consumers for h in heater_budgets(found)}
    return {w.winding: w for w in winding_budgets(found, heaters)}


def loaded(arrangement: str, share: float) -> Netlist:
    bench = Bench()
    bench.supply("B1", 1000e-6, volts=1000.0, resistance=100.0, arrangement=arrangement, primary_resistance=1e-9)
    bench.resistor("R1", "B1", "0", 100.0 / share)
    return bench.netlist(input_net="")


@pytest.mark.parametrize(("share", "bridge", "half", "peak"), TABLE)
def test_form_factors_of_the_table(share: float, bridge: float, half: float, peak: float) -> None:
    for arrangement, factor in (("bridge", bridge), ("full-wave", half)):
        found = study(loaded(arrangement, share))
        row = budgets(found)["high-tension"]
        assert row.form_factor == pytest.approx(factor, rel=0.015)
        assert row.dc_amps == pytest.approx(found.nominal.volts["B1"] * share / 100.0)
        point = found.nominal.rectifiers["main"]
        assert point.peak_amps / point.dc_amps == pytest.approx(peak, rel=0.02)


def test_a_half_winding_carries_the_bridge_current_over_root_two() -> None:
    bridge = budgets(study(loaded("bridge", 0.03)))["high-tension"].form_factor
    half = budgets(study(loaded("full-wave", 0.03)))["high-tension"].form_factor
    assert bridge is not None
    # an identity but for the second diode of a bridge
    assert half == pytest.approx(bridge / 2**0.5, rel=2e-3)


def rated(netlist: Netlist, basis: str) -> Netlist:
    parts = []
    for part in netlist.parts:
        if isinstance(part, PowerTransformer):
            part = replace(part, windings=tuple(replace(w, basis=basis, amps=0.15) for w in part.windings))
        parts.append(part)
    return replace(netlist, parts=tuple(parts))


def test_a_rating_is_met_in_its_own_basis() -> None:
    netlist = loaded("bridge", 0.02)
    rms = budgets(study(rated(netlist, "rms")))["high-tension"]
    assert rms.percent == pytest.approx(100.0 * rms.rms_amps / 0.15)
    for basis in ("dc-capacitor-input", "dc-choke-input"):
        row = budgets(study(rated(netlist, basis)))["high-tension"]
        assert row.dc_amps is not None
        assert row.percent == pytest.approx(100.0 * row.dc_amps / 0.15)
    assert budgets(study(rated(netlist, "")))["high-tension"].percent is None


def test_volt_amps_count_both_halves() -> None:
    row = budgets(study(loaded("full-wave", 0.02)))["high-tension"]
    assert row.volt_amps == pytest.approx(2.0 * 1000.0 * row.rms_amps)
    row = budgets(study(loaded("bridge", 0.02)))["high-tension"]
    assert row.volt_amps == pytest.approx(1000.0 * row.rms_amps)


def test_the_mains_side_adds_up() -> None:
    found = study(small_amp())
    rows = tuple(budgets(found).values())
    mains = mains_budget(found.netlist, found.nominal, rows)
    load = sum(r.volt_amps for r in rows)
    assert mains.primary_rms_amps == pytest.approx(load * (1.0 + LOSS_SHARE) / 230.0)
    # three triodes of 0.3 A, two pentodes of 0.76 A at 6.3 V, and 31.5 mA in the two 100 ohm resistors
    assert mains.heater_watts == pytest.approx(6.3 * (3 * 0.3 + 2 * 0.76 + 6.3 / 200.0))
    point = found.nominal.rectifiers["main"]
    assert mains.high_tension_watts == pytest.approx(point.dc_amps * (point.dc_volts + point.device_drop_volts))
    assert mains.watts < mains.volt_amps

"""What the chart says a meter shows, and what it says of other mains, against ngspice on the exported deck.

The deck is the amp as solved; the meter is a resistor of 10 megohms that this test puts into it. 1e-6 as for
all direct volts (both solve the same equations; ngspice at its tightest settings).
"""

from __future__ import annotations

from functools import cache

import pytest

from humdinger.analysis.operating import conditions
from humdinger.analysis.probing import METER_OHMS, SHIFTED
from humdinger.analysis.results import Condition, Results
from humdinger.analysis.solve import solve
from humdinger.analysis.spice import Names, spice_deck
from humdinger.analysis.system import build_system
from support.demos import NAMES, demo
from support.ngspice import run_deck


@cache
def results(name: str) -> Results:
    found, said = solve(demo(name))
    assert found is not None, said
    return found


def condition(name: str, state: str, volts: float | None = None) -> Condition:
    base = next(c for c in conditions(demo(name)) if c.name == state)
    return base if volts is None else Condition(base.name, volts, base.tubes, base.controls)


def read(name: str, at: Condition, meter: str = "") -> dict[str, float]:
    netlist = demo(name)
    names = Names(build_system(netlist, at).elements)
    deck = spice_deck(netlist, at).splitlines()
    if meter:
        end = next(k for k, line in enumerate(deck) if line.lower().strip() == ".op")
        deck.insert(end, f"Rthemeter {names.node(meter)} 0 {METER_OHMS:g}")
    found = run_deck("\n".join(deck) + "\n")
    return {net: float(found[names.node(net)][0]) for net in build_system(netlist, at).nets}


@pytest.mark.parametrize("name", NAMES)
def test_meter_shows_what_the_deck_with_a_meter_shows(name: str) -> None:
    seen = 0
    for state, chart in results(name).charts.items():
        at = condition(name, state)
        for net, shown in chart.metered_volts.items():
            assert read(name, at, net)[net] == pytest.approx(shown, rel=1e-6, abs=1e-6), (state, net)
            plain = chart.volts[net][chart.nominal]
            assert abs(shown) < abs(plain), (state, net)
            seen += 1
    assert seen


def test_a_node_that_is_not_named_moves_less_than_it_may() -> None:
    at = condition("curlew", "nominal")
    chart = results("curlew").charts["nominal"]
    plain = read("curlew", at)
    for net in ("B1", "first.plate", "first.cathode", "inverter.plate-a", "output.cathode-a"):
        assert net not in chart.metered_volts
        assert read("curlew", at, net)[net] == pytest.approx(plain[net], rel=SHIFTED), net


@pytest.mark.parametrize("name", NAMES)
def test_every_mains_of_a_chart_is_solved_and_not_scaled(name: str) -> None:
    for state, chart in results(name).charts.items():
        assert list(chart.mains_volts) == sorted(chart.mains_volts)
        region = demo(name).region
        assert (chart.mains_volts[0], chart.mains_volts[-1]) == (float(region.low_volts), float(region.high_volts))
        for k, volts in enumerate(chart.mains_volts):
            found = read(name, condition(name, state, volts))
            for net, row in chart.volts.items():
                assert row[k] == pytest.approx(found[net], rel=1e-6, abs=1e-6), (state, volts, net)
    chart = results(name).charts["nominal"]
    low, nominal = chart.mains_volts[0], chart.nominal_mains_volts
    straight = {net: row[chart.nominal] * low / nominal for net, row in chart.volts.items()}
    assert any(abs(straight[net] - row[0]) > 1e-3 * abs(row[0]) for net, row in chart.volts.items() if abs(row[0]) > 0.5)


@pytest.mark.parametrize("name", NAMES)
def test_charts_agree_with_the_conditions(name: str) -> None:
    found = results(name)
    for state, chart in found.charts.items():
        for net, volts in found.operating[state].volts.items():
            if net != "0":
                assert chart.volts[net][chart.nominal] == pytest.approx(volts, rel=1e-12)
    assert found.charts["nominal"].metered_volts == found.metered_volts

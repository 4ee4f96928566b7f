"""Heaters in series across a winding: nets, load, volts, what is judged, wires, raised reference, ngspice."""

from __future__ import annotations

from functools import cache

import pytest

from humdinger.analysis.results import Results
from humdinger.circuit.heating import heater_feed, series_pairs
from humdinger.circuit.netlist import Netlist, Tube
from humdinger.compile import Compiled, compiled, judged
from humdinger.diagnostics import Severity
from humdinger.layout import coloured
from humdinger.layout.loads import net_amps
from humdinger.rules.heaters.rectifier_heater import _tied
from humdinger.rules.model import Case
from support.amps import above_info, changed, demo_text, run
from support.front import PATH, world
from support.kinds import agrees_with_ngspice, draws_clean
from support.supplies import SERIES, SERIES_RAISED

JOINT = "v4-v5.heater"


@cache
def made(raised: bool = False) -> Compiled:
    return judged(world(changed(demo_text("curlew"), SERIES_RAISED if raised else SERIES)), PATH, bench=True, propose=False)


def amp(raised: bool = False) -> tuple[Netlist, Results]:
    netlist, results = made(raised).netlist, made(raised).results
    assert netlist is not None
    assert results is not None
    return netlist, results


def feed(netlist: Netlist, ref: str) -> tuple[str, str]:
    tube = netlist.by_ref[ref]
    assert isinstance(tube, Tube)
    found = heater_feed(tube)
    assert found is not None
    return found[0]


def test_nets():
    """EL84 in series, each 12AX7 and its like with pins 4 and 5 across the whole winding."""
    netlist, _ = amp()
    assert feed(netlist, "V4") == ("h1.a", JOINT)
    assert feed(netlist, "V5") == (JOINT, "h1.b")
    for ref in ("V1", "V2", "V3"):
        tube = netlist.by_ref[ref]
        assert isinstance(tube, Tube)
        assert set(feed(netlist, ref)) == {"h1.a", "h1.b"}
        assert {tube.net("4"), tube.net("5")} == {"h1.a", "h1.b"}
        assert tube.heater == "H1"
    assert [(p.winding, p.refs, p.joint) for p in series_pairs(netlist)] == [("H1", ("V4", "V5"), JOINT)]


def test_the_pair_is_counted_once():
    """0.76 A of the pair, 0.15 A of each twin triode at 12.6 V (library), and the two resistors of the reference: 12.6 V / 440 ohm."""
    _, results = amp()
    (budget,) = results.heaters
    assert dict(budget.consumers)["V4 + V5"] == pytest.approx(0.76)
    assert budget.load_amps == pytest.approx(0.76 + 3 * 0.15 + 12.6 / 440.0, rel=1e-6)
    assert budget.tube_volts == pytest.approx(12.6)
    (pair,) = budget.series
    assert pair.apart == 0.0
    assert pair.volts["V4"] == pytest.approx(0.5 * budget.volts["nominal"])


def test_it_loads_the_primary_as_the_plain_winding_does():
    """Half the current at twice the volts: the same watts, so the same B+ but for the reference's resistors."""
    plain = judged(world(demo_text("curlew")), PATH, propose=False).results
    _, results = amp()
    assert plain is not None
    assert results.nominal.volts["B1"] == pytest.approx(plain.nominal.volts["B1"], rel=1e-3)


def test_without_the_pair_nothing_runs_through_it():
    """Output tubes out: the twin triodes and the resistors are what is left, and the volts rise."""
    _, results = amp()
    (budget,) = results.heaters
    assert budget.volts["small-tubes"] > budget.volts["nominal"]
    slope = (13.2 - 12.6) / 1.6
    assert budget.volts["small-tubes"] - budget.volts["nominal"] == pytest.approx(slope * 0.76, rel=1e-6)


def test_different_currents_are_an_error_and_mixed_pairs_a_warning():
    """EL84 0.76 A with a 12AY7 of 0.3 A: as resistances 8.3 and 21 ohm the triode gets 9.0 V of 12.6."""
    text = changed(
        demo_text("curlew"),
        {
            "supply/transformer/heaters": "[{volts: 12.6 V, current: 2 A, no_load: 13.2 V, series: [[V4, V1], [V5, V2]]}]",
            "supply/heater_reference/resistors": "220 1W",
        },
    )
    found = run(text)
    said = [d for d in found.diagnostics if d.code == "HTR-008"]
    assert sorted(d.severity.name for d in said) == ["ERROR", "ERROR", "WARNING", "WARNING"]
    assert found.results is not None
    volts = found.results.heaters[0].series[0].volts
    assert volts["V1"] / volts["V4"] == pytest.approx((6.3 / 0.3) / (6.3 / 0.76))


def test_a_pair_beside_a_rectifier_at_b_plus_is_a_danger():
    """A 5 V rectifier's heater is its cathode: whatever shares its winding stands at B+, and a pair in series is named by both tubes."""
    netlist, results = amp()
    budget = results.heaters[0]
    assert {"V1", "V2", "V3", "V4", "V5"} < set(budget.fed)
    design = made().design
    assert design is not None
    case = Case(design, netlist, results, coloured(netlist))
    tube = netlist.by_ref["V1"]
    assert isinstance(tube, Tube)
    said = _tied(case, tube, "H1")
    assert said.severity is Severity.DANGER
    assert "V4 and V5 shares" in said.message


def test_wires_of_the_joint_carry_the_heater():
    netlist, results = amp()
    assert net_amps(netlist, results)[JOINT] == pytest.approx(0.76)


def test_the_builder_is_told_how_to_wire_and_read_it():
    _, files = compiled(world(changed(demo_text("curlew"), SERIES)), PATH)
    assert files is not None
    assert b"heaters of V4 and V5 in series" in files["first-power.html"]
    assert b"1 between two heaters in series" in files["wiring.html"]


def test_wires_to_the_two_sockets_are_one_twisted_pair():
    layout = compiled(world(changed(demo_text("curlew"), SERIES)), PATH)[0].layout
    assert layout is not None
    pair = [w for w in layout.wires if w.pair == "H1"]
    assert len(pair) == 8
    by_number = {w.number: w for w in pair}
    for wire in pair:
        assert wire.make_up is not None
        assert by_number[wire.make_up.twist].net != wire.net


def test_raised_heaters_in_series():
    """Both halves of the string stand at the divider's volts, and so does the joint: no current runs in the reference."""
    _, results = amp(raised=True)
    volts = results.nominal.volts
    expected = volts["B2"] * 47.0 / (330.0 + 47.0)
    assert volts["h1.a"] == pytest.approx(expected, rel=1e-3)
    assert volts[JOINT] == pytest.approx(expected, rel=1e-3)
    by_section = {row.section: row for row in results.heater_cathodes}
    assert by_section["V5"].volts["nominal"] == pytest.approx(expected - volts["output.cathode-b"], rel=1e-3)


def test_what_cannot_stand_in_series():
    def codes(changes: dict[str, str]) -> list[str]:
        return [d.code for d in run(changed(demo_text("curlew"), changes)).diagnostics if d.severity is Severity.ERROR]

    assert codes({"supply/transformer/heaters/0/series": "[[V4, V5]]"}) == ["ELB-102"]
    assert codes(SERIES | {"supply/transformer/heaters/0/series": "[[V4, V5], [V5, V4]]"}) == ["ELB-103"]
    assert codes(SERIES | {"supply/transformer/heaters/0/series": "[[V4, V9]]"}) == ["NAM-002"]


@pytest.mark.parametrize("raised", [False, True])
def test_against_ngspice(raised: bool):
    agrees_with_ngspice(amp(raised)[0], "nominal", "small-tubes")


def test_it_is_drawn_clean():
    assert "heaters" in {sheet.name for sheet in draws_clean(amp()[0], "long")}


@pytest.mark.parametrize("raised", [False, True])
def test_the_amp_compiles_without_a_warning(raised: bool):
    assert above_info(made(raised)) == []

"""The two paraphases: what stands where, the balance against the textbook's triodes and ngspice, wires, drawings, manuals."""

from __future__ import annotations

from functools import cache

import numpy as np
import pytest

from humdinger.analysis.smallsignal import small_signal
from humdinger.analysis.worked import worked
from humdinger.circuit.netlist import Netlist
from humdinger.compile import Compiled, judged, placed
from support.amps import above_info, changed, demo_text
from support.drawn import VOLTS
from support.driven import nominal
from support.front import PATH, world
from support.inverters import FLOATING, PARAPHASE, instead
from support.kinds import MAINS, agrees_with_ngspice, draws_clean
from support.signal_amps import codes_of, ends, text_of

BYPASS = "22u 25V"
AMPS = {
    "paraphase": instead(PARAPHASE),
    "paraphase-bypassed": instead(PARAPHASE.replace("lower: 10k", "lower: 11k"), cathode_bypass=BYPASS),
    "floating": instead(FLOATING),
    "floating-bypassed": instead(FLOATING, grid_stopper="10k", grid_leak="820k", cathode_bypass=BYPASS),
}


@cache
def made(name: str) -> Compiled:
    return judged(world(changed(demo_text("curlew"), AMPS[name])), PATH, bench=True, propose=False)


def netlist(name: str) -> Netlist:
    found = made(name).netlist
    assert found is not None
    return found


def test_the_divider_hangs_on_the_first_output_and_drives_the_second_grid():
    found = netlist("paraphase")
    assert ends(found, "inverter", "divider-upper") == ("inverter.out-a", "inverter.grid-b")
    assert ends(found, "inverter", "divider-lower") == ("inverter.grid-b", "0")
    assert [ends(found, "inverter", f"coupling-{x}") for x in "ab"] == [(f"inverter.plate-{x}", f"inverter.out-{x}") for x in "ab"]
    a, b = found.by_section["V3a"], found.by_section["V3b"]
    assert (a.grid, b.grid) == ("second.out", "inverter.grid-b")
    assert a.cathode == b.cathode == "inverter.cathode"


def test_the_see_saw_hangs_on_both_outputs():
    found = netlist("floating-bypassed")
    assert [ends(found, "inverter", f"seesaw-{x}") for x in "ab"] == [(f"inverter.out-{x}", "inverter.grid-b") for x in "ab"]
    assert ends(found, "inverter", "seesaw-leak") == ("inverter.grid-b", "0")
    assert ends(found, "inverter", "cathode-bypass") == ("inverter.cathode", "0")
    assert ends(found, "inverter", "grid-stopper") == ("second.out", "inverter.grid-a")


@pytest.mark.parametrize("name", AMPS)
def test_against_ngspice(name: str):
    agrees_with_ngspice(netlist(name), *MAINS)


@pytest.mark.parametrize("name", AMPS)
def test_outputs_are_opposite_and_balanced_as_the_formulas_say(name: str):
    """Balance by the formulas of the stage's page (derived) against the solver, 0.5 %: it has each section at its own current."""
    found = made(name)
    assert found.netlist is not None
    assert found.results is not None
    small = small_signal(found.netlist, nominal(found.netlist))
    a, b = small.transfer("second.out", ("inverter.out-a", "inverter.out-b"), [1000.0])[0]
    assert a.real < -20.0
    assert b.real > 20.0
    rows = {row.name: row for row in worked(found.netlist, found.results)}
    for key in ("balance", "gain-a"):
        row = rows[f"inverter/{key}"]
        assert row.solved is not None
        assert row.closed == pytest.approx(row.solved, rel=5e-3), key
    assert rows["inverter/balance"].solved == pytest.approx(abs(b / a), rel=1e-6)


def test_the_textbooks_balance_is_one_over_the_gain():
    """k = (rp + R)/(µ R) of two alike triodes, whatever their cathodes do (derived); solved here by Kirchhoff's law on the bare circuit."""
    mu, rp, load = 100.0, 62.5e3, 100e3
    k = (rp + load) / (mu * load)
    for below in (0.0, (mu + 1.0) * 820.0):
        # i1 (rp + R + K) + i2 K = µ v;  i2 (rp + R + K) + i1 K = -µ k R i1
        total = rp + load + below
        one, two = np.linalg.solve([[total, below], [below + mu * k * load, total]], [mu, 0.0])
        assert two == pytest.approx(-one, rel=1e-12)
        assert one * load == pytest.approx(mu * load / (rp + load), rel=1e-12)  # and the cathodes stand still


def test_the_share_that_would_balance_does():
    """The formula's own k put into the divider: the solver's outputs differ by less than 0.2 %."""
    found = made("paraphase-bypassed")
    assert found.netlist is not None
    assert found.results is not None
    rows = {row.name: row for row in worked(found.netlist, found.results)}
    share = rows["inverter/divider"].closed
    lower = 470e3 * share / (1.0 - share)
    other = changed(demo_text("curlew"), dict(AMPS["paraphase-bypassed"]) | {"signal/5/divider/lower": f"{lower:.0f}"})
    results = judged(world(other), PATH, propose=False).results
    assert results is not None
    assert results.inverter is not None
    assert abs(results.inverter.imbalance) < 2e-3


def test_a_floating_one_minds_the_second_tube_less():
    """Another tube in the socket, 12AX7 for 12AT7: the balance of the one moves by 7.6 % of the outputs, of the other by 0.3 %."""
    moved = {}
    for name in ("paraphase", "floating"):
        own = made(name).results
        assert own is not None
        assert own.inverter is not None
        text = changed(demo_text("curlew"), dict(AMPS[name]) | {"tubes/V3": "12AX7", "signal/5/cathode_resistor": "1k2"})
        results = judged(world(text), PATH, propose=False).results
        assert results is not None
        assert results.inverter is not None
        moved[name] = abs(results.inverter.imbalance - own.inverter.imbalance)
    assert moved["paraphase"] > 0.05
    assert moved["floating"] < 0.1 * moved["paraphase"]


@pytest.mark.parametrize(
    ("name", "change", "key"),
    [("paraphase", {"signal/5/divider/lower": "8k2"}, "divider/lower"), ("floating", {"signal/5/seesaw/a": "330k"}, "seesaw/a")],
)
def test_what_sets_the_balance_is_what_the_finding_points_at(name: str, change: dict[str, str], key: str):
    text = changed(demo_text("curlew"), dict(AMPS[name]) | change)
    found = judged(world(text), PATH, propose=False)
    assert above_info(found) == ["PIN-001"]
    finding = next(d for d in found.diagnostics if d.code == "PIN-001")
    assert text.split("\n")[finding.labels[0].span.line - 2].strip() == f"{key.split('/')[0]}:"  # its first key
    assert key in finding.helps[0].text


def test_output_grids_that_something_else_drives_are_refused():
    keeping = {"signal/5": PARAPHASE}
    assert codes_of(changed(demo_text("curlew"), keeping)) == ["ELB-090"]
    fixed = PARAPHASE.replace("V3", "V9")
    assert "ELB-090" in codes_of(changed(text_of("whimbrel"), {"tubes/V9": "12AX7", "signal/6": fixed, "feedback": "~"}))


def test_the_second_grid_is_metered_through_its_divider_before_power():
    """10k to ground; the way over 470k and the output grid's leak lies across it."""
    layout = placed(made("paraphase")).layout
    assert layout is not None
    results = made("paraphase").results
    assert results is not None
    assert results.dead_tests is not None
    rows = results.dead_tests.rows
    assert rows["grid/V3b"].ohms == pytest.approx(1.0 / (1.0 / 10e3 + 1.0 / (470e3 + 330e3)), rel=1e-6)
    ends_of = [{(t.ref, t.pin) for t in (wire.start, wire.end)} for wire in layout.wires if wire.net == "inverter.grid-b"]
    found = netlist("paraphase")
    assert any((found.by_section["V3b"].tube, "7") in pair for pair in ends_of)


@pytest.mark.parametrize("volts", VOLTS)
@pytest.mark.parametrize("name", AMPS)
def test_sheets(name: str, volts: str):
    draws_clean(netlist(name), volts)


@pytest.mark.parametrize("name", AMPS)
def test_the_amp_compiles_without_a_warning(name: str):
    assert above_info(made(name)) == []

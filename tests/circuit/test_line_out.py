"""The line out with a fixed divider and with a level: nets, share, level and resistance, returns, ngspice, drawing, clean manuals."""

from __future__ import annotations

import math
from functools import cache

import pytest

from humdinger.analysis.results import LineLevel
from humdinger.analysis.worked import worked
from humdinger.circuit.netlist import Resistor
from humdinger.compile import Compiled
from humdinger.layout.ground import returns
from humdinger.manual.panel import back
from support.amps import above_info, changed, demo_text, run
from support.drawn import VOLTS, variant
from support.kinds import agrees_with_ngspice, draws_clean
from support.signal_amps import codes_of, ends, netlist_of

FIXED = "{upper: 10k 0.5W, lower: 1k}"
LEVEL = "{upper: 10k 0.5W, pot: 1k linear 0.5W}"
AMPS = {"fixed": ("curlew", FIXED), "level": ("heron", LEVEL), "hard-wired": ("dunlin", FIXED)}


def amp(name: str, line: str = "", **more: str) -> str:
    demo, spec = AMPS[name]
    return changed(demo_text(demo), {"speaker/line_out": line or spec} | {key.replace("_", "/", 1): value for key, value in more.items()})


@cache
def made(name: str) -> Compiled:
    return run(amp(name))


def level(found: Compiled) -> LineLevel:
    assert found.results is not None
    assert found.results.line_out is not None
    return found.results.line_out


def test_what_hangs_where():
    netlist = netlist_of(amp("fixed"))
    assert ends(netlist, "line-out", "upper") == ("speaker.hot", "line-out.tip")
    assert ends(netlist, "line-out", "lower") == ("line-out.tip", "0")
    assert ends(netlist, "line-out", "jack") == ("line-out.tip", "0")
    netlist = netlist_of(amp("level"))
    assert ends(netlist, "line-out", "upper") == ("speaker.hot", "line-out.top")
    assert ends(netlist, "line-out", "pot") == ("0", "line-out.tip", "line-out.top")


def test_the_lower_resistor_is_filled_in():
    netlist = netlist_of(amp("fixed", "{upper: 10k 0.5W}"))
    lower = netlist.by_ref[netlist.stage("line-out").parts["lower"]]
    assert isinstance(lower, Resistor)
    assert (lower.ohms, lower.origin.kind) == (1e3, "default")


@pytest.mark.parametrize("name", ["fixed", "hard-wired"])
def test_share_level_and_resistance_by_hand(name: str):
    """Divider R2/(R1 + R2), source R1 parallel R2 (standard algebra); sqrt(P Z) at the speaker. 0.1 %: the speaker in series with R1."""
    row, results = level(made(name)), made(name).results
    assert results is not None
    assert results.load is not None
    assert row.share == pytest.approx(1.0 / 11.0, rel=1e-6)
    assert row.source_ohms == pytest.approx(1e4 / 11.0, rel=1e-3)
    assert row.volts_rms == pytest.approx(math.sqrt(results.load.clean_watts * 8.0) / 11.0, rel=1e-6)


@pytest.mark.parametrize("knob", ["2", "10"])
def test_the_level_moves_the_share(knob: str):
    text = changed(amp("level"), {"controls/LINE LEVEL": knob})
    assert level(run(text)).share == pytest.approx(float(knob) / 10.0 / 11.0, rel=2e-3)


@pytest.mark.parametrize("name", AMPS)
def test_the_formula_stands_beside_the_solver(name: str):
    found = made(name)
    assert found.netlist is not None
    assert found.results is not None
    row = next(row for row in worked(found.netlist, found.results) if row.name == "line-out/share")
    assert row.closed == pytest.approx(row.solved, rel=1e-3)


@pytest.mark.parametrize("name", AMPS)
def test_the_amp_is_what_it_was(name: str):
    """Eleven thousand ohms beside eight change nothing that is heard: the input for full drive stays within 0.1 %."""
    before, after = run(demo_text(AMPS[name][0])).results, made(name).results
    assert before is not None
    assert after is not None
    assert before.sensitivity is not None
    assert after.sensitivity is not None
    assert after.sensitivity.volts_rms == pytest.approx(before.sensitivity.volts_rms, rel=1e-3)


def test_its_ground_goes_the_speakers_way():
    netlist = netlist_of(amp("fixed"))
    parts, where = netlist.stage("line-out").parts, {lead.ref: kind for lead, kind in returns(netlist).items()}
    speaker = where[netlist.stage("speaker").parts["jack"]]
    assert where[parts["jack"]] == where[parts["lower"]] == speaker


def test_the_back_panel_has_it():
    assert ("jack", "LINE OUT") in [(one.kind, one.name) for one in back(netlist_of(amp("fixed")))]


def test_slips_are_said():
    assert codes_of(amp("fixed", "{lower: 1k}")) == ["SCH-001"]
    assert codes_of(amp("level", "{upper: 10k, pot: 1k linear, control: VOLUME}")) == ["NAM-014"]


@pytest.mark.parametrize("name", AMPS)
def test_against_ngspice(name: str):
    agrees_with_ngspice(netlist_of(amp(name)))


@pytest.mark.parametrize("name", ["line-out", "line-out-with-a-pot"])
@pytest.mark.parametrize("volts", VOLTS)
def test_the_drawing_reads_back_and_is_clean(name: str, volts: str):
    draws_clean(variant(name), volts)


@pytest.mark.parametrize("name", AMPS)
def test_the_amp_compiles_without_a_warning(name: str):
    assert above_info(made(name)) == []

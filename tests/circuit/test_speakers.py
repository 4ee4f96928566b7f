"""Several speakers and the extension jack: what stands where, the load in each use, against ohm's law and ngspice; wires and manuals."""

from __future__ import annotations

from functools import cache

import pytest

from humdinger.circuit.netlist import GROUND, Jack, Netlist, Speaker
from humdinger.compile import Compiled, judged, placed
from humdinger.manual.panel import back, fitted_speakers
from support.amps import above_info, changed, demo, demo_text, run
from support.front import PATH, world
from support.kinds import agrees_with_ngspice

SERIES = {"speaker/count": "2", "speaker/wiring": "series", "speaker/impedance": "4 ohm", "speaker/resistance": "3.2"}
PARALLEL = {"speaker/count": "2", "speaker/wiring": "parallel", "speaker/impedance": "16 ohm", "speaker/resistance": "12.8"}
ROWS = {"speaker/count": "4", "speaker/wiring": "series-parallel"}
SWITCHING = {"speaker/extension": "{arrangement: switching, impedance: 8 ohm}"}
BESIDE = {"speaker/extension": "{arrangement: parallel, impedance: 16 ohm}", "speaker/impedance": "16 ohm", "speaker/resistance": "12.8"}
AMPS = {
    "series": ("curlew", SERIES),
    "parallel": ("curlew", PARALLEL),
    "rows": ("curlew", ROWS),
    "rows-soldered": ("dunlin", ROWS),
    "switching": ("curlew", SERIES | SWITCHING),
    "switching-soldered": ("dunlin", SWITCHING),
}
TOGETHER = {
    "series": (4.0, lambda z: z + z),
    "parallel": (16.0, lambda z: z * z / (z + z)),
    "rows": (8.0, lambda z: 1.0 / (1.0 / (z + z) + 1.0 / (z + z))),
}
"""Ohms of each, and what they make by ohm's law."""


@cache
def made(name: str) -> Compiled:
    amp, changes = AMPS[name]
    return judged(world(changed(demo_text(amp), changes)), PATH, bench=True, propose=False)


def netlist_of(name: str) -> Netlist:
    found = made(name).netlist
    assert found is not None
    return found


@pytest.mark.parametrize("name", TOGETHER)
def test_speakers_together_by_ohms_law(name: str):
    results = made(name).results
    assert results is not None
    each, together = TOGETHER[name]
    assert [s.ohms for s in netlist_of(name).of(Speaker)] == [each] * (4 if name == "rows" else 2)
    (way,) = results.speaker_loads
    assert way.ohms == pytest.approx(together(each), rel=1e-9)
    # 8k to 8 ohm, whatever the speakers are made of
    assert results.load is not None
    assert results.load.load_ohms == pytest.approx(8000.0 * way.ohms / 8.0, rel=1e-9)


def test_in_series_plus_follows_minus():
    first, second = netlist_of("series").of(Speaker)
    assert first.net("+") == "speaker.hot"
    assert first.net("-") == second.net("+") == "speaker.row-1-1"
    assert second.net("-") == GROUND


def test_a_switching_jack_stands_ahead_of_the_speakers_and_its_contact_leads_to_them():
    netlist = netlist_of("switching")
    extension, own = (netlist.by_ref[netlist.stage("speaker").parts[role]] for role in ("extension-jack", "jack"))
    assert isinstance(extension, Jack)
    assert (extension.net("tip"), extension.net("tip-switch"), own.net("tip")) == ("speaker.hot", "speaker.inside", "speaker.inside")
    assert netlist.output_net == "speaker.hot"


def test_each_use_of_the_jacks_has_its_load():
    def ways(changes: dict[str, str]) -> dict[str, float]:
        found = run(changed(demo_text("curlew"), changes)).results
        assert found is not None
        return {way.state: way.ohms for way in found.speaker_loads}

    assert ways(SERIES | SWITCHING) == pytest.approx({"inside": 8.0, "extension": 8.0})
    assert ways(BESIDE) == pytest.approx({"inside": 16.0, "inside and extension": 8.0, "extension": 16.0})


def test_a_second_cabinet_beside_the_first_halves_the_load_and_is_judged():
    """8 ohm beside 8 ohm on the 8 ohm tap: half of what the tubes want."""
    found = run(changed(demo_text("curlew"), {"speaker/extension": "{arrangement: parallel, impedance: 8 ohm}"}))
    assert above_info(found) == ["OTX-001", "SPK-001"]
    lines = {d.code: d.labels[0].span.line for d in found.diagnostics if d.code in ("OTX-001", "SPK-001") and d.severity.name != "INFO"}
    text = changed(demo_text("curlew"), {"speaker/extension": "{arrangement: parallel, impedance: 8 ohm}"}).split("\n")
    assert all("impedance: 8 ohm" in text[line - 1] for line in lines.values())


def test_a_switching_jack_without_a_load_resistor_is_refused():
    """Its plug takes even the shorting contact of the jack behind it off the transformer."""
    for more in ({}, {"speaker/shorting": "true"}):
        found = run(changed(demo_text("curlew"), SWITCHING | {"speaker/load_resistor": "~"} | more))
        assert above_info(found) == ["OTX-009"]


def test_the_resistor_of_a_switching_jack_is_judged_whatever_the_jack_behind_it_does():
    """2k2 on 8 ohm is no load at all, and the shorting contact of the jack inside is cut off by the plug."""
    loose = {"speaker/load_resistor": "2k2 5W", "speaker/shorting": "true"}
    assert above_info(run(changed(demo_text("curlew"), SWITCHING | loose))) == ["OTX-009"]
    assert above_info(run(changed(demo_text("curlew"), loose))) == []


def test_a_cabinet_beside_a_jack_that_shorts_is_dumb_alone_and_that_is_told():
    """With the plug of the speakers inside drawn, the contact shorts the cabinet: no load to judge, and a word about it."""
    found = run(changed(demo_text("curlew"), BESIDE | {"speaker/shorting": "true"}))
    assert found.results is not None
    assert [way.state for way in found.results.speaker_loads] == ["inside", "inside and extension"]
    told = [d for d in found.diagnostics if d.code == "OTX-009"]
    assert [(d.severity.name, "shorts" in d.message) for d in told] == [("INFO", True)]
    assert [d for d in run(changed(demo_text("curlew"), BESIDE)).diagnostics if d.code == "OTX-009" and "shorts" in d.message] == []


def test_an_extension_jack_changes_no_number_while_it_is_empty():
    plain, other = demo("curlew").results, run(changed(demo_text("curlew"), SWITCHING)).results
    assert plain is not None
    assert other is not None
    assert other.load is not None
    assert plain.load is not None
    assert other.load.load_ohms == plain.load.load_ohms
    for net, volts in plain.nominal.volts.items():
        assert other.nominal.volts[net] == pytest.approx(volts, abs=1e-6), net


@pytest.mark.parametrize("name", AMPS)
def test_against_ngspice(name: str):
    agrees_with_ngspice(netlist_of(name), "nominal", "high")


def test_each_of_two_takes_half_the_power():
    """Curlew gives some 13 W: 12 W are too few for one speaker and enough for each of two (1.5 times the clean watts wanted)."""
    alone, shared = (above_info(run(changed(demo_text("curlew"), c | {"speaker/power": "12 W"}))) for c in ({}, PARALLEL))
    assert "SPK-002" in alone
    assert "SPK-002" not in shared


def test_two_cones_are_3_db_louder():
    one, two = (judged(world(changed(demo_text("curlew"), c)), PATH, bench=True, propose=False).results for c in ({}, PARALLEL))
    assert one is not None
    assert two is not None
    assert one.loudness is not None
    assert two.loudness is not None
    assert two.loudness.level_db - one.loudness.level_db == pytest.approx(3.01, abs=0.01)


def test_speakers_are_wired_to_their_own_jack_and_to_each_other():
    layout = placed(made("switching")).layout
    assert layout is not None
    netlist = netlist_of("switching")
    own = netlist.stage("speaker").parts["jack"]
    first, second = netlist.of(Speaker)
    ends = [{(t.ref, t.pin) for t in (wire.start, wire.end)} for wire in layout.wires]
    assert {(own, "tip"), (first.ref, "+")} in ends
    assert {(first.ref, "-"), (second.ref, "+")} in ends
    assert {(own, "sleeve"), (second.ref, "-")} in ends


def test_words_of_the_panel():
    assert fitted_speakers(netlist_of("switching")).replace("\u00a0", " ") == "2 of 4 Ω in series"
    names = [fitting.name for fitting in back(netlist_of("switching"))]
    assert any(name.startswith("EXTENSION 8") for name in names)
    assert any(name.startswith("SPEAKER 8") for name in names)


@pytest.mark.parametrize("name", AMPS)
def test_the_amp_compiles_without_a_warning(name: str):
    assert above_info(made(name)) == []

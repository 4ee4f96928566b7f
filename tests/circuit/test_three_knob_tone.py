"""The three-knob tone: what stands on which net, its response against its transfer function and ngspice, manuals without warnings."""

from __future__ import annotations

from functools import cache

import numpy as np
import pytest

from humdinger.analysis.smallsignal import small_signal
from humdinger.analysis.worked import worked
from humdinger.compile import Compiled, elaborated
from humdinger.units.taper import track_fraction
from support.amps import above_info, changed, demo_text, run
from support.drawn import VOLTS
from support.driven import nominal
from support.front import PATH, world
from support.kinds import MAINS, agrees_with_ngspice, draws_clean
from support.signal_amps import ends, netlist_of, part, spelled
from support.tones import nodal_response, stack_behind_a_follower, stack_behind_a_plate

BAND = (5.0, 40.0, 82.0, 200.0, 500.0, 1000.0, 3000.0, 8000.0, 20e3)


def behind_plate(more: dict[str, str] | None = None, /, **keys: str) -> str:
    """Curlew with the network on the plate of its first stage."""
    return changed(demo_text("curlew"), stack_behind_a_plate(2, **keys) | (more or {}))


def behind_follower(**keys: str) -> str:
    """Curlew with its idle section as a follower between the two; what the follower draws asks for more capacitance on its node."""
    changes = stack_behind_a_follower(demo_text("curlew"), 2, "V2b", "B3", **keys)
    return changed(demo_text("curlew"), changes | {"supply/filter/2/capacitor": "68u 450V"})


AMPS = {"plate": behind_plate, "follower": behind_follower}


@cache
def made(driver: str) -> Compiled:
    return run(AMPS[driver]())


def test_nets_are_those_of_the_docstring():
    netlist = netlist_of(behind_plate())
    assert ends(netlist, "tone", "treble-capacitor") == ("first.plate", "tone.treble-top")
    assert ends(netlist, "tone", "treble") == ("tone.bass-top", "tone.out", "tone.treble-top")
    assert ends(netlist, "tone", "slope") == ("first.plate", "tone.slope")
    assert ends(netlist, "tone", "bass-capacitor") == ("tone.slope", "tone.bass-top")
    assert ends(netlist, "tone", "bass") == ("tone.middle-top", "tone.bass-top", "tone.bass-top")
    assert ends(netlist, "tone", "middle-capacitor") == ("tone.slope", "tone.middle-wiper")
    assert ends(netlist, "tone", "middle") == ("0", "tone.middle-wiper", "tone.middle-top")
    assert ends(netlist, "level", "pot") == ("0", "level.out", "tone.out")
    assert [c.name for c in netlist.controls][:3] == ["TREBLE", "BASS", "MIDDLE"]


@pytest.mark.parametrize(("driver", "text"), [("plate", "100k"), ("follower", "56k")])
def test_the_slope_resistor_fits_what_drives_it(driver: str, text: str):
    netlist = made(driver).netlist
    assert netlist is not None
    assert next(d.text for d in netlist.defaults if d.path.endswith("/slope")) == text
    assert part(netlist, "tone", "slope").origin.kind == "default"


@pytest.mark.parametrize("driver", AMPS)
@pytest.mark.parametrize("knobs", [(5, 5, 5), (2, 8, 5), (9, 1, 0), (10, 10, 10), (0, 5, 10)], ids=str)
def test_the_exact_transfer_function(driver: str, knobs: tuple[int, int, int]):
    """Third order, from Kirchhoff's law at the six nodes of the network by Cramer's rule. With VOLUME at 0 its whole track is the load."""
    treble, bass, middle = knobs
    text = changed(AMPS[driver](), {"controls": f"{{TREBLE: {treble}, BASS: {bass}, MIDDLE: {middle}, VOLUME: 0}}"})
    netlist = netlist_of(text)
    source = netlist.stage("tone").ports["in"]
    found = small_signal(netlist, nominal(netlist)).transfer(source, ["tone.out"], BAND)[:, 0]
    t, b, m = track_fraction("audio", treble / 10), track_fraction("audio", bass / 10), track_fraction("linear", middle / 10)
    slope = {"plate": 100e3, "follower": 56e3}[driver]
    exact = nodal_response(
        [
            ("in", "top", 0.0, 250e-12),
            ("top", "out", 1.0 / (250e3 * (1.0 - t)), 0.0),
            ("out", "bass", 1.0 / (250e3 * t), 0.0),
            ("in", "slope", 1.0 / slope, 0.0),
            ("slope", "bass", 0.0, 100e-9),
            ("bass", "middle", 1.0 / (1e6 * b), 0.0),
            ("slope", "wiper", 0.0, 47e-9),
            ("middle", "wiper", 1.0 / (25e3 * (1.0 - m)), 0.0),
            ("wiper", "0", 1.0 / (25e3 * m), 0.0),
            ("out", "0", 1e-6, 0.0),
        ],
        "in",
        "out",
        BAND,
    )
    # 1e-5: the next grid's leak is not infinite, and the wiper of VOLUME stands 100 ohm above ground
    assert np.abs(found / exact - 1.0).max() < 1e-5


def test_the_ends_by_inspection():
    """m/(m + slope) with bass and middle capacitor shorted and the treble capacitor open; t + (1 - t) m/(m + slope parallel treble pot)
    with all three shorted (derived, stages/three_knob_tone.py). A treble capacitor of 1p keeps the two apart."""
    apart = {"treble_capacitor": "1p 630V", "bass_capacitor": "10u 630V film", "middle_capacitor": "10u 630V film"}
    text = behind_plate({"controls": "{VOLUME: 0, MIDDLE: 3, TREBLE: 6}", "signal/3/pot": "50M audio"}, **apart)
    found = run(text)
    assert found.netlist is not None
    assert found.results is not None
    rows = {row.name: row for row in worked(found.netlist, found.results)}
    assert rows["tone/dip"].closed == pytest.approx(7.5 / 107.5)
    amp = small_signal(found.netlist, nominal(found.netlist))
    dip, treble = np.abs(amp.transfer("first.plate", ["tone.out"], [1e3, 3e7])[:, 0])
    # 0.2 %: 50M behind 48k at most; 159 Ω and 16 Ω of reactance at 1 kHz beside 7k5
    assert dip == pytest.approx(rows["tone/dip"].closed, rel=0.002)
    assert treble == pytest.approx(rows["tone/treble"].closed, rel=0.002)


@pytest.mark.parametrize("driver", AMPS)
def test_clockwise_is_more(driver: str):
    def level(hertz: float, **knobs: int) -> float:
        where = {"TREBLE": 5, "BASS": 5, "MIDDLE": 5} | knobs
        netlist = netlist_of(changed(AMPS[driver](), {f"controls/{name}": str(at) for name, at in where.items()}))
        return float(abs(small_signal(netlist, nominal(netlist)).transfer(netlist.stage("tone").ports["in"], ["tone.out"], [hertz])[0, 0]))

    for name, hertz in (("TREBLE", 6000.0), ("BASS", 80.0), ("MIDDLE", 500.0)):
        low, half, high = (level(hertz, **{name: at}) for at in (0, 5, 10))
        assert low < half < high, name


@pytest.mark.parametrize("driver", AMPS)
def test_against_ngspice(driver: str):
    agrees_with_ngspice(netlist_of(AMPS[driver]()), *MAINS)


def test_a_coupling_capacitor_before_it_is_refused_with_the_cure():
    text = behind_plate({"signal/1/coupling": "22n 630V"})
    made = elaborated(world(text), PATH)
    assert [d.code for d in made.diagnostics] == ["NET-001"]
    assert "`coupling: direct` here" in made.diagnostics[0].helps[0].text
    assert spelled(text, made.diagnostics[0].labels[0].span) == "22n 630V"


@pytest.mark.parametrize("driver", AMPS)
@pytest.mark.parametrize("volts", VOLTS)
def test_the_drawing_reads_back_and_is_clean(driver: str, volts: str):
    draws_clean(netlist_of(AMPS[driver]()), volts)


@pytest.mark.parametrize("driver", AMPS)
def test_the_amp_compiles_without_a_warning(driver: str):
    assert above_info(made(driver)) == []

"""The treble cut on a line and between an inverter's halves: nets, its shelf against Thevenin and ngspice, manuals without warnings."""

from __future__ import annotations

from functools import cache

import numpy as np
import pytest

from humdinger.analysis.smallsignal import small_signal
from humdinger.analysis.worked import worked
from humdinger.compile import Compiled
from humdinger.units.taper import track_fraction
from support.amps import above_info, changed, demo_text, run
from support.drawn import VOLTS
from support.driven import impedance, nominal
from support.kinds import agrees_with_ngspice, draws_clean
from support.signal_amps import ends, netlist_of
from support.tones import CUT, with_stage

BAND = (50.0, 300.0, 1000.0, 4000.0, 15e3)
PLACES = {
    "behind a stage": ("dunlin", 2),
    "behind a volume": ("dunlin", 4),
    "behind a long-tailed pair": ("curlew", 6),
    "behind a cathodyne": ("heron", 7),
}


def amp(place: str) -> str:
    name, at = PLACES[place]
    return changed(demo_text(name), with_stage(demo_text(name), at, CUT))


@cache
def made(place: str) -> Compiled:
    return run(amp(place))


@pytest.mark.parametrize(
    ("place", "line", "back", "follows"),
    [
        ("behind a stage", "first.out", "0", "cut.in"),
        ("behind a volume", "level.out", "0", "V1b"),
        ("behind a long-tailed pair", "inverter.out-a", "inverter.out-b", "output"),
        ("behind a cathodyne", "inverter.out-a", "inverter.out-b", "output"),
    ],
)
def test_it_lies_across_and_the_signal_passes_by(place: str, line: str, back: str, follows: str):
    netlist = netlist_of(amp(place))
    assert ends(netlist, "top", "capacitor") == (line, "top.junction")
    assert ends(netlist, "top", "pot") == (back, "top.junction", "top.junction")
    reached = {
        "cut.in": netlist.stage("cut").ports["in"] if place == "behind a stage" else "",
        "V1b": netlist.by_section["V1b"].grid if "V1b" in netlist.by_section else "",
        "output": netlist.stage("output").ports.get("drive-a", ""),
    }
    assert reached[follows] == line
    assert next(c for c in netlist.controls if c.name == "TONE")


@pytest.mark.parametrize("place", PLACES)
@pytest.mark.parametrize("knob", [0, 5, 10])
def test_the_shelf_by_thevenin(place: str, knob: int):
    """(1 + jwRC)/(1 + jw(R + Z)C) of the level without the branch, Z what the branch sees of the amp without it: Thevenin's theorem,
    with Z from one current driven into that amp and the level from the other."""
    name, _ = PLACES[place]
    without = netlist_of(demo_text(name))
    netlist = netlist_of(changed(amp(place), {"controls/TONE": str(knob)}))
    line, back = ends(netlist, "top", "capacitor")[0], ends(netlist, "top", "pot")[0]
    plain, cut = small_signal(without, nominal(without)), small_signal(netlist, nominal(netlist))

    def levels(of):
        found = of.transfer(netlist.input_net, [line, back], BAND)
        return found[:, 0] - found[:, 1]

    left = 1e6 * track_fraction("audio", knob / 10)
    for hertz, ratio in zip(BAND, levels(cut) / levels(plain), strict=True):
        jw, z = 2j * np.pi * hertz, impedance(plain, line, hertz, back)
        expected = (1.0 + jw * left * 4.7e-9) / (1.0 + jw * (left + z) * 4.7e-9)
        # 1e-6: the two halves of the pot are two resistors, the tied one of a milliohm's conductance
        assert ratio == pytest.approx(expected, rel=1e-6)


@pytest.mark.parametrize("place", PLACES)
def test_clockwise_is_more_treble_and_leaves_the_bass(place: str):
    netlist = netlist_of(amp(place))
    line, back = ends(netlist, "top", "capacitor")[0], ends(netlist, "top", "pot")[0]
    levels = []
    for knob in (0, 5, 10):
        set_so = netlist_of(changed(amp(place), {"controls/TONE": str(knob)}))
        found = small_signal(set_so, nominal(set_so)).transfer(set_so.input_net, [line, back], [20.0, 8000.0])
        levels.append(np.abs(found[:, 0] - found[:, 1]))
    low, half, high = levels
    assert low[1] < half[1] < high[1]
    # a cathodyne drives the branch from a kilohm or two, and heron's feedback makes up for what is cut inside its loop
    assert low[1] < (0.95 if place == "behind a cathodyne" else 0.5) * high[1]
    assert low[0] == pytest.approx(high[0], rel=0.05)


def test_the_upper_end_is_worked():
    found = made("behind a stage")
    assert found.netlist is not None
    assert found.results is not None
    row = next(row for row in worked(found.netlist, found.results) if row.name == "top/shelf")
    assert row.closed == pytest.approx(1.0 / (2.0 * np.pi * 100e3 * 4.7e-9))  # an audio track is at a tenth at 5 of 10


@pytest.mark.parametrize("place", PLACES)
def test_against_ngspice(place: str):
    agrees_with_ngspice(netlist_of(amp(place)))


@pytest.mark.parametrize("place", PLACES)
@pytest.mark.parametrize("volts", VOLTS)
def test_the_drawing_reads_back_and_is_clean(place: str, volts: str):
    netlist = netlist_of(amp(place))
    sections = draws_clean(netlist, volts)
    on = {sheet.name for sheet in sections if netlist.stage("top").parts["pot"] in sheet.content.drawn}
    assert on == {"preamp"} if netlist.stage("top").section == "preamp" else not on & {"preamp"}


@pytest.mark.parametrize("place", PLACES)
def test_the_amp_compiles_without_a_warning(place: str):
    assert above_info(made(place)) == []

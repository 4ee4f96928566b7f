"""The master volume before an inverter, before one output tube, as two tracks behind: nets, shares, ngspice, manuals without warnings."""

from __future__ import annotations

from functools import cache

import numpy as np
import pytest

from humdinger.analysis.smallsignal import small_signal
from humdinger.circuit.netlist import Pot
from humdinger.compile import Compiled
from humdinger.manual.panel import player_pots
from humdinger.units.taper import track_fraction
from support.amps import above_info, changed, demo_text, run
from support.drawn import VOLTS
from support.driven import nominal
from support.kinds import agrees_with_ngspice, draws_clean
from support.signal_amps import codes_of, ends, netlist_of, part
from support.tones import MASTER, with_stage

PLACES = {
    "before a long-tailed pair": ("curlew", 5),
    "before a cathodyne": ("heron", 6),
    "before one output tube": ("dunlin", 5),
    "behind a long-tailed pair": ("curlew", 6),
    "behind a cathodyne, fixed bias": ("heron", 7),
}
ONE_TRACK = tuple(place for place in PLACES if place.startswith("before"))
NETS = ("master.out-a", "master.out-b", "inverter.out-a", "inverter.out-b")
TWO_TRACKS = tuple(place for place in PLACES if place.startswith("behind"))


def amp(place: str, *, master: str = MASTER, **controls: str) -> str:
    name, at = PLACES[place]
    changes = with_stage(demo_text(name), at, master)
    return changed(demo_text(name), changes | {f"controls/{key}": value for key, value in controls.items()})


AS_BUILT = {
    "behind a long-tailed pair": {"modulation/injection/through": "680k"},
}
"""The track behind the inverter is one more load for the tremolo: smaller mixing resistors."""


@cache
def made(place: str) -> Compiled:
    """With watts on the track, which an amp that is sold has to say."""
    return run(changed(amp(place, master=MASTER.replace("audio", "audio 0.5W")), AS_BUILT.get(place, {})))


@pytest.mark.parametrize(
    ("place", "coupled", "out"),
    [
        ("before a long-tailed pair", True, "V3a"),
        ("before a cathodyne", True, "V2b"),
        ("before one output tube", False, "V2"),
    ],
)
def test_one_track_and_its_capacitor(place: str, coupled: bool, out: str):
    netlist = netlist_of(amp(place))
    assert ends(netlist, "master", "pot")[:2] == ("0", "master.wiper")
    assert ("coupling" in netlist.stage("master").parts) == coupled
    feeds = netlist.stage("master").ports["out"]
    if coupled:
        assert ends(netlist, "master", "coupling") == ("master.wiper", feeds)
        assert part(netlist, "master", "coupling").origin.kind == "default"
    after = netlist.by_section[out]
    stopped = [p for p, _ in netlist.on_net[after.grid] if p.role == "grid-stopper" or p.role == "grid-stopper-a"]
    assert feeds in ({pin.net for pin in stopped[0].pins} if stopped else {after.grid})


@pytest.mark.parametrize(("place", "back"), [("behind a long-tailed pair", "0"), ("behind a cathodyne, fixed bias", "bias.feed")])
def test_two_tracks_end_where_the_grid_leaks_do(place: str, back: str):
    netlist = netlist_of(amp(place))
    for letter in "ab":
        assert ends(netlist, "master", f"pot-{letter}") == (back, f"master.out-{letter}", f"inverter.out-{letter}")
        assert set(ends(netlist, "output", f"grid-leak-{letter}")) == {f"master.out-{letter}", back}
    front, rear = (part(netlist, "master", f"pot-{letter}") for letter in "ab")
    assert isinstance(front, Pot)
    assert isinstance(rear, Pot)
    assert (front.gang, rear.gang) == ("", front.ref)
    assert [c.ref for c in netlist.controls if c.name == "MASTER"] == [front.ref]
    assert [pot.ref for pot in player_pots(netlist) if pot.control == "MASTER"] == [front.ref]


@pytest.mark.parametrize("place", TWO_TRACKS)
def test_one_shaft_moves_both_tracks(place: str):
    """Both halves fall alike: the wipers stand to each other as what the inverter gives them. 0.2 %: in a real pair of tubes the
    balance of the inverter itself changes a little with its load, and the tubes' input capacitances bend it at 2 of 10."""
    levels = []
    for knob in ("2", "10"):
        netlist = netlist_of(amp(place, MASTER=knob))
        found = small_signal(netlist, nominal(netlist))
        levels.append(np.abs(found.transfer(netlist.input_net, NETS, [1000.0])[0]))
    low, high = levels
    assert (low[:2] < 0.3 * high[:2]).all()
    for found in levels:
        assert found[0] / found[1] == pytest.approx(found[2] / found[3], rel=0.002)


@pytest.mark.parametrize("knob", [0.3, 0.5, 0.8])
def test_the_share_of_a_loaded_divider(knob: float):
    """f R parallel RL over that plus (1 - f) R, RL the grid leak (standard algebra).
    1 %: the grid stopper and the tubes' input capacitance."""
    netlist = netlist_of(amp("behind a long-tailed pair", MASTER=str(10 * knob)).replace("through: 2M2", "through: 100M"))
    f = track_fraction("audio", knob)
    below = 1.0 / (1.0 / (f * 1e6) + 1.0 / 330e3)
    found = small_signal(netlist, nominal(netlist))
    for letter in "ab":
        share = abs(found.transfer(f"inverter.out-{letter}", [f"master.out-{letter}"], [400.0])[0, 0])
        assert share == pytest.approx(below / (below + (1.0 - f) * 1e6), rel=0.01)


def test_the_bias_does_not_move_with_the_loudness():
    grids = []
    for knob in ("0", "5", "10"):
        found = run(amp("behind a cathodyne, fixed bias", MASTER=knob)).results
        assert found is not None
        grids.append([found.nominal.volts["output.grid-a"], found.nominal.volts["output.grid-b"]])
    assert np.ptp(np.array(grids), axis=0).max() < 0.05


@pytest.mark.parametrize("place", PLACES)
def test_all_volumes_up_counts_the_master(place: str):
    """Sensitivity with every volume up is the same wherever the master stands."""
    low, high = (run(amp(place, MASTER=knob)).results for knob in ("3", "10"))
    assert low is not None
    assert high is not None
    assert low.sensitivity is not None
    assert high.sensitivity is not None
    assert low.sensitivity.volts_rms > 2.0 * high.sensitivity.volts_rms
    assert low.sensitivity.volts_rms_full == pytest.approx(high.sensitivity.volts_rms_full, rel=1e-3)


def test_a_capacitor_behind_the_inverter_is_refused():
    text = amp("behind a long-tailed pair", master="{stage: master-volume, id: master, pot: 1M audio, coupling: 22n 400V}")
    assert codes_of(text) == ["ELB-070"]


@pytest.mark.parametrize("place", TWO_TRACKS)
def test_feedback_goes_the_same_way_round(place: str):
    """The walk back from the output tubes passes the master on the side it came from."""
    netlist = netlist_of(amp(place))
    name, _ = PLACES[place]
    assert netlist.stage("output").facts["swapped"] == netlist_of(demo_text(name)).stage("output").facts["swapped"]


@pytest.mark.parametrize("place", PLACES)
def test_against_ngspice(place: str):
    agrees_with_ngspice(netlist_of(amp(place)))


@pytest.mark.parametrize("place", PLACES)
@pytest.mark.parametrize("volts", VOLTS)
def test_the_drawing_reads_back_and_is_clean(place: str, volts: str):
    draws_clean(netlist_of(amp(place)), volts)


@pytest.mark.parametrize("place", PLACES)
def test_the_amp_compiles_without_a_warning(place: str):
    assert above_info(made(place)) == []

"""Two channels into a mixer: what feeds what, the figures against algebra and ngspice, and what is refused."""

from __future__ import annotations

from functools import cache

import pytest

from humdinger.compile import Compiled
from humdinger.units.taper import track_fraction
from support.amps import above_info, demo_text, run
from support.channels import two_channels
from support.drawn import VOLTS
from support.kinds import agrees_with_ngspice, draws_clean
from support.signal_amps import codes_of, ends, netlist_of, part, text_of


def dunlin() -> str:
    return two_channels(demo_text("dunlin"), "B4")


@cache
def made() -> Compiled:
    return run(dunlin())


def test_channels_meet_in_the_mixer():
    netlist = netlist_of(dunlin())
    assert ends(netlist, "sum", "resistor-1") == ("level.out", "sum.out")
    assert ends(netlist, "sum", "resistor-2") == ("other-level.out", "sum.out")
    assert netlist.by_section["V1b"].grid == "sum.out"
    assert [part(netlist, stage, "jack").label for stage in ("guitar", "second-guitar")] == ["INPUT", "INPUT 2"]
    assert netlist.by_section["V3a"].grid == "second-guitar.out"
    assert next(d.text for d in netlist.defaults if d.path == "signal/7/inputs/0/resistor") == "470k"


@pytest.mark.parametrize(
    ("old", "new", "codes"),
    [
        ("from: other-level", "from: other-levl", ["NAM-007"]),
        ("control: VOLUME 2", "control: VOLUME", ["NAM-014"]),
    ],
)
def test_a_slip_is_said(old: str, new: str, codes: list[str]):
    text = dunlin()
    assert text.count(old) == 1
    assert codes_of(text.replace(old, new)) == codes


def test_each_channel_gains_from_its_own_jack():
    """Not from what leaks back through the mixer: the second gain stage and volume do what the first do with the same values."""
    results = made().results
    assert results is not None
    gains = {g.stage: g.gain for g in results.gains}
    assert 40.0 < gains["other"] < 100.0  # a 12AX7 with its cathode bypassed
    assert 0.05 < gains["other-level"] < 0.15  # 5 of 10 on an audio track


def test_the_mixer_divides_by_millman():
    """Input 1: G1/(G1 + G2 + jwCin), G2 with the source resistance of the other volume: kR parallel to (1-k)R and the plate behind it
    (standard algebra; Cin with Miller, reference/checks.md 1.14). 0.5 %: the coupling capacitor in the other channel's source."""
    netlist, results = made().netlist, made().results
    assert netlist is not None
    assert results is not None
    gains = {g.stage: g.gain for g in results.gains}
    tube = netlist.by_section["V1b"].section
    assert tube.input_farads is not None
    assert tube.grid_plate_farads is not None
    cin = tube.input_farads.value + tube.grid_plate_farads.value * (1.0 + gains["driver"])
    k = track_fraction("audio", 0.5)
    rp = results.nominal.sections["V3a"].plate_ohms
    below, above = 1e6 * k, 1e6 * (1.0 - k) + rp * 220e3 / (rp + 220e3)
    g1, g2 = 1.0 / 470e3, 1.0 / (220e3 + below * above / (below + above))
    assert gains["sum"] == pytest.approx(abs(g1 / (g1 + g2 + 2j * 3.14159265 * 1e3 * cin)), rel=0.005)


def test_against_ngspice():
    agrees_with_ngspice(netlist_of(dunlin()))


@pytest.mark.parametrize("volts", VOLTS)
def test_the_drawing_reads_back_and_is_clean(volts: str):
    draws_clean(netlist_of(two_channels(text_of("pipit"), "B3")), volts)


def test_the_amp_compiles_without_a_warning():
    assert above_info(made()) == []

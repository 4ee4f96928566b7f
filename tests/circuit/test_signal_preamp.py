"""Input, gain stage, follower and the controls between them: what stands on which net, and what was filled in."""

from __future__ import annotations

import pytest

from humdinger.circuit.netlist import Capacitor, Jack, Pot, Resistor
from support.signal_amps import codes_of, ends, netlist_of, part, spelled, text_of

FOLLOWER = """  - stage: cathode-follower
    id: follower
    tube: V2b
    supply: B3
    cathode_resistor: 100k 1W
    coupling: 100n 630V
"""
SECOND = """    plate_load: 150k
    cathode_resistor: 2k2
    cathode_bypass: 10u 63V
    coupling: 22n 630V
  - stage: long-tailed-pair
"""


def with_follower(coupling: str, *more: tuple[str, str]) -> str:
    """The EL84 amp with a follower between its second stage and the inverter."""
    stage = SECOND.replace("coupling: 22n 630V", f"coupling: {coupling}").replace("  - stage: long", FOLLOWER + "  - stage: long")
    return text_of("ruff", (SECOND, stage), *more)


def filled(netlist, path: str) -> str:
    """The text of a default."""
    return next(d.text for d in netlist.defaults if d.path == path)


def test_input_jack_grounds_its_tip_when_empty():
    netlist = netlist_of(text_of("pipit"))
    jack = part(netlist, "guitar", "jack")
    assert isinstance(jack, Jack)
    assert (jack.ref, jack.net("tip"), jack.net("sleeve"), jack.net("tip-switch")) == ("J1", "guitar.tip", "0", "0")
    assert ends(netlist, "guitar", "grid-leak") == ("guitar.tip", "0")
    assert ends(netlist, "guitar", "grid-stopper") == ("guitar.tip", "guitar.out")
    assert netlist.by_section["V1a"].grid == "guitar.out"
    assert netlist.input_net == "guitar.tip"
    assert filled(netlist, "signal/0/switched") == "true"


def test_input_without_contact_and_without_stopper():
    netlist = netlist_of(text_of("pipit", ("    grid_stopper: 33k\n", "    switched: false\n")))
    jack = part(netlist, "guitar", "jack")
    assert isinstance(jack, Jack)
    assert not jack.switched
    assert {pin.name for pin in jack.pins} == {"tip", "sleeve"}
    assert netlist.by_section["V1a"].grid == "guitar.tip"


def test_an_input_in_the_middle_is_refused():
    extra = "  - {stage: input, id: again, grid_leak: 1M}\n  - stage: bass-cut\n"
    assert "ELB-012" in codes_of(text_of("pipit", ("  - stage: bass-cut\n", extra)))


def test_signal_without_an_input_is_refused():
    text = text_of("pipit", ("  - stage: input\n    id: guitar\n    grid_leak: 1M\n    grid_stopper: 33k\n", ""))
    assert "ELB-010" in codes_of(text)


def test_common_cathode_nets_and_designators_in_signal_order():
    netlist = netlist_of(text_of("pipit"))
    assert ends(netlist, "first", "plate-load") == ("B3", "first.plate")
    assert ends(netlist, "first", "cathode-resistor") == ("first.cathode", "0")
    assert ends(netlist, "first", "cathode-bypass") == ("first.cathode", "0")
    assert ends(netlist, "first", "coupling") == ("first.plate", "first.out")
    assert [netlist.stage("guitar").parts[r] for r in ("grid-leak", "grid-stopper")] == ["R1", "R2"]
    assert [netlist.stage("first").parts[r] for r in ("plate-load", "cathode-resistor")] == ["R3", "R4"]
    assert "cathode-bypass" not in netlist.stage("driver").parts


def test_a_pinned_designator_is_kept_and_no_other_part_takes_it():
    netlist = netlist_of(text_of("pipit") + "\nrefs: {signal/1/plate_load: R2}\n")
    assert part(netlist, "first", "plate-load").ref == "R2"
    assert part(netlist, "guitar", "grid-stopper").ref == "R3"
    assert len({p.ref for p in netlist.parts}) == len(netlist.parts)


def test_values_ratings_and_spans_are_those_written():
    text = text_of("whimbrel")
    netlist = netlist_of(text)
    load = part(netlist, "inverter", "load-a")
    assert isinstance(load, Resistor)
    assert (load.ohms, load.watts, spelled(text, load.span)) == (56e3, 1.0, "56k 1W")
    bypass = part(netlist, "first", "cathode-bypass")
    assert isinstance(bypass, Capacitor)
    assert (bypass.farads, bypass.volts, spelled(text, bypass.span)) == (4.7e-6, 63.0, "4u7 63V")
    assert bypass.technology == "electrolytic"
    assert bypass.net("+") == "first.cathode"


def test_volume_is_a_divider_with_ground_at_its_foot():
    netlist = netlist_of(text_of("pipit") + "\ncontrols: {VOLUME: 3}\n")
    pot = part(netlist, "level", "pot")
    assert isinstance(pot, Pot)
    assert (pot.net("cw"), pot.net("wiper"), pot.net("ccw")) == ("cut.out", "level.out", "0")
    assert (pot.control, pot.position) == ("VOLUME", 0.3)
    assert filled(netlist, "signal/3/control") == "VOLUME"


def test_bass_cut_shorts_its_capacitor_clockwise():
    netlist = netlist_of(text_of("pipit"))
    assert ends(netlist, "cut", "capacitor") == ("first.out", "cut.out")
    pot = part(netlist, "cut", "pot")
    # what is left between cw and wiper bridges the capacitor; the free end joins the wiper
    assert (pot.net("cw"), pot.net("wiper"), pot.net("ccw")) == ("first.out", "cut.out", "cut.out")


def test_two_knob_tone_is_the_bridge_of_its_docstring():
    netlist = netlist_of(text_of("ruff"))
    assert ends(netlist, "tone", "bass-slope") == ("first.out", "tone.bass-top")
    assert ends(netlist, "tone", "bass-upper") == ("tone.bass-top", "tone.bass-wiper")
    assert ends(netlist, "tone", "bass-lower") == ("tone.bass-wiper", "tone.bass-foot")
    assert ends(netlist, "tone", "bass-end") == ("tone.bass-foot", "0")
    assert ends(netlist, "tone", "isolation") == ("tone.bass-wiper", "tone.out")
    assert ends(netlist, "tone", "treble-upper") == ("first.out", "tone.treble-top")
    assert ends(netlist, "tone", "treble-lower") == ("tone.treble-foot", "0")
    assert ends(netlist, "tone", "bass") == ("tone.bass-foot", "tone.bass-wiper", "tone.bass-top")
    assert ends(netlist, "tone", "treble") == ("tone.treble-foot", "tone.out", "tone.treble-top")


@pytest.mark.parametrize(("slope", "end"), [("100k", "10k"), ("220k", "22k"), ("470k", "47k")])
def test_bass_end_follows_the_capacitors(slope, end):
    netlist = netlist_of(text_of("ruff", ("bass_slope: 100k", f"bass_slope: {slope}")))
    assert filled(netlist, "signal/2/bass_end") == end
    foot = part(netlist, "tone", "bass-end")
    assert isinstance(foot, Resistor)
    assert foot.ohms == 1000 * int(end[:-1])
    assert foot.origin.kind == "default"
    assert "bass_lower" in foot.origin.reason


def test_a_written_bass_end_is_no_default():
    netlist = netlist_of(text_of("ruff", ("    bass_slope: 100k\n", "    bass_slope: 100k\n    bass_end: 15k\n")))
    assert part(netlist, "tone", "bass-end").origin.kind == "spec"
    assert not any(d.path == "signal/2/bass_end" for d in netlist.defaults)


def test_follower_with_a_bias_of_its_own():
    netlist = netlist_of(with_follower("22n 630V"))
    assert ends(netlist, "follower", "grid-leak") == ("second.out", "follower.bias")
    assert ends(netlist, "follower", "grid-stopper") == ("second.out", "follower.grid")
    assert ends(netlist, "follower", "bias-resistor") == ("follower.cathode", "follower.bias")
    assert ends(netlist, "follower", "cathode-resistor") == ("follower.bias", "0")
    assert ends(netlist, "follower", "coupling") == ("follower.cathode", "follower.out")
    section = netlist.by_section["V2b"]
    assert (section.plate, section.grid, section.cathode) == ("B3", "follower.grid", "follower.cathode")
    assert [filled(netlist, f"signal/5/{key}") for key in ("grid_leak", "grid_stopper", "bias_resistor")] == ["1M", "10k", "1k5"]


def test_follower_that_hangs_on_the_plate_before_it():
    netlist = netlist_of(with_follower("direct"))
    assert netlist.stage("follower").facts["direct"] is True
    assert ends(netlist, "follower", "grid-stopper") == ("second.plate", "follower.grid")
    assert ends(netlist, "follower", "cathode-resistor") == ("follower.cathode", "0")
    assert {"grid-leak", "bias-resistor"}.isdisjoint(netlist.stage("follower").parts)


def test_follower_behind_a_pot_has_nowhere_to_set_its_grid():
    wrong = FOLLOWER.replace("    tube: V2b", "    from: level\n    tube: V2b")
    stage = SECOND.replace("  - stage: long", wrong + "  - stage: long")
    assert codes_of(text_of("ruff", (SECOND, stage))) == ["ELB-015"]


def test_a_pentode_is_no_gain_triode():
    # name resolution may say it first; elaboration must never take it in silence
    assert codes_of(text_of("pipit", ("    tube: V1b\n", "    tube: V2\n")))

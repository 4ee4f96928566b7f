"""The oscillator's ladder, its controls and footswitch, and both injections."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from humdinger.analysis.operating import conditions
from humdinger.analysis.smallsignal import small_signal
from humdinger.circuit.netlist import GROUND, Capacitor, Jack, Netlist, Pot, Resistor, Switch, Tube
from support.signal_amps import codes_of, ends, netlist_of, part, spelled, text_of

FOUR = (
    ("capacitors: [22n 630V, 22n 630V, 22n 630V]", "capacitors: [22n 630V, 22n 630V, 22n 630V, 22n 630V]"),
    ("resistors: [1M, 220k, 1M]", "resistors: [1M, 220k, 1M, 820k]"),
)


def nominal(netlist: Netlist, *, tremolo: bool = False, **controls: float):
    """The nominal condition with controls moved."""
    found = next(c for c in conditions(netlist) if c.name == "nominal")
    return replace(found, tremolo=tremolo, controls=dict(found.controls) | controls)


def test_ladder_runs_from_plate_to_grid():
    text = text_of("ruff")
    netlist = netlist_of(text)
    assert ends(netlist, "oscillator", "step-capacitor-1") == ("oscillator.plate", "oscillator.step-1")
    assert ends(netlist, "oscillator", "step-capacitor-2") == ("oscillator.step-1", "oscillator.step-2")
    assert ends(netlist, "oscillator", "step-capacitor-3") == ("oscillator.step-2", "oscillator.grid")
    assert ends(netlist, "oscillator", "step-resistor-1") == ("oscillator.step-1", "0")
    assert ends(netlist, "oscillator", "step-resistor-2") == ("oscillator.step-2", "oscillator.speed")
    assert ends(netlist, "oscillator", "step-resistor-3") == ("oscillator.grid", "0")
    middle = part(netlist, "oscillator", "step-resistor-2")
    assert (middle.path, spelled(text, middle.span)) == ("modulation/oscillator/resistors/1", "220k")
    section = netlist.by_section["V2a"]
    assert (section.plate, section.grid, section.cathode) == ("oscillator.plate", "oscillator.grid", "oscillator.cathode")


def test_facts_say_what_the_start_margin_needs():
    netlist = netlist_of(text_of("ruff"))
    stage = netlist.stage("oscillator")
    assert (stage.facts["section"], stage.facts["plate"], stage.facts["grid"]) == ("V2a", "oscillator.plate", "oscillator.grid")
    assert stage.facts["speed"] == stage.parts["speed"]
    assert stage.facts["ladder"] == tuple((stage.parts[f"step-capacitor-{n}"], stage.parts[f"step-resistor-{n}"]) for n in (1, 2, 3))
    assert stage.facts["footswitch"] == stage.parts["footswitch"]


def test_speed_clockwise_is_less_resistance():
    netlist = netlist_of(text_of("ruff"))
    pot = part(netlist, "oscillator", "speed")
    assert isinstance(pot, Pot)
    # what is left is between cw and wiper; the free end joins the wiper, so a lifting wiper leaves the whole track
    assert (pot.net("cw"), pot.net("wiper"), pot.net("ccw")) == ("oscillator.speed", "0", "0")


def rates(netlist: Netlist, speed: float) -> float:
    """Imaginary part of the oscillator's unstable pair, 0 when it does not start."""
    poles = small_signal(netlist, nominal(netlist, tremolo=True, SPEED=speed)).poles()
    return max((abs(p.imag) for p in poles if p.real > 0.0), default=0.0)


def test_the_wave_starts_faster_clockwise_and_a_closed_footswitch_stops_it():
    netlist = netlist_of(text_of("ruff", ("cathode_bypass: 22u 63V", "cathode_bypass: 100u 63V")))
    assert 0.0 < rates(netlist, 0.0) < rates(netlist, 1.0)
    still = small_signal(netlist, nominal(netlist, tremolo=False)).poles()
    assert all(p.real < 0.0 for p in still)


def test_speed_pot_in_another_shunt_and_four_sections():
    netlist = netlist_of(text_of("ruff", FOUR[0], (FOUR[1][0], FOUR[1][1] + "\n    speed_section: 1")))
    assert ends(netlist, "oscillator", "step-resistor-1") == ("oscillator.step-1", "oscillator.speed")
    assert ends(netlist, "oscillator", "step-capacitor-4") == ("oscillator.step-3", "oscillator.grid")
    assert netlist.stage("oscillator").facts["speed_section"] == 1


@pytest.mark.parametrize(
    ("pairs", "code"),
    [
        ((FOUR[0],), "ELB-023"),
        ((("resistors: [1M, 220k, 1M]", "resistors: [1M, 220k, 1M]\n    speed_section: 4"),), "ELB-024"),
    ],
)
def test_ladders_that_cannot_be_built(pairs, code):
    assert codes_of(text_of("ruff", *pairs)) == [code]


def test_footswitch_is_a_jack_and_a_pedal_that_stands_open():
    netlist = netlist_of(text_of("ruff"))
    jack, pedal = part(netlist, "oscillator", "footswitch-jack"), part(netlist, "oscillator", "footswitch")
    assert isinstance(jack, Jack)
    assert isinstance(pedal, Switch)
    assert (jack.purpose, jack.net("tip"), jack.net("sleeve")) == ("footswitch", "oscillator.grid", "0")
    assert (pedal.where, pedal.closed, pedal.net("1a"), pedal.net("1b")) == ("footswitch", False, "oscillator.grid", "0")
    without = netlist_of(text_of("ruff", ("  footswitch: true\n", "")))
    assert without.stage("oscillator").facts["footswitch"] == ""
    assert not any(j.purpose == "footswitch" for j in without.of(Jack))


def reached(netlist: Netlist, start: str, shorted: str) -> set[str]:
    """Nets a direct current can reach from a B+ node through resistances, tubes and one shorted capacitor; ground stops it."""
    found, queue = {start}, [start]
    while queue:
        net = queue.pop()
        for p, _ in netlist.on_net[net]:
            conducts = isinstance(p, Resistor | Pot | Tube) or (isinstance(p, Capacitor) and p.ref == shorted)
            for pin in p.pins if conducts else ():
                if pin.net not in found and pin.net != GROUND:
                    found.add(pin.net)
                    queue.append(pin.net)
    return found


def test_no_single_shorted_capacitor_brings_the_plate_to_the_footswitch():
    netlist = netlist_of(text_of("ruff"))
    stage = netlist.stage("oscillator")
    parts = [stage.parts[role] for role in ("step-capacitor-1", "step-capacitor-2", "step-capacitor-3", "coupling", "cathode-bypass")]
    plate_load = part(netlist, "oscillator", "plate-load")
    # the tube itself joins plate and grid on its pins: leave it out, it is no capacitor
    bare = replace(netlist, parts=tuple(p for p in netlist.parts if not isinstance(p, Tube)))
    for ref in parts:
        assert "oscillator.grid" not in reached(bare, plate_load.net("1"), ref), ref
    assert "oscillator.step-1" in reached(bare, plate_load.net("1"), parts[0])  # the search does see a short
    last = part(netlist, "oscillator", "step-resistor-3")
    assert isinstance(last, Resistor)
    assert last.ohms <= 1e6


def test_intensity_taps_the_wave_behind_its_capacitor():
    netlist = netlist_of(text_of("ruff"))
    assert ends(netlist, "oscillator", "coupling") == ("oscillator.plate", "oscillator.level")
    pot = part(netlist, "oscillator", "intensity")
    assert (pot.net("cw"), pot.net("wiper"), pot.net("ccw")) == ("oscillator.level", "oscillator.lfo", "0")


def test_output_grids_get_equal_resistors_ahead_of_their_stoppers():
    netlist = netlist_of(text_of("ruff"))
    for letter in "ab":
        assert ends(netlist, "injection", f"through-{letter}") == ("oscillator.lfo", f"inverter.out-{letter}")
        found = part(netlist, "injection", f"through-{letter}")
        assert isinstance(found, Resistor)
        assert found.ohms == 330e3
    assert netlist.stage("injection").facts["through"] == ("R34", "R35")


def test_the_wave_reaches_both_grids_alike_and_cancels_in_the_transformer():
    # the wave pulls the B+ nodes along, and the stage before the pair turns that into a difference: still them with large capacitors
    still = [(f"through: {r}, capacitor: 22u 450V", f"through: {r}, capacitor: 470u 450V") for r in ("10k 2W", "22k 1W")]
    netlist = netlist_of(text_of("ruff", *still))
    found = small_signal(netlist, nominal(netlist, tremolo=True, VOLUME=0.0, INTENSITY=1.0))
    a, b, out = found.transfer("oscillator.lfo", ["output.grid-a", "output.grid-b", "speaker.hot"], [5.0])[0]
    assert abs(a) > 0.2
    assert abs(a - b) < 0.03 * abs(a)  # the plate loads of the pair differ by a tenth
    alone = found.transfer("output.grid-a", ["speaker.hot"], [5.0])[0, 0]
    assert abs(out / a) < 0.05 * abs(alone)


def test_bias_supply_injection_through_a_bootstrapped_follower():
    netlist = netlist_of(text_of("whimbrel"))
    assert ends(netlist, "injection", "coupling") == ("oscillator.lfo", "injection.drive")
    assert ends(netlist, "injection", "grid-leak") == ("injection.drive", "injection.bias")
    assert ends(netlist, "injection", "grid-stopper") == ("injection.drive", "injection.grid")
    assert ends(netlist, "injection", "bias-resistor") == ("injection.cathode", "injection.bias")
    assert ends(netlist, "injection", "cathode-resistor") == ("injection.bias", "0")
    assert ends(netlist, "injection", "through") == ("injection.cathode", "bias.feed")
    paths = {d.path: d.text for d in netlist.defaults if d.path.startswith("modulation/injection/follower")}
    assert {path.rsplit("/", 1)[1]: text for path, text in paths.items()} == {
        "coupling": "100n 630V",
        "grid_leak": "1M",
        "grid_stopper": "10k",
        "bias_resistor": "1k5",
    }


def test_follower_stands_well_above_ground_and_follows():
    from humdinger.analysis.operating import solve_operating

    netlist = netlist_of(text_of("whimbrel"))
    point = solve_operating(netlist, nominal(netlist)).sections["V3b"]
    assert point.cathode_to_ground_volts > 30.0
    assert point.grid_volts < -1.0
    found = small_signal(netlist, nominal(netlist, tremolo=True, INTENSITY=1.0))
    cathode = found.transfer("oscillator.lfo", ["injection.cathode"], [4.0])[0, 0]
    assert abs(cathode) > 0.9
    assert abs(np.angle(cathode, deg=True)) < 10.0


def test_bias_supply_injection_without_a_follower():
    follower = "    follower: {tube: V3b, supply: B3, cathode_resistor: 47k 1W}\n"
    netlist = netlist_of(text_of("whimbrel", (follower, "")))
    assert ends(netlist, "injection", "through") == ("oscillator.lfo", "bias.feed")
    assert netlist.by_section["V3b"].unused


def test_no_bias_supply_to_put_it_on():
    assert codes_of(text_of("ruff", ("point: output-grids, through: 330k", "point: bias-supply, through: 470n 630V"))) == ["ELB-025"]


def test_feedback_and_injection_at_the_grids_do_not_get_in_each_others_way():
    netlist = netlist_of(text_of("ruff") + "\nfeedback: {from: 8 ohm, to: inverter, resistor: 47k 1W, shunt: 4k7}\n")
    assert netlist.stage("feedback").facts["to"] == "inverter"

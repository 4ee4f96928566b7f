"""Output stages, output transformer, bias, feedback polarity and speaker."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest

from humdinger.analysis.operating import conditions
from humdinger.analysis.smallsignal import small_signal
from humdinger.circuit.netlist import Capacitor, Diode, Jack, Netlist, OutputTransformer, Pin, Resistor, Speaker
from support.signal_amps import codes_of, ends, netlist_of, part, text_of


def transformer(netlist: Netlist) -> OutputTransformer:
    """The output transformer."""
    (found,) = netlist.of(OutputTransformer)
    return found


def nominal(netlist: Netlist):
    """The nominal condition."""
    return next(c for c in conditions(netlist) if c.name == "nominal")


def test_push_pull_in_cathode_bias():
    netlist = netlist_of(text_of("ruff"))
    for letter, tube in (("a", "V4"), ("b", "V5")):
        section = netlist.by_section[tube]
        assert section.plate == f"output.plate-{letter}"
        assert section.grid == f"output.grid-{letter}"
        assert section.screen == f"output.screen-{letter}"
        assert section.cathode == f"output.cathode-{letter}"
        assert ends(netlist, "output", f"grid-leak-{letter}") == (f"inverter.out-{letter}", "0")
        assert ends(netlist, "output", f"grid-stopper-{letter}") == (f"inverter.out-{letter}", f"output.grid-{letter}")
        assert ends(netlist, "output", f"screen-stopper-{letter}") == ("B2", f"output.screen-{letter}")
        assert ends(netlist, "bias", f"resistor-{letter}") == (f"output.cathode-{letter}", "0")
        assert part(netlist, "bias", f"bypass-{letter}").net("+") == f"output.cathode-{letter}"
    assert netlist.power_sections == ("V4", "V5")
    assert netlist.stage("output").facts["sections"] == ("V4", "V5")
    assert [transformer(netlist).net(pin) for pin in ("P1", "CT", "P2", "0")] == ["output.plate-a", "B1", "output.plate-b", "0"]


def test_one_key_makes_a_part_per_tube_with_paths_of_their_own():
    netlist = netlist_of(text_of("ruff") + "\nrefs: {output/grid_stopper/b: R99}\n")
    assert part(netlist, "output", "grid-stopper-b").ref == "R99"
    assert part(netlist, "output", "grid-stopper-a").path == "output/grid_stopper/a"


def test_shared_cathode_resistor_joins_the_cathodes():
    text = text_of("ruff", ("arrangement: separate, resistor: 270 5W", "resistor: 130 5W"))
    netlist = netlist_of(text)
    assert netlist.by_section["V4"].cathode == netlist.by_section["V5"].cathode == "output.cathode"
    assert ends(netlist, "bias", "resistor") == ("output.cathode", "0")
    assert len([p for p in netlist.parts if p.stage == "bias"]) == 2
    assert any(d.path == "bias/arrangement" and d.text == "shared" for d in netlist.defaults)


def test_turns_and_resistance_of_every_tap():
    found = transformer(netlist_of(text_of("whimbrel")))
    assert [(tap.pin, round(tap.turns_ratio, 3)) for tap in found.taps] == [("4", 29.580), ("8", 20.917), ("16", 14.790)]
    # 0.3 ohm is the whole secondary; a lower tap has sqrt(tap/16) of its turns and of its wire
    assert [tap.resistance for tap in found.taps] == pytest.approx([0.15, 0.3 / math.sqrt(2.0), 0.3])


def test_unused_taps_end_in_the_air_and_say_so():
    netlist = netlist_of(text_of("whimbrel"))
    assert netlist.nets["output.tap-4"].open
    assert netlist.nets["output.tap-16"].open
    assert netlist.nets["speaker.hot"].open == ""
    assert "Unused: 4 Ω, 16 Ω" in transformer(netlist).note


def test_a_tap_the_feedback_uses_is_not_unused():
    netlist = netlist_of(text_of("whimbrel", ("feedback: {from: 8 ohm", "feedback: {from: 16 ohm")))
    assert netlist.nets["output.tap-16"].open == ""
    assert ends(netlist, "feedback", "resistor")[0] == "output.tap-16"
    assert netlist.output_net == "speaker.hot"


def test_leakage_inductance_is_filled_in():
    netlist = netlist_of(text_of("ruff", ("    leakage_inductance: 25 mH\n", "")))
    assert transformer(netlist).leakage_henries == pytest.approx(8000.0 / (2.0 * math.pi * 40e3), rel=0.02)  # written with two digits
    assert any(d.path == "output/transformer/leakage_inductance" and "40 kHz" in d.reason for d in netlist.defaults)


def test_single_ended_output():
    netlist = netlist_of(text_of("pipit"))
    assert [transformer(netlist).net(pin) for pin in ("P", "B", "0", "8")] == ["output.plate-a", "B1", "0", "speaker.hot"]
    assert ends(netlist, "output", "grid-leak-a") == ("driver.out", "0")
    assert ends(netlist, "bias", "resistor") == ("output.cathode-a", "0")
    assert netlist.power_sections == ("V2",)


def test_push_pull_iron_under_one_tube_leaves_its_other_end_free():
    netlist = netlist_of(text_of("pipit", ("    type: single-ended\n", "    type: push-pull\n")))
    assert [transformer(netlist).net(pin) for pin in ("P1", "CT")] == ["output.plate-a", "B1"]
    assert netlist.nets[transformer(netlist).net("P2")].open


@pytest.mark.parametrize(
    ("amp", "pair", "code"),
    [
        ("pipit", ("  topology: single-ended\n", "  topology: push-pull\n"), "ELB-017"),
        ("ruff", ("  topology: push-pull\n", "  topology: single-ended\n"), "ELB-017"),
        ("ruff", ("  tubes: [V4, V5]\n", "  tubes: [V4]\n"), "ELB-016"),
        ("ruff", ("    type: push-pull\n", "    type: single-ended\n"), "ELB-021"),
    ],
)
def test_output_stages_that_cannot_be_built(amp, pair, code):
    assert code in codes_of(text_of(amp, pair))


def test_single_ended_output_without_a_coupling_capacitor():
    text = text_of("pipit", ("    cathode_resistor: 2k2\n    coupling: 22n 630V\n", "    cathode_resistor: 2k2\n    coupling: direct\n"))
    assert codes_of(text) == ["ELB-018"]


def test_fixed_bias_supply_is_negative_and_fails_safe():
    netlist = netlist_of(text_of("whimbrel"))
    diode = part(netlist, "bias", "diode-1")
    assert isinstance(diode, Diode)
    assert (diode.net("a"), diode.net("k")) == ("bias.reservoir", "bias.ac")
    for number, net in ((1, "bias.reservoir"), (2, "bias.filter-1")):
        capacitor = part(netlist, "bias", f"filter-capacitor-{number}")
        assert isinstance(capacitor, Capacitor)
        assert (capacitor.net("+"), capacitor.net("-")) == ("0", net)
    assert ends(netlist, "bias", "filter-resistor-1") == ("bias.reservoir", "bias.filter-1")
    assert ends(netlist, "bias", "filter-resistor-2") == ("bias.filter-1", "bias.negative")
    assert ends(netlist, "bias", "to-negative") == ("bias.negative", "bias.cold")
    assert ends(netlist, "bias", "adjustment") == ("bias.cold", "bias.wiper", "bias.hot")
    assert ends(netlist, "bias", "to-ground") == ("bias.hot", "0")
    assert ends(netlist, "bias", "fail-safe") == ("bias.wiper", "bias.negative")
    assert ends(netlist, "bias", "feed") == ("bias.wiper", "bias.feed")
    assert ends(netlist, "output", "grid-leak-a")[1] == "bias.feed"
    (rectifier,) = [r for r in netlist.rectifiers if r.id == "bias"]
    assert (rectifier.arrangement, rectifier.plus, rectifier.minus) == ("half-wave", "0", "bias.reservoir")
    assert rectifier.transformer == netlist.stage("transformer").parts["power-transformer"]
    assert rectifier.reservoir == netlist.stage("bias").parts["filter-capacitor-1"]


def test_clockwise_is_hotter_and_an_open_wiper_coldest():
    from humdinger.analysis.operating import solve_operating

    netlist = netlist_of(text_of("whimbrel"))

    def grid(net: Netlist, position: float) -> float:
        condition = replace(nominal(net), controls=dict(nominal(net).controls) | {"BIAS": position})
        return solve_operating(net, condition).volts["output.grid-a"]

    cold, hot = grid(netlist, 0.0), grid(netlist, 1.0)
    assert cold < hot < 0.0
    pot = part(netlist, "bias", "adjustment")
    lifted = tuple(
        replace(p, pins=(Pin("ccw", "bias.cold"), Pin("wiper", "bias.hot"), Pin("cw", "bias.hot"))) if p is pot else p
        for p in netlist.parts
    )
    assert grid(replace(netlist, parts=lifted), 0.0) < cold


def test_grids_share_one_feed_net_without_a_feed_resistor():
    netlist = netlist_of(text_of("whimbrel", ("  feed: 22k\n", "")))
    assert part(netlist, "bias", "adjustment").net("wiper") == "bias.feed"


def test_test_resistors_lift_the_cathodes_by_an_ohm():
    netlist = netlist_of(text_of("whimbrel"))
    assert ends(netlist, "bias", "test-resistor-b") == ("output.cathode-b", "0")
    without = netlist_of(text_of("whimbrel", ("  test_resistor: 1 1W\n", "")))
    assert without.by_section["V4"].cathode == "0"


def test_fixed_bias_without_a_bias_winding():
    text = text_of("whimbrel", ("    bias: {volts: 55 V, current: 50 mA, basis: rms, resistance: [40]}\n", ""))
    assert set(codes_of(text)) & {"ELB-022", "NAM-013"}


def test_two_diodes_in_series_share_the_bias_winding():
    netlist = netlist_of(text_of("whimbrel", ("diodes: {part: 1N4007}}\n  filter", "diodes: {part: 1N4007, in_series: 2}}\n  filter")))
    first, second = (part(netlist, "bias", f"diode-{n}") for n in (1, 2))
    assert (first.net("k"), second.net("a")) == ("bias.ac", "bias.reservoir")
    assert first.net("a") == second.net("k")


def exchanged(netlist: Netlist) -> Netlist:
    """The same amp with the plate leads of the output transformer exchanged."""
    found = transformer(netlist)
    swap = {"P1": "P2", "P2": "P1"}
    pins = tuple(Pin(pin.name, found.net(swap.get(pin.name, pin.name))) for pin in found.pins)
    return replace(netlist, parts=tuple(replace(p, pins=pins) if p is found else p for p in netlist.parts))


INTO_PAIR = "\nfeedback: {from: 8 ohm, to: inverter, resistor: 47k 1W, shunt: 4k7}\n"
INTO_CATHODE = "\nfeedback: {from: 4 ohm, to: second, resistor: 47k 1W, shunt: 220}\n"


@pytest.mark.parametrize(
    ("with_it", "without"),
    [
        (
            text_of("whimbrel", ("to: driver, resistor: 10k 1W", "to: driver, resistor: 2k2 1W")),
            text_of("whimbrel", ("to: driver, resistor: 10k 1W", "to: driver, resistor: 100M")),
        ),
        (text_of("ruff") + INTO_PAIR, text_of("ruff") + INTO_PAIR.replace("47k 1W", "470M")),
        (text_of("ruff") + INTO_CATHODE, text_of("ruff") + INTO_CATHODE.replace("47k 1W", "470M")),
    ],
    ids=["cathodyne", "into the pair", "into a cathode"],
)
def test_feedback_opposes_the_signal_and_the_other_way_round_it_helps_it(with_it, without):
    netlist, loose = netlist_of(with_it), netlist_of(without)

    def linear(net: Netlist):
        # hot bias, where the fixed-biased pair has some gain to lose
        return small_signal(net, replace(nominal(net), controls=dict(nominal(net).controls) | {"BIAS": 1.0}))

    def gain(net: Netlist) -> float:
        return abs(linear(net).transfer(net.input_net, [net.output_net], [1000.0])[0, 0])

    assert gain(netlist) < 0.85 * gain(loose)
    assert all(p.real < 0.0 for p in linear(netlist).poles())
    runs_away = any(p.real > 0.0 for p in linear(exchanged(netlist)).poles())
    assert runs_away or gain(exchanged(netlist)) > 1.15 * gain(loose)


def test_single_ended_feedback_turns_the_primary_round_when_it_must():
    # driver and output tube turn the signal over twice: with the plate on the dotted end the tap helps the driver's cathode
    feedback = "\nfeedback: {from: 8 ohm, to: %s, resistor: 10k 1W, shunt: 100}\n"
    one = netlist_of(text_of("pipit") + feedback % "driver")
    two = netlist_of(text_of("pipit") + feedback % "first")
    assert transformer(one).net("P") == "output.plate-a"
    assert transformer(two).net("P") == "B1"
    assert "crossed" in transformer(two).note


def test_feedback_into_a_stage_that_cannot_take_it():
    assert codes_of(text_of("whimbrel", ("to: driver", "to: inverter"))) == ["ELB-026"]


def test_feedback_to_a_stage_that_does_not_drive_the_output():
    aside = "  - {stage: common-cathode, id: aside, from: guitar, tube: V2b, supply: B4, plate_load: 100k, cathode_resistor: 1k5}\n"
    text = text_of(
        "ruff", ("  - stage: two-knob-tone\n    id: tone\n", aside + "  - stage: two-knob-tone\n    id: tone\n    from: first\n")
    )
    assert codes_of(text + INTO_PAIR.replace("to: inverter", "to: aside")) == ["ELB-027"]


def test_feedback_resistor_is_the_break_link():
    found = part(netlist_of(text_of("whimbrel")), "feedback", "resistor")
    assert isinstance(found, Resistor)
    assert "polarity test" in found.note


def test_speaker_on_a_jack_and_wired_hard():
    netlist = netlist_of(text_of("ruff"))
    jack = part(netlist, "speaker", "jack")
    assert isinstance(jack, Jack)
    assert (jack.purpose, jack.switched, jack.net("tip"), jack.net("sleeve")) == ("speaker", False, "speaker.hot", "0")
    assert ends(netlist, "speaker", "load-resistor") == ("speaker.hot", "0")
    hard = netlist_of(text_of("pipit"))
    assert "jack" not in hard.stage("speaker").parts
    (speaker,) = hard.of(Speaker)
    assert (speaker.fixed, speaker.ohms, speaker.resistance, speaker.watts) == (True, 8.0, 6.3, 15.0)


def test_a_shorting_speaker_jack_has_its_contact_on_ground():
    netlist = netlist_of(text_of("ruff", ("  connection: jack\n", "  connection: jack\n  shorting: true\n")))
    assert part(netlist, "speaker", "jack").net("tip-switch") == "0"

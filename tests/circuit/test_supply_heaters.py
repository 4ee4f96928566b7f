"""Heaters: winding and pins of every tube, the references, the pilot lamp."""

from __future__ import annotations

import pytest

from humdinger.circuit.netlist import Capacitor, Lamp, Pot, PowerTransformer, Resistor, Tube
from support.texts import edit, edited, line_of, made, one

RUFF_REFERENCE = "  heater_reference: {kind: artificial-centre-tap, resistors: 100 0.5W, to: ground}\n"
RUFF_WINDING = "heaters: [{volts: 6.3 V, current: 4 A, feeds: [all], no_load: 6.8 V}]"
WHIMBREL_REFERENCE = next(line for line in edit("whimbrel").split("\n") if "heater_reference" in line) + "\n"
PIPIT_WINDING = "heaters: [{volts: 6.3 V, current: 1 A, no_load: 6.8 V}]"


def heaters(netlist, kind):
    return {p.role: tuple(pin.net for pin in p.pins) for p in netlist.of(kind) if p.stage == "heaters"}


def pins(netlist, tube):
    return {pin.name: pin.net for pin in netlist.by_ref[tube].pins}


def reference(text):
    return edited("ruff", (RUFF_REFERENCE, f"  heater_reference: {text}\n"))


def test_el84_pin_by_pin():
    """Ruff's V4: grid 2, cathode 3, heater 4 and 5, plate 7, screen 9; 1, 6 and 8 are joined inside (pin-out from memory)."""
    assert pins(edited("ruff").good, "V4") == {
        "2": "output.grid-a",
        "3": "output.cathode-a",
        "4": "h1.a",
        "5": "h1.b",
        "7": "output.plate-a",
        "9": "output.screen-a",
    }


def test_twin_triodes_in_parallel_on_6_3_volts():
    netlist = edited("ruff").good
    for tube in ("V1", "V2", "V3"):
        found = pins(netlist, tube)
        assert (found["4"], found["5"], found["9"]) == ("h1.a", "h1.a", "h1.b")
        assert one(netlist, Tube, ref=tube).heater == "H1"


def test_el34_suppressor_goes_to_the_cathode():
    found = pins(edited("whimbrel").good, "V4")
    assert found["1"] == found["8"] == "output.cathode-a"
    assert (found["2"], found["7"], "6" in found) == ("h1.a", "h1.b", False)


def test_a_twin_triode_in_series_on_12_6_volts():
    windings = "heaters: [{volts: 6.3 V, current: 4 A}, {volts: 12.6 V, current: 0.5 A, feeds: [V1, V2]}]"
    references = (
        "  heater_reference:\n    - {kind: artificial-centre-tap, resistors: 100, to: ground}\n"
        "    - {kind: artificial-centre-tap, winding: H2, resistors: 220, to: ground}\n"
    )
    netlist = edited("ruff", (RUFF_WINDING, windings), (RUFF_REFERENCE, references)).good
    assert {pin: net for pin, net in pins(netlist, "V1").items() if net.startswith("h")} == {"4": "h2.a", "5": "h2.b"}
    assert {pin: net for pin, net in pins(netlist, "V3").items() if net.startswith("h")} == {"4": "h1.a", "5": "h1.a", "9": "h1.b"}
    assert heaters(netlist, Resistor) == {
        "reference-a": ("h1.a", "0"),
        "reference-b": ("h1.b", "0"),
        "h2-reference-a": ("h2.a", "0"),
        "h2-reference-b": ("h2.b", "0"),
    }


def test_ic_pins_never_get_a_net():
    for name in ("ruff", "whimbrel", "pipit"):
        netlist = edited(name).good
        for tube in netlist.of(Tube):
            taken = {int(pin.name) for pin in tube.pins}
            assert not taken & {*tube.type.internal_pins, *tube.type.unconnected_pins}


def test_artificial_centre_tap():
    netlist = edited("ruff").good
    assert heaters(netlist, Resistor) == {"reference-a": ("h1.a", "0"), "reference-b": ("h1.b", "0")}
    assert [p.path for p in netlist.parts if p.stage == "heaters"] == [f"supply/heater_reference/resistors/{s}" for s in "ab"]
    assert next(d for d in netlist.defaults if d.path.endswith("heater_reference/winding")).text == "H1"


def test_usual_resistors_when_none_are_given():
    netlist = reference("{kind: artificial-centre-tap}").good
    assert [(p.ohms, p.watts, p.origin.kind) for p in netlist.of(Resistor) if p.stage == "heaters"] == [(100.0, 0.5, "default")] * 2
    assert [d.text for d in netlist.defaults if "heater_reference" in d.path] == ["H1", "ground", "100 0.5W"]


def test_hum_balance_elevated():
    netlist = edited("whimbrel").good
    assert heaters(netlist, Pot) == {"hum-balance": ("h1.a", "heater.reference", "h1.b")}
    assert heaters(netlist, Resistor) == {"divider-upper": ("B2", "heater.reference"), "divider-lower": ("heater.reference", "0")}
    assert heaters(netlist, Capacitor) == {"divider-bypass": ("heater.reference", "0")}
    (pot,) = (p for p in netlist.of(Pot) if p.stage == "heaters")
    assert pot.control == "HUM BALANCE"
    assert "HUM BALANCE" not in [control.name for control in netlist.controls]
    assert netlist.nets["heater.reference"].domain == "heater"


def test_one_side():
    netlist = reference("{kind: one-side, to: ground}").good
    found = pins(netlist, "V4")
    assert (found["4"], found["5"]) == ("h1.a", "0")
    assert "h1.b" not in netlist.nets
    assert not heaters(netlist, Resistor)


def test_centre_tap():
    winding = RUFF_WINDING.replace("6.8 V", "6.8 V, centre_tapped: true, resistance: 0.1")
    netlist = edited("ruff", (RUFF_WINDING, winding), (RUFF_REFERENCE, "  heater_reference: {kind: centre-tap, to: ground}\n")).good
    (transformer,) = netlist.of(PowerTransformer)
    assert transformer.net("H1-CT") == "0"
    assert transformer.winding("H1").resistance == (0.05, 0.05)


def test_a_tap_that_is_not_used_is_insulated():
    netlist = edited("ruff", (RUFF_WINDING, RUFF_WINDING.replace("6.8 V", "6.8 V, centre_tapped: true"))).good
    assert netlist.nets["h1.ct"].open == "unused centre tap: insulate its end"


def test_output_cathode():
    netlist = reference("{kind: artificial-centre-tap, to: output-cathode}").good
    assert heaters(netlist, Resistor)["reference-a"] == ("h1.a", "output.cathode-a")
    assert netlist.stage("heaters").ports["reference"] == "output.cathode-a"


def test_two_references_on_one_winding_are_built_as_written():
    """Which is wrong, but for a rule to say."""
    first = "    - {kind: artificial-centre-tap, resistors: 100, to: ground}\n"
    second = "    - {kind: hum-balance, pot: 250 linear, to: ground}\n"
    netlist = edited("ruff", (RUFF_REFERENCE, f"  heater_reference:\n{first}{second}")).good
    assert set(netlist.stage("heaters").parts) == {"reference-a", "reference-b", "h1-again-hum-balance"}


def test_a_winding_nobody_uses_is_insulated():
    netlist = edited("ruff", (RUFF_WINDING, RUFF_WINDING[:-1] + ", {volts: 5 V, current: 2 A, feeds: [rectifier]}]")).good
    assert [netlist.nets[end].open for end in ("h2.a", "h2.b")] == ["unused winding: insulate each end separately"] * 2


def test_pilot_lamp():
    netlist = edited("ruff", (RUFF_REFERENCE, RUFF_REFERENCE + "  pilot: {lamp: filament, current: 150 mA}\n")).good
    (lamp,) = netlist.of(Lamp)
    assert (lamp.kind, lamp.volts, lamp.amps) == ("filament", 6.3, 0.15)
    assert (lamp.net("1"), lamp.net("2")) == ("h1.a", "h1.b")


def test_a_pilot_keeps_a_winding_from_being_unused():
    winding = RUFF_WINDING[:-1] + ", {volts: 6.3 V, current: 0.5 A, feeds: [rectifier]}]"
    lamp = RUFF_REFERENCE + "  pilot: {lamp: filament, winding: H2, current: 150 mA}\n"
    found = edited("ruff", (RUFF_WINDING, winding), (RUFF_REFERENCE, lamp))
    assert found.codes() == ["NET-002"]  # it is in use and referred to nothing


@pytest.mark.parametrize(
    ("name", "pair", "code", "line"),
    [
        ("ruff", (RUFF_WINDING, RUFF_WINDING.replace("[all]", "[rectifier]")), "ELB-050", "tubes: {"),
        ("pipit", (PIPIT_WINDING, PIPIT_WINDING.replace("6.3 V", "5 V")), "ELB-051", "volts: 5 V"),
        ("ruff", (RUFF_REFERENCE, "  heater_reference: {kind: centre-tap, to: ground}\n"), "ELB-053", "kind: centre-tap"),
        (
            "whimbrel",
            (WHIMBREL_REFERENCE, "  heater_reference: {kind: artificial-centre-tap, to: output-cathode}\n"),
            "ELB-055",
            "output-cathode",
        ),
    ],
)
def test_what_cannot_be(name, pair, code, line):
    text = edit(name, pair)
    found = made(text)
    assert set(found.codes()) == {code}
    assert set(found.lines()) == {line_of(text, line)}


def test_tubes_without_a_winding_are_named_once():
    found = edited("ruff", (RUFF_WINDING, RUFF_WINDING.replace("[all]", "[V3]")))
    assert [d.message for d in found.diagnostics] == ["no heater winding feeds V1, V2, V4 and V5"]


def test_every_tube_at_the_wrong_volts_is_named():
    found = edited("pipit", (PIPIT_WINDING, PIPIT_WINDING.replace("6.3 V", "5 V")))
    assert [d.message for d in found.diagnostics] == [f"H1 gives 5 V, but the heater of {tube} wants 6.3 V" for tube in ("V1", "V2")]

"""The rectifier: legs, series diodes, plate resistors, where fuse and standby stand."""

from __future__ import annotations

import pytest

from humdinger.circuit.netlist import Diode, Fuse, Resistor, Switch, Tube
from support.texts import edited, line_of, one, text_of

WHIMBREL_FUSE = "  ht_fuse: {rating: T 400mA 500V, where: centre-tap}\n"
WHIMBREL_STANDBY = "  standby: {where: between-reservoir-and-choke, rating: 250 V 3 A, dc_rating: 600 V}\n"
PIPIT_RECTIFIER = "  rectifier: {kind: silicon, arrangement: bridge, diodes: {part: 1N4007}}\n"


def pins(part):
    return tuple(pin.net for pin in part.pins)


def diodes(netlist, stage="rectifier"):
    return {p.role: pins(p) for p in netlist.of(Diode) if p.stage == stage}


def high_tension(netlist):
    return next(r for r in netlist.rectifiers if r.id == "high-tension")


def test_full_wave_silicon_in_series():
    netlist = edited("ruff").good
    assert diodes(netlist) == {
        "diode-a-1": ("ht.a", "rectifier.a-1"),
        "diode-a-2": ("rectifier.a-1", "B1"),
        "diode-b-1": ("ht.b", "rectifier.b-1"),
        "diode-b-2": ("rectifier.b-1", "B1"),
    }
    found = high_tension(netlist)
    assert (found.kind, found.arrangement, found.plus, found.minus) == ("silicon", "full-wave", "B1", "0")
    assert (found.diodes_in_series, len(found.devices), found.extra_ohms, found.winding) == (2, 4, 0.0, "HT")
    reservoir = netlist.by_ref[found.reservoir]
    assert (reservoir.role, reservoir.net("+")) == ("B1-capacitor", "B1")


def test_bridge():
    netlist = edited("pipit").good
    assert diodes(netlist) == {
        "diode-plus-a-1": ("ht.a", "B1"),
        "diode-plus-b-1": ("ht.b", "B1"),
        "diode-minus-a-1": ("0", "ht.a"),
        "diode-minus-b-1": ("0", "ht.b"),
    }
    found = high_tension(netlist)
    assert (found.arrangement, found.plus, found.minus, found.diodes_in_series) == ("bridge", "B1", "0", 1)
    assert next(d for d in netlist.defaults if d.path == "supply/rectifier/diodes/in_series").text == "1"


def test_gz34_pin_by_pin():
    """Whimbrel's V6: heater 2 and 8, plates 4 and 6, cathode joined to heater pin 8 (pin-out from the library, from memory)."""
    netlist = edited("whimbrel").good
    tube = netlist.by_ref["V6"]
    assert {pin.name: pin.net for pin in tube.pins} == {"2": "h2.a", "4": "rectifier.a", "6": "rectifier.b", "8": "B1"}
    assert one(netlist, Tube, ref="V6").heater == "H2"
    found = high_tension(netlist)
    assert (found.kind, found.devices, found.plus, found.minus, found.extra_ohms) == ("tube", ("V6",), "B1", "ht.ct", 33.0)
    transformer = netlist.by_ref[found.transformer]
    assert (transformer.net("H2-A"), transformer.net("H2-B")) == ("h2.a", "B1")


def test_plate_resistors_stand_between_winding_and_plates():
    netlist = edited("whimbrel").good
    found = {p.role: (pins(p), p.ohms, p.path) for p in netlist.of(Resistor) if p.role.startswith("plate-resistor")}
    assert found == {
        "plate-resistor-a": (("ht.a", "rectifier.a"), 33.0, "supply/rectifier/plate_resistors/a"),
        "plate-resistor-b": (("ht.b", "rectifier.b"), 33.0, "supply/rectifier/plate_resistors/b"),
    }


def test_a_rectifier_tube_with_a_cathode_pin_of_its_own():
    """EZ81 on the common 6.3 V winding: heater 4 and 5 stay off the B+ at pin 3."""
    pairs = (
        ("V6: GZ34", "V6: EZ81"),
        ("feeds: [rectifier], no_load: 5.3 V", "feeds: [V6], no_load: 6.7 V"),
        ("volts: 5 V, ", "volts: 6.3 V, "),
    )
    found = edited("whimbrel", *pairs)
    assert found.codes() == ["NET-002"]  # a winding of its own then needs a reference
    netlist = edited(
        "whimbrel", ("V6: GZ34", "V6: EZ81"), ("      - {volts: 5 V, current: 2.5 A, feeds: [rectifier], no_load: 5.3 V}\n", "")
    ).good
    tube = netlist.by_ref["V6"]
    assert {pin.name: pin.net for pin in tube.pins} == {"1": "rectifier.a", "3": "B1", "4": "h1.a", "5": "h1.b", "7": "rectifier.b"}


def test_fuse_in_the_centre_tap():
    netlist = edited("whimbrel").good
    (fuse,) = (p for p in netlist.of(Fuse) if p.where == "high-tension")
    assert pins(fuse) == ("ht.ct", "0")
    assert (fuse.amps, fuse.volts) == (0.4, 500.0)


def test_fuse_and_standby_in_the_centre_tap():
    netlist = edited("whimbrel", (WHIMBREL_STANDBY, "  standby: {where: centre-tap, rating: 250 V 3 A}\n")).good
    (fuse,) = (p for p in netlist.of(Fuse) if p.where == "high-tension")
    (switch,) = (p for p in netlist.of(Switch) if p.where == "standby")
    assert (pins(fuse), pins(switch)) == (("ht.ct", "ht.ct-fused"), ("ht.ct-fused", "0"))
    assert high_tension(netlist).minus == "ht.ct"


def test_a_fuse_in_each_end_of_a_tapped_winding():
    netlist = edited("whimbrel", (WHIMBREL_FUSE, "  ht_fuse: {rating: T 250mA 500V, where: winding}\n")).good
    fuses = {p.role: pins(p) for p in netlist.of(Fuse) if p.where == "high-tension"}
    assert fuses == {"ht-fuse-a": ("ht.a", "ht.a-fused"), "ht-fuse-b": ("ht.b", "ht.b-fused")}
    assert high_tension(netlist).minus == "0"


def test_one_fuse_for_a_bridge():
    netlist = edited("pipit", (PIPIT_RECTIFIER, PIPIT_RECTIFIER + "  ht_fuse: {rating: T 250mA 500V, where: winding}\n")).good
    (fuse,) = (p for p in netlist.of(Fuse) if p.where == "high-tension")
    assert pins(fuse) == ("ht.a", "ht.a-fused")
    assert diodes(netlist)["diode-minus-a-1"] == ("0", "ht.a-fused")


def test_before_the_reservoir():
    fuse_there = (WHIMBREL_FUSE, "  ht_fuse: {rating: T 400mA 500V, where: before-reservoir}\n")
    netlist = edited("whimbrel", fuse_there, (WHIMBREL_STANDBY, "  standby: {where: before-reservoir}\n")).good
    (fuse,) = (p for p in netlist.of(Fuse) if p.where == "high-tension")
    (switch,) = (p for p in netlist.of(Switch) if p.where == "standby")
    assert (pins(fuse), pins(switch)) == (("rectifier.plus", "rectifier.plus-fused"), ("rectifier.plus-fused", "B1"))
    assert (high_tension(netlist).plus, high_tension(netlist).minus) == ("rectifier.plus", "0")
    assert netlist.by_ref["V6"].net("8") == "rectifier.plus"
    assert (switch.volts, switch.amps, switch.dc_volts) == (None, None, None)


@pytest.mark.parametrize(
    ("name", "pair", "code", "line"),
    [
        ("pipit", ("arrangement: bridge", "arrangement: full-wave"), "ELB-042", "arrangement:"),
        ("whimbrel", ("arrangement: full-wave", "arrangement: bridge"), "ELB-043", "arrangement:"),
        ("pipit", (PIPIT_RECTIFIER, PIPIT_RECTIFIER + WHIMBREL_FUSE), "ELB-044", "where: centre-tap"),
        ("pipit", (PIPIT_RECTIFIER, PIPIT_RECTIFIER + "  standby: {where: centre-tap}\n"), "ELB-044", "where: centre-tap"),
    ],
)
def test_what_cannot_be(name, pair, code, line):
    found = edited(name, pair)
    assert found.codes() == [code]
    assert found.lines() == [line_of(text_of(name).replace(*pair), line)]

"""The frozen netlist: order of parts, nets, controls, and what the whole amp is."""

from __future__ import annotations

import pytest

from humdinger.circuit.finish import designator_order
from humdinger.circuit.netlist import Pot, Tube
from support.demos import NAMES
from support.texts import edit, edited, made, one

ALL = ("ruff", "whimbrel", "pipit", "smallest")
DEMOS = NAMES


@pytest.mark.parametrize("name", DEMOS)
def test_the_demos_elaborate_without_problems(name):
    assert edited(name).diagnostics == ()
    assert edited(name).netlist is not None


def test_curlews_v4_pin_by_pin():
    """EL84: grid 2, cathode 3, heater 4 and 5, plate 7, screen 9; 1, 6 and 8 are joined inside."""
    netlist = edited("curlew").good
    section = netlist.by_section["V4"]
    assert {pin.name: pin.net for pin in netlist.by_ref["V4"].pins} == {
        "2": section.grid,
        "3": section.cathode,
        "4": "h1.a",
        "5": "h1.b",
        "7": section.plate,
        "9": section.screen,
    }
    assert section.suppressor == section.cathode


def test_herons_v6_pin_by_pin():
    """GZ34: heater 2 and 8, plates 4 and 6, the B+ comes from pin 8."""
    netlist = edited("heron").good
    rectifier = next(r for r in netlist.rectifiers if r.devices == ("V6",))
    tube = one(netlist, Tube, ref="V6")
    pins = {pin.name: pin.net for pin in tube.pins}
    assert set(pins) == {"2", "4", "6", "8"}
    assert pins["8"] == rectifier.plus
    assert tube.heater == "H2"
    on_plates = {ref for ref, p in netlist.by_ref.items() for pin in p.pins if pin.net in (pins["4"], pins["6"])}
    assert len(on_plates) == 3  # the tube and one resistor in each plate lead


@pytest.mark.parametrize("name", ALL)
def test_parts_stand_by_class_and_number(name):
    netlist = edited(name).good
    assert [designator_order(p) for p in netlist.parts] == sorted(designator_order(p) for p in netlist.parts)
    assert len({p.ref for p in netlist.parts}) == len(netlist.parts)
    for letter in ("C", "R"):
        numbers = [int(p.ref[1:]) for p in netlist.parts if p.ref.startswith(letter) and p.ref[1:].isdigit()]
        assert numbers == list(range(1, len(numbers) + 1))


def test_ten_comes_after_nine():
    refs = [p.ref for p in edited("whimbrel").good.parts if p.ref.startswith("C")]
    assert refs[8:10] == ["C9", "C10"]


def test_a_pinned_designator_is_kept():
    netlist = made(edit("ruff") + "refs: {signal/1/plate_load: R90}\n").good
    assert netlist.by_ref["R90"].path == "signal/1/plate_load"
    assert [p.ref for p in netlist.parts if p.ref.startswith("R")][-1] == "R90"


@pytest.mark.parametrize("name", ALL)
def test_nets_are_those_that_join_something(name):
    netlist = edited(name).good
    assert set(netlist.nets) == {pin.net for p in netlist.parts for pin in p.pins}
    assert all(net.label and net.domain for net in netlist.nets.values())
    known = {*netlist.nets, ""}
    for section in netlist.sections:
        assert {section.plate, section.grid, section.cathode, section.screen, section.suppressor} <= known
    for rectifier in netlist.rectifiers:
        assert {rectifier.plus, rectifier.minus} <= known
    for stage in netlist.stages:
        assert set(stage.ports.values()) <= known, stage.id
        assert set(stage.parts.values()) <= set(netlist.by_ref), stage.id


@pytest.mark.parametrize("name", ALL)
def test_a_section_stands_on_the_pins_of_its_tube(name):
    netlist = edited(name).good
    for section in netlist.sections:
        tube = netlist.by_ref[section.tube]
        for electrode in ("plate", "grid", "cathode", "screen"):
            for number in section.section.pins.get(electrode, ()):
                assert tube.net(str(number)) == getattr(section, electrode)


@pytest.mark.parametrize("name", ALL)
def test_every_part_knows_its_line(name):
    netlist = edited(name).good
    lines = edit(name).split("\n")
    for part in netlist.parts:
        assert 1 <= part.span.line <= len(lines)
        assert part.path
        assert part.stage in {s.id for s in netlist.stages}


def test_what_the_amp_is():
    netlist = edited("whimbrel").good
    assert (netlist.name, netlist.region.code, netlist.mains_hertz) == ("Whimbrel", "uk", 50.0)
    assert (netlist.input_net, netlist.output_net) == ("guitar.tip", "speaker.hot")
    assert (netlist.bias_scheme, netlist.power_sections, netlist.b_plus) == ("fixed", ("V4", "V5"), ("B1", "B2", "B3", "B4"))
    single = edited("pipit").good
    assert (single.bias_scheme, single.power_sections, single.b_plus) == ("cathode", ("V2",), ("B1", "B2", "B3"))


def test_sections_come_in_signal_order():
    assert [s.ref for s in edited("ruff").good.sections] == ["V1a", "V1b", "V3a", "V3b", "V4", "V5", "V2a", "V2b"]


def test_controls():
    netlist = made(edit("ruff") + "controls: {VOLUME: 7, SPEED: 2.5}\n").good
    found = {c.name: c.position for c in netlist.controls}
    assert found == {"BASS": 0.5, "TREBLE": 0.5, "VOLUME": 0.7, "SPEED": 0.25, "INTENSITY": 0.5}
    for control in netlist.controls:
        pot = one(netlist, Pot, ref=control.ref)
        assert (pot.control, pot.position) == (control.name, control.position)


def test_the_bias_pot_may_be_set():
    netlist = made(edit("whimbrel") + "controls: {BIAS: 0}\n").good
    assert next(c.position for c in netlist.controls if c.name == "BIAS") == 0.0


def test_a_default_is_written_once():
    for name in ALL:
        paths = [d.path for d in edited(name).good.defaults]
        assert len(paths) == len(set(paths))


def test_tubes_have_a_home():
    homes = {t.ref: (t.stage, t.heater, t.path) for t in edited("whimbrel").good.of(Tube)}
    assert homes["V1"] == ("first", "H1", "tubes/V1")
    assert homes["V6"] == ("rectifier", "H2", "tubes/V6")


def test_the_same_text_gives_the_same_netlist():
    assert edited("whimbrel").good == edited("whimbrel").good

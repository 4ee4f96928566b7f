"""Networks: which net a word stands for, how the signal passes, what is refused, and the numbers against algebra and ngspice."""

from __future__ import annotations

import math
from functools import cache

import pytest
import yaml

from humdinger.circuit.netlist import Capacitor, Diode, Pot
from humdinger.compile import Compiled
from support.amps import above_info, demo_text, dump, run
from support.kinds import agrees_with_ngspice
from support.network import BESIDE, DIVIDER, PAD
from support.signal_amps import codes_of, ends, netlist_of, part

NETWORKS = {"pad": PAD, "side": BESIDE, "divider": DIVIDER}


def dunlin(network: str) -> str:
    """Dunlin with a network between volume and driver."""
    tree = yaml.load(demo_text("dunlin"), yaml.BaseLoader)
    tree["signal"].insert(4, yaml.load(network, yaml.BaseLoader))
    return dump(tree)


@cache
def made(name: str) -> Compiled:
    return run(dunlin(NETWORKS[name]))


def test_in_and_out_stand_in_the_signal():
    netlist = netlist_of(dunlin(PAD))
    assert ends(netlist, "pad", "series") == ("level.out", "pad.out")
    assert ends(netlist, "pad", "capacitor-1") == ("level.out", "pad.out")
    assert ends(netlist, "pad", "resistor-2") == ("pad.out", "0")
    assert netlist.by_section["V1b"].grid == "pad.out"


def test_without_an_output_the_signal_passes_by():
    netlist = netlist_of(dunlin(BESIDE))
    assert netlist.by_section["V1b"].grid == "level.out"
    assert ends(netlist, "side", "cut") == ("first.plate", "side.middle")
    assert ends(netlist, "side", "capacitor-2") == ("driver.plate", "driver.cathode")  # driver stands after the network
    pot = part(netlist, "side", "pot-1")
    assert isinstance(pot, Pot)
    assert (pot.net("ccw"), pot.net("wiper"), pot.net("cw")) == ("side.middle", "side.middle", "0")
    assert any(control.name == "CUT" and control.ref == pot.ref for control in netlist.controls)
    assert [(d.net("a"), d.net("k")) for d in netlist.of(Diode) if d.stage == "side"] == [("level.out", "0"), ("0", "level.out")]


def test_a_b_plus_node_and_a_stage_further_on():
    netlist = netlist_of(dunlin(DIVIDER))
    assert ends(netlist, "divider", "resistor-2") == ("B3", "driver.cathode")
    assert netlist.by_section["V1b"].grid == "divider.out"


def test_a_local_word_is_not_taken_for_a_port_of_that_name():
    text = dunlin(
        "{stage: network, id: own, parts: [{part: resistor, value: 10k, nets: [in, plate]},"
        " {part: resistor, value: 10k, nets: [plate, out]}]}"
    )
    netlist = netlist_of(text)
    assert ends(netlist, "own", "resistor-1") == ("level.out", "own.plate")
    assert "plate" not in netlist.stage("own").ports


def test_a_named_part_keeps_its_designator_in_the_lock():
    netlist = netlist_of(dunlin(PAD))
    assert netlist.places["signal/pad/parts/series/value"] == part(netlist, "pad", "series").ref


@pytest.mark.parametrize(
    ("old", "new", "code"),
    [
        ("first.plate", "first.plat", "ELB-060"),
        ("first.plate", "output.nothing", "ELB-060"),
        ("first.plate", "mains.line", "ELB-061"),
        ("first.plate, middle", "first.plate, midle", "NET-005"),
        ("[driver.plate, driver.cathode]", "[driver.plate, driver.plate]", "NET-004"),
        ("control: CUT, ", "", "SCH-001"),
        ("nets: [in, ground]", "nets: [in, ground, in]", "SCH-007"),
        ("nets: [in, ground]", "nets: [in, Ground]", "SCH-006"),
        ("control: CUT", "control: VOLUME", "NAM-014"),
    ],
)
def test_a_slip_is_said_once(old: str, new: str, code: str):
    assert codes_of(dunlin(BESIDE.replace(old, new, 1))) == [code]


def test_a_net_without_a_path_for_direct_current():
    assert codes_of(dunlin(BESIDE.replace("part: resistor, value: 1M 0.5W", "part: capacitor, value: 1n 630V").replace(
        "{part: pot, value: 250k audio, control: CUT, nets: [middle, middle, ground]},", ""))) == ["NET-001"]  # fmt: skip


def test_the_pad_divides_by_the_textbook():
    """Two resistors with a capacitor over the upper one: (1/R1 + jwC)/(1/R1 + 1/R2 + jwC + jwCin), node equation, with the Miller
    capacitance of the driver behind it, Cin + Cga (1 + A) (reference/checks.md 1.14, from there)."""
    netlist, results = made("pad").netlist, made("pad").results
    assert netlist is not None
    assert results is not None
    tube = netlist.by_section["V1b"].section
    assert tube.input_farads is not None
    assert tube.grid_plate_farads is not None
    gain = next(g.gain for g in results.gains if g.stage == "driver")
    behind = tube.input_farads.value + tube.grid_plate_farads.value * (1.0 + gain)
    found = next(g.gain for g in results.gains if g.stage == "pad")
    omega = 2.0 * math.pi * 1000.0
    upper = 1.0 / 220e3 + 1j * omega * 470e-12
    assert found == pytest.approx(abs(upper / (upper + 1.0 / 470e3 + 1j * omega * behind)), rel=0.003)


def test_a_resistor_from_b_plus_lifts_a_cathode():
    plain = run(demo_text("dunlin")).results
    lifted = made("divider").results
    assert plain is not None
    assert lifted is not None
    volts = lifted.nominal.volts
    point = lifted.nominal.sections["V1b"]
    # Kirchhoff at the cathode: plate current and what comes through the 10M both pass the 4k7
    assert volts["driver.cathode"] == pytest.approx(
        4700.0 * (point.cathode_amps + (volts["B3"] - volts["driver.cathode"]) / 10e6), rel=1e-6
    )
    assert volts["driver.cathode"] > plain.nominal.volts["driver.cathode"]


@pytest.mark.parametrize("name", NETWORKS)
def test_against_ngspice(name: str):
    agrees_with_ngspice(netlist_of(dunlin(NETWORKS[name])))


@pytest.mark.parametrize("name", NETWORKS)
def test_the_amp_compiles_without_a_warning(name: str):
    assert above_info(made(name)) == []
    netlist = made(name).netlist
    assert netlist is not None
    assert sum(isinstance(p, Capacitor) for p in netlist.parts if p.stage == name) == {"pad": 1, "side": 2, "divider": 1}[name]

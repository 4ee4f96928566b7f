"""The mains side: what line and neutral meet on their way to the primary."""

from __future__ import annotations

import pytest

from humdinger.circuit.netlist import Capacitor, Fuse, Inlet, Resistor, Stud, Switch
from support.texts import edited, line_of, one, text_of

FUSE = "    fuse: T 500mA H 250V\n"
SWITCH = "    switch: {poles: 2, rating: 250 V 4 A}\n"


def ruff(*pairs):
    return edited("ruff", *pairs).good


def pins(part):
    return {pin.name: pin.net for pin in part.pins}


def test_fuse_then_switch():
    netlist = ruff()
    assert pins(one(netlist, Inlet)) == {"L": "mains.line", "N": "mains.neutral", "PE": "PE"}
    assert pins(one(netlist, Fuse, where="mains")) == {"1": "mains.line", "2": "mains.fused"}
    assert pins(one(netlist, Switch, where="mains")) == {
        "1a": "mains.fused",
        "1b": "mains.switched-line",
        "2a": "mains.neutral",
        "2b": "mains.switched-neutral",
    }
    primary = netlist.by_ref[netlist.stage("transformer").parts["power-transformer"]]
    assert (primary.net("L"), primary.net("N")) == ("mains.switched-line", "mains.switched-neutral")


def test_the_order_is_a_default_and_may_be_turned_round():
    assert next(d for d in ruff().defaults if d.path == "supply/mains/order").text == "[fuse, switch]"
    netlist = ruff((SWITCH, SWITCH + "    order: [switch, fuse]\n"))
    assert pins(one(netlist, Switch, where="mains"))["1a"] == "mains.line"
    assert pins(one(netlist, Fuse, where="mains")) == {"1": "mains.switched-line", "2": "mains.fused"}
    assert netlist.stage("mains").ports["line"] == "mains.fused"
    assert netlist.stage("mains").facts["order"] == ("switch", "fuse")
    assert not any(d.path == "supply/mains/order" for d in netlist.defaults)


@pytest.mark.parametrize(("where", "opened", "through"), [("line", "line", "neutral"), ("neutral", "neutral", "line")])
def test_a_single_pole_opens_what_it_is_put_in(where, opened, through):
    netlist = ruff((SWITCH, f"    switch: {{poles: 1, rating: 250 V 4 A, in: {where}}}\n"))
    switch = one(netlist, Switch, where="mains")
    assert [pin.name for pin in switch.pins] == ["1a", "1b"]
    assert switch.net("1b") == f"mains.switched-{opened}"
    assert f"mains.switched-{through}" not in netlist.nets


def test_a_single_pole_stands_in_the_line_unless_told():
    netlist = ruff((SWITCH, "    switch: {poles: 1, rating: 250 V 4 A}\n"))
    assert one(netlist, Switch, where="mains").net("1a") == "mains.fused"
    assert next(d for d in netlist.defaults if d.path == "supply/mains/switch/in").text == "line"


def test_one_pole_cannot_open_both():
    text = text_of("ruff").replace(SWITCH, "    switch: {poles: 1, rating: 250 V 4 A, in: line-neutral}\n")
    found = edited("ruff", (SWITCH, "    switch: {poles: 1, rating: 250 V 4 A, in: line-neutral}\n"))
    assert found.codes() == ["ELB-040"]
    assert found.lines() == [line_of(text, "in: line-neutral")]
    assert found.netlist is None


def test_everything_else_in_the_line():
    extra = "    x_capacitor: 100n 275V class-X2\n    thermal_fuse: 115 °C\n    inrush: 10 ohm\n"
    netlist = ruff((SWITCH, SWITCH + extra))
    across = one(netlist, Capacitor, role="x-capacitor")
    assert pins(across) == {"1": "mains.switched-line", "2": "mains.switched-neutral"}
    assert across.technology == "class-X2"
    inrush = one(netlist, Resistor, role="inrush")
    assert (inrush.ohms, inrush.technology) == (10.0, "ntc")
    assert pins(inrush) == {"1": "mains.switched-line", "2": "mains.limited"}
    thermal = one(netlist, Fuse, where="thermal")
    assert pins(thermal) == {"1": "mains.limited", "2": "mains.guarded"}
    assert thermal.amps == 0.5  # no less than the mains fuse
    assert netlist.stage("mains").ports["line"] == "mains.guarded"
    assert netlist.stage("mains").facts["thermal_fuse_celsius"] == 115.0
    assert {net.domain for name, net in netlist.nets.items() if name.startswith("mains.")} == {"mains"}


def test_figures_of_the_parts():
    netlist = ruff()
    inlet, fuse = one(netlist, Inlet), one(netlist, Fuse, where="mains")
    assert (inlet.kind, inlet.cord_cores, inlet.volts, inlet.amps) == ("iec-c14", 3, 250.0, 10.0)
    assert (fuse.amps, fuse.characteristic, fuse.breaking, fuse.volts, fuse.holder) == (0.5, "T", "H", 250.0, "shock-safe")
    switch = one(netlist, Switch, where="mains")
    assert (switch.poles, switch.volts, switch.amps, switch.closed) == (2, 250.0, 4.0, True)


def test_facts_say_only_what_the_spec_says():
    plain = ruff().stage("mains").facts
    assert plain["cord"] == "three-core"
    assert plain["holder"] == "shock-safe"
    assert not {"strain_relief", "polarity_switch", "accessory_outlet", "line_to_chassis_capacitor"} & set(plain)
    bad = "    strain_relief: false\n    polarity_switch: true\n    accessory_outlet: true\n    line_to_chassis_capacitor: true\n"
    facts = ruff((FUSE, FUSE + bad), ("    cord: three-core\n", "    cord: two-core\n")).stage("mains").facts
    assert (facts["strain_relief"], facts["polarity_switch"], facts["accessory_outlet"]) == (False, True, True)
    assert (facts["line_to_chassis_capacitor"], facts["cord"]) == (True, "two-core")


def test_a_two_core_cord_has_no_earth_core():
    netlist = ruff(("    cord: three-core\n", "    cord: two-core\n"))
    assert one(netlist, Inlet).cord_cores == 2


def test_earth_goes_from_inlet_to_stud():
    netlist = ruff()
    assert one(netlist, Inlet).net("PE") == one(netlist, Stud).net("PE") == "PE"
    assert netlist.nets["PE"].domain == "earth"

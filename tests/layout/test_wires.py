"""Wires: a tree per net over all its terminals, colours that mean nothing else, sleeves where a lead's colour does."""

from __future__ import annotations

import pytest

from humdinger.layout import Wire, place
from humdinger.layout.colours import EARTH_ONLY, HOUSE, mains_colours
from support.amps import changed, demo_text, run
from support.manuals import DEMO_NAMES, manual


@pytest.mark.parametrize("name", DEMO_NAMES)
def test_each_net_is_one_tree(name: str) -> None:
    netlist = manual(name)[0].netlist
    assert netlist is not None
    layout = place(netlist)
    for net, rows in netlist.on_net.items():
        terminals = {(part.ref, pin) for part, pin in rows}
        parent = {t: t for t in terminals}

        def root(t: tuple[str, str], parent: dict[tuple[str, str], tuple[str, str]] = parent) -> tuple[str, str]:
            while parent[t] != t:
                t = parent[t]
            return t

        for wire in layout.wires_of(net):
            a, b = root((wire.start.ref, wire.start.pin)), root((wire.end.ref, wire.end.pin))
            assert a != b, f"{net}: wire {wire.number} closes a loop"
            parent[a] = b
        assert len({root(t) for t in terminals}) == 1, f"{net} falls apart"
    assert [w.number for w in layout.wires] == list(range(1, len(layout.wires) + 1))


def test_ground_ends_at_the_bond_and_earth_at_the_stud() -> None:
    netlist = manual("curlew")[0].netlist
    assert netlist is not None
    layout = place(netlist)
    assert any("W1" in (w.start.ref, w.end.ref) for w in layout.wires_of("0"))
    assert any("E1" in (w.start.ref, w.end.ref) for w in layout.wires_of("PE"))


@pytest.mark.parametrize("name", DEMO_NAMES)
def test_no_house_colour_means_mains_or_earth(name: str) -> None:
    netlist = manual(name)[0].netlist
    assert netlist is not None
    layout = place(netlist)
    assert layout.clashes == ()
    for wire in layout.wires:
        if wire.group not in ("mains", "earth"):
            assert wire.colour not in EARTH_ONLY
            assert wire.colour not in mains_colours(netlist.region.code)


def test_a_green_house_wire_is_a_clash() -> None:
    netlist = manual("curlew")[0].netlist
    assert netlist is not None
    clashes = place(netlist, {"grid": "green"}).clashes
    assert [(c.carries, c.colour, c.taken_for) for c in clashes] == [("grid", "green", "protective earth")]


def test_standard_plate_leads_are_sleeved_where_blue_and_brown_are_mains() -> None:
    """RETMA plate leads blue and brown (public table) against IEC 60445 neutral and line."""
    netlist = manual("curlew")[0].netlist
    assert netlist is not None
    assert netlist.region.code == "eu"
    sleeves = {s.lead.pin: (s.colour, s.sleeve) for s in place(netlist).sleeves}
    assert sleeves["P1"] == ("blue", HOUSE["plate"])
    assert sleeves["P2"] == ("brown", HOUSE["plate"])


def hops(name: str, net: str) -> list[tuple[str, str]]:
    """The wires of a net as "ref pin" pairs."""
    netlist = manual(name)[0].netlist
    assert netlist is not None
    return [(f"{w.start.ref} {w.start.pin}", f"{w.end.ref} {w.end.pin}") for w in place(netlist).wires_of(net)]


def refs_of(name: str, kind: str, **facts: str) -> list[str]:
    netlist = manual(name)[0].netlist
    assert netlist is not None
    return [p.ref for p in netlist.parts if type(p).__name__ == kind and all(getattr(p, k) == v for k, v in facts.items())]


@pytest.mark.parametrize("name", DEMO_NAMES)
def test_earth_goes_from_the_inlet_straight_to_the_stud(name: str) -> None:
    wires = hops(name, "PE")
    inlet, stud = refs_of(name, "Inlet")[0], refs_of(name, "Stud")[0]
    assert (f"{inlet} PE", f"{stud} PE") in wires
    assert all(f"{stud} PE" in hop for hop in wires)


@pytest.mark.parametrize("name", DEMO_NAMES)
def test_what_hangs_on_a_cable_is_a_leaf(name: str) -> None:
    """Pulling the speaker or the pedal must not part anything inside."""
    netlist = manual(name)[0].netlist
    assert netlist is not None
    outside = {*refs_of(name, "Speaker"), *refs_of(name, "Switch", where="footswitch")}
    for wire in place(netlist).wires:
        assert wire.start.ref not in outside
        assert wire.outside == (wire.end.ref in outside)


def test_load_resistor_stays_when_the_speaker_is_unplugged() -> None:
    netlist = manual("curlew")[0].netlist
    assert netlist is not None
    stage = netlist.stage("speaker")
    jack, load = stage.parts["jack"], stage.parts["load-resistor"]
    assert (f"{jack} tip", f"{load} 1") in hops("curlew", "speaker.hot")
    assert (f"{jack} sleeve", f"{load} 2") in hops("curlew", "0")


def test_charging_loop_stands_alone() -> None:
    """Tap straight to the reservoir's minus, rectifier straight to its plus (common practice)."""
    netlist = manual("curlew")[0].netlist
    assert netlist is not None
    reservoir = netlist.stage("filter").parts["B1-capacitor"]
    assert ("T2 HT-CT", f"{reservoir} -") in hops("curlew", "0")
    assert hops("curlew", "B1")[1][1] == f"{reservoir} +"
    assert sum(1 for hop in hops("curlew", "0") if "T2 HT-CT" in hop) == 1


def test_tube_rectifier_feeds_the_reservoir_before_anything_else() -> None:
    netlist = manual("heron")[0].netlist
    assert netlist is not None
    reservoir = netlist.stage("filter").parts["B1-capacitor"]
    assert hops("heron", "B1")[:2] == [("T2 H2-B", "V6 8"), ("V6 8", f"{reservoir} +")]
    wires = {(w.start.ref, w.start.pin): w.pair for w in place(netlist).wires}
    assert wires["T2", "H2-A"] == wires["T2", "H2-B"] == "H2"


@pytest.mark.parametrize(("name", "first", "last"), [("curlew", "V4", "V1"), ("heron", "V4", "V1"), ("dunlin", "V2", "V1")])
def test_heater_pair_ends_at_the_input_tube(name: str, first: str, last: str) -> None:
    netlist = manual(name)[0].netlist
    assert netlist is not None
    run = [w for w in place(netlist).wires if w.pair == "H1"]
    assert [w.end.ref for w in run[:2]] == [first, first]
    assert [w.end.ref for w in run[-2:]] == [last, last]
    assert [w.net for w in run] == ["h1.a", "h1.b"] * (len(run) // 2)


@pytest.mark.parametrize(("joint", "at"), [("input", "J1 sleeve"), ("reservoir", "C19 -")])
def test_chassis_joint_is_where_the_spec_says(joint: str, at: str) -> None:
    made = run_demo({"grounding/chassis_joint": joint})
    bond = [w for w in made if "W1" in (w.start.ref, w.end.ref) and w.net == "0"]
    assert [f"{w.start.ref} {w.start.pin}" for w in bond] == [at]


def test_star_scheme_has_no_bus() -> None:
    wires = [w for w in run_demo({"grounding/scheme": "star"}) if w.net == "0"]
    hubs = {w.end.ref for w in wires if w.start.ref == "C19" and w.end.ref in ("C20", "C21", "C22")}
    assert hubs == {"C20", "C21", "C22"}


def run_demo(changes: dict[str, str]) -> tuple[Wire, ...]:
    netlist = run(changed(demo_text("curlew"), changes)).netlist
    assert netlist is not None
    return place(netlist).wires


def test_leads_that_go_nowhere_are_listed() -> None:
    netlist = manual("heron")[0].netlist
    assert netlist is not None
    found = {(i.ref, i.lead) for i in place(netlist).isolated}
    assert ("T2", "120 V primary") in found
    assert {("T1", "4"), ("T1", "16")} <= found

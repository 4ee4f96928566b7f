"""Wires: a tree per net over all its terminals, colours that mean nothing else, sleeves where a lead's colour does."""

from __future__ import annotations

from collections import Counter

import pytest

from humdinger.layout import Layout, Terminal
from humdinger.layout.colours import EARTH_ONLY, HOUSE, mains_colours
from humdinger.layout.ground import returns
from humdinger.layout.place import place
from support.amps import changed, demo_text, run
from support.boarding import faults
from support.manuals import DEMO_NAMES, manual


@pytest.mark.parametrize("name", DEMO_NAMES)
def test_each_net_is_one_tree(name: str) -> None:
    """Joined by shared terminals, links under boards and wires (`boarding.faults`), the wires numbered through."""
    netlist = manual(name)[0].netlist
    assert netlist is not None
    layout = place(netlist)
    assert faults(netlist, layout) == []
    assert [w.number for w in layout.wires] == list(range(1, len(layout.wires) + 1))


def test_ground_ends_at_the_bond_and_earth_at_the_stud() -> None:
    netlist = manual("curlew")[0].netlist
    assert netlist is not None
    layout = place(netlist)
    (bond,) = [w for w in layout.wires if w.bond]
    assert (bond.bond, bond.start, bond.end) == ("W1", Terminal("J1", "sleeve"), Terminal("E1", "PE"))
    assert bond.colour == netlist.region.earth_colours[0]
    assert bond.number == max(w.number for w in layout.wires if not w.outside)  # the last joint made
    assert "W1" not in {t.ref for w in layout.wires for t in (w.start, w.end)}  # one piece: nothing is spliced to it
    assert any("E1" in (w.start.ref, w.end.ref) for w in layout.wires_of("PE"))


@pytest.mark.parametrize("name", DEMO_NAMES)
def test_no_house_colour_means_mains_or_earth(name: str) -> None:
    netlist = manual(name)[0].netlist
    assert netlist is not None
    layout = place(netlist)
    assert layout.colouring.clashes == ()
    for wire in layout.wires:
        if wire.group not in ("mains", "earth") and not wire.bond:
            assert wire.colour not in EARTH_ONLY
            assert wire.colour not in mains_colours(netlist.region.code)


def test_a_green_house_wire_is_a_clash() -> None:
    netlist = manual("curlew")[0].netlist
    assert netlist is not None
    clashes = place(netlist, {"grid": "green"}).colouring.clashes
    assert [(c.carries, c.colour, c.taken_for) for c in clashes] == [("grid", "green", "protective earth")]


def test_standard_plate_leads_are_sleeved_where_blue_and_brown_are_mains() -> None:
    """RETMA plate leads blue and brown (public table) against IEC 60445 neutral and line."""
    netlist = manual("curlew")[0].netlist
    assert netlist is not None
    assert netlist.region.code == "eu"
    sleeves = {s.lead.pin: (s.colour, s.sleeve) for s in place(netlist).colouring.sleeves}
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
    layout = place(netlist)
    assert layout.joint(load, "1") == Terminal(jack, "tip")
    assert layout.joint(load, "2") == Terminal(jack, "sleeve")


def test_charging_loop_stands_alone() -> None:
    """Tap straight to the reservoir's minus, rectifier straight to its plus (common practice)."""
    netlist = manual("curlew")[0].netlist
    assert netlist is not None
    reservoir = netlist.stage("filter").parts["B1-capacitor"]
    layout = place(netlist)
    tap = [w for w in layout.wires_of("0") if Terminal("T2", "HT-CT") in (w.start, w.end)]
    assert [w.end for w in tap] == [layout.joint(reservoir, "-")]
    diodes = {layout.joint(ref, "k") for ref in refs_of("curlew", "Diode") if netlist.by_ref[ref].net("k") == "B1"}
    assert len(diodes) == 1
    plus = layout.joint(reservoir, "+")
    assert any({link.start, link.end} == {*diodes, plus} for link in layout.links_of("B1"))
    others = {t for link in layout.links_of("B1") for t in (link.start, link.end) if diodes & {link.start, link.end}}
    assert others == {*diodes, plus}
    assert not any(diodes & {w.start, w.end} for w in layout.wires)


def test_tube_rectifier_feeds_the_reservoir_before_anything_else() -> None:
    netlist = manual("heron")[0].netlist
    assert netlist is not None
    reservoir = netlist.stage("filter").parts["B1-capacitor"]
    layout = place(netlist)
    plus = layout.joint(reservoir, "+")
    assert hops("heron", "B1")[:2] == [("T2 H2-B", "V6 8"), ("V6 8", f"{plus.ref} {plus.pin}")]
    wires = {(w.start.ref, w.start.pin): w.pair for w in layout.wires}
    assert wires["T2", "H2-A"] == wires["T2", "H2-B"] == "H2"


@pytest.mark.parametrize(("name", "first", "last"), [("curlew", "V4", "V1"), ("heron", "V4", "V1"), ("dunlin", "V2", "V1")])
def test_heater_pair_ends_at_the_input_tube(name: str, first: str, last: str) -> None:
    netlist = manual(name)[0].netlist
    assert netlist is not None
    run = [w for w in place(netlist).wires if w.pair == "H1"]
    assert [w.end.ref for w in run[:2]] == [first, first]
    assert [w.end.ref for w in run[-2:]] == [last, last]
    assert [w.net for w in run] == ["h1.a", "h1.b"] * (len(run) // 2)


@pytest.mark.parametrize(("joint", "ref", "pin"), [("input", "J1", "sleeve"), ("reservoir", "C19", "-")])
def test_chassis_joint_is_where_the_spec_says(joint: str, ref: str, pin: str) -> None:
    made = run_demo({"grounding/chassis_joint": joint})
    bond = [w for w in made.wires if w.bond == "W1"]
    at = made.joint(ref, pin)
    ties = {t for link in made.links_of("0") for t in (link.start, link.end) if at in (link.start, link.end)}
    assert [w.start for w in bond] == [at] or ({w.start for w in bond} <= ties and all(is_tie(made, w.start) for w in bond))


def is_tie(made: Layout, terminal: Terminal) -> bool:
    """Whether a terminal was put there to give another one room."""
    return any(t.tie for board in made.boards for t in board.turrets if t.terminal == terminal)


@pytest.mark.parametrize("scheme", ["star", "bus-with-local-stars"])
def test_spokes_of_a_star_meet_at_the_reservoir_and_nowhere_else(scheme: str) -> None:
    """Taking the reservoir's terminal and its ties away parts every star from every other; of a bus the next star stays on the way."""
    made = run_demo({"grounding/scheme": scheme})
    hubs = {ref: made.joint(ref, "-") for ref in ("C19", "C20", "C21", "C22")}
    centre = {hubs["C19"]}
    hops = [(e.start, e.end) for e in (*made.links_of("0"), *made.wires_of("0"))]
    while more := {t for hop in hops for t in hop if centre & set(hop) and is_tie(made, t)} - centre:
        centre |= more
    near = {node: node for hop in hops for node in hop}

    def root(node: Terminal) -> Terminal:
        while near[node] != node:
            node = near[node]
        return node

    for a, b in hops:
        if not centre & {a, b}:
            near[root(a)] = root(b)
    apart = len({root(hubs[ref]) for ref in ("C20", "C21", "C22")})
    assert apart == (3 if scheme == "star" else 1)


def run_demo(changes: dict[str, str]) -> Layout:
    netlist = run(changed(demo_text("curlew"), changes)).netlist
    assert netlist is not None
    return place(netlist)


@pytest.mark.parametrize("name", DEMO_NAMES)
def test_no_tag_takes_more_than_three(name: str) -> None:
    """Wires and leads on one tag of a tube, pot or jack (common practice); plugs and the stud do not count."""
    netlist = manual(name)[0].netlist
    assert netlist is not None
    layout = place(netlist)
    count = Counter(t for w in layout.wires if not w.outside for t in (w.start, w.end) if t.ref in netlist.by_ref and t.pin != "PE")
    count.update(tag for lead, tag in layout.joints.items() if tag.ref in netlist.by_ref and lead.ref not in refs_of(name, "Bond"))
    assert {tag: n for tag, n in count.items() if n > 3} == {}


@pytest.mark.parametrize("name", DEMO_NAMES)
def test_a_transformer_lead_goes_to_one_place(name: str) -> None:
    """It is the wire itself: nothing is spliced to its end."""
    netlist = manual(name)[0].netlist
    assert netlist is not None
    count = Counter(t for w in place(netlist).wires if not w.outside for t in (w.start, w.end))
    assert {t: n for t, n in count.items() if t.ref in ("T1", "T2") and n > 1} == {}


def test_leads_that_go_nowhere_are_listed() -> None:
    netlist = manual("heron")[0].netlist
    assert netlist is not None
    found = {(i.ref, i.lead) for i in place(netlist).isolated}
    assert ("T2", "120 V primary") in found
    assert {("T1", "4"), ("T1", "16")} <= found


def test_the_output_tubes_return_to_the_reservoir_past_nothing_else() -> None:
    """Heron: from the test resistors to the star of B1 there is no other part on the way; the feedback's foot is in the driver's star."""
    netlist = manual("heron")[0].netlist
    assert netlist is not None
    layout = place(netlist)
    cathodes = {netlist.by_section[ref].cathode for ref in netlist.power_sections}
    loud = {p.ref for p in netlist.parts if "0" in {pin.net for pin in p.pins} and cathodes & {pin.net for pin in p.pins}}
    hub = layout.joint(netlist.stage("filter").parts["B1-capacitor"], "-")
    lugs = {layout.joint(ref, pin.name) for ref in loud for pin in netlist.by_ref[ref].pins if pin.net == "0"}
    first = [w for w in layout.wires_of("0") if {w.start, w.end} & lugs and hub.ref in (w.start.ref, w.end.ref)]
    assert len(loud) == len(lugs) == 2
    assert len(first) == 1
    rest = [w for w in layout.wires_of("0") if {w.start, w.end} & lugs and w not in first]
    assert all({w.start, w.end} == lugs for w in rest)
    stars = {lead.ref: star for lead, star in returns(netlist).items()}
    feedback = netlist.stage("feedback")
    driver = next(s for s in netlist.sections if s.stage == feedback.facts["to"])
    assert stars[feedback.parts["shunt"]] == next(stars[ref] for ref in netlist.stage(driver.stage).parts.values() if ref in stars)

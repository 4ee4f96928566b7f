"""Wires: a tree per net over all its terminals, colours that mean nothing else, sleeves where a lead's colour does."""

from __future__ import annotations

import pytest

from humdinger.layout import place
from humdinger.layout.colours import EARTH_ONLY, HOUSE, mains_colours
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

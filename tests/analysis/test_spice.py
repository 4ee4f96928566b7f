"""The deck as text: names, what is in it, what is refused. That it is right is shown against ngspice in tests/reference."""

from __future__ import annotations

import re
from dataclasses import replace

import pytest

from humdinger.analysis.spice import spice_deck
from support.driven import nominal
from support.netlists import Bench, small_amp

AMP = small_amp(choke=True)


def test_names_do_not_collide_without_regard_to_case() -> None:
    # "p1" and "P1" are two nets of the amp, but one name to a program that knows no case
    deck = spice_deck(AMP, nominal(AMP))
    table = dict(re.findall(r"^\* (\S+) = (\S+)$", deck, re.MULTILINE))
    nodes = [name for name in table if name != "node"]
    assert len(set(map(str.lower, nodes))) == len(nodes)
    assert {"p1", "P1", "B1", "PE"} <= set(table.values())
    assert table["0"] == "0"
    assert "gnd" not in nodes


def test_names_are_safe() -> None:
    b = Bench()
    b.resistor("R1", "first.plate", "0.x", 1e3)
    b.resistor("R2", "first-plate", "0", 1e3)
    deck = spice_deck(b.netlist(input_net="first.plate"), nominal(b.netlist()))
    assert "* first_plate = first.plate" in deck
    assert "* first_plate_2 = first-plate" in deck
    assert "* n_0_x = 0.x" in deck


def test_elements_have_names_of_their_own() -> None:
    for supply, analysis in (("averaged", "op"), ("averaged", "ac"), ("averaged", "tran"), ("real", "tran")):
        lines = spice_deck(AMP, nominal(AMP), supply, analysis).splitlines()[1:]
        names = [line.split()[0].lower() for line in lines if line[:1].isalpha()]
        assert len(set(names)) == len(names)
        assert lines[-1] == ".end"


def test_tubes_out_are_not_in_the_deck() -> None:
    assert "Bp_v4 " in spice_deck(AMP, nominal(AMP))
    assert "Bp_" not in spice_deck(AMP, replace(nominal(AMP), tubes="none"))


def test_supplies() -> None:
    averaged, real = spice_deck(AMP, nominal(AMP)), spice_deck(AMP, nominal(AMP), "real", "tran")
    assert "acos(" in averaged
    assert "SIN(" not in averaged
    assert "acos(" not in real
    assert real.count("SIN(") == 2


def test_what_makes_no_sense_is_refused() -> None:
    for supply, analysis in (("real", "op"), ("real", "ac"), ("ideal", "op"), ("averaged", "noise")):
        with pytest.raises(ValueError, match="supply"):
            spice_deck(AMP, nominal(AMP), supply, analysis)

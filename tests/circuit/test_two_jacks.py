"""An input with two jacks: contacts and nets, the loss of the second jack, ngspice, and a manual without warnings."""

from __future__ import annotations

from functools import cache

import pytest

from humdinger.analysis.smallsignal import small_signal
from humdinger.circuit.netlist import Jack
from humdinger.compile import Compiled
from support.amps import above_info, changed, demo_text, run
from support.driven import nominal
from support.kinds import agrees_with_ngspice
from support.signal_amps import ends, netlist_of, part

KINDS = ("high-low", "parallel")


def dunlin(kind: str) -> str:
    return changed(demo_text("dunlin"), {"signal/0/jacks": "2", "signal/0/arrangement": kind, "signal/0/grid_stopper": "~"})


@cache
def made(kind: str) -> Compiled:
    return run(dunlin(kind))


def jack(netlist, role: str) -> Jack:
    found = part(netlist, "guitar", role)
    assert isinstance(found, Jack)
    return found


def test_the_contact_of_the_empty_low_jack_joins_the_tips():
    netlist = netlist_of(dunlin("high-low"))
    assert jack(netlist, "jack").net("tip-switch") == "0"
    assert jack(netlist, "jack-low").net("tip-switch") == "guitar.tip"
    assert ends(netlist, "guitar", "grid-stopper") == ("guitar.tip", "guitar.out")
    assert ends(netlist, "guitar", "grid-stopper-low") == ("guitar.low", "guitar.out")
    assert "grid-leak-low" not in netlist.stage("guitar").parts
    assert [jack(netlist, role).label for role in ("jack", "jack-low")] == ["INPUT HIGH", "INPUT LOW"]
    assert {d.path: d.text for d in netlist.defaults}["signal/0/grid_stopper"] == "68k"


def test_two_guitars_have_a_leak_each():
    netlist = netlist_of(dunlin("parallel"))
    assert jack(netlist, "jack-low").net("tip-switch") == "0"
    assert ends(netlist, "guitar", "grid-leak-low") == ("guitar.low", "0")


@pytest.mark.parametrize(("kind", "share"), [("high-low", 1.0), ("parallel", 0.5)])
def test_what_reaches_the_grid(kind: str, share: float):
    """high-low: both resistors carry the signal and the grid takes none: 1. parallel: the empty jack grounds its resistor: half."""
    netlist = netlist_of(dunlin(kind))
    found = small_signal(netlist, nominal(netlist)).transfer("guitar.tip", ["guitar.out"], [100.0])
    assert abs(found[0, 0]) == pytest.approx(share, rel=1e-3)


def test_half_of_the_stopper_in_high():
    """Both 68k in parallel: twice the treble corner of one 68k (1/(2 pi R C), R = 34k)."""
    single = run(changed(demo_text("dunlin"), {"signal/0/grid_stopper": "68k"})).results
    double = made("high-low").results
    assert single is not None
    assert double is not None
    assert single.input_low_pass_hertz is not None
    assert double.input_low_pass_hertz == pytest.approx(2.0 * single.input_low_pass_hertz, rel=0.01)


@pytest.mark.parametrize("kind", KINDS)
def test_against_ngspice(kind: str):
    agrees_with_ngspice(netlist_of(dunlin(kind)))


@pytest.mark.parametrize("kind", KINDS)
def test_the_amp_compiles_without_a_warning(kind: str):
    assert above_info(made(kind)) == []

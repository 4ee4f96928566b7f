"""The B+ filter: nodes in a row, what stands between them, where the standby switch opens the row."""

from __future__ import annotations

import pytest

from humdinger.circuit.netlist import Capacitor, Choke, Resistor, Switch
from support.texts import edit, edited, line_of, made

STANDBY = "  standby: {where: between-reservoir-and-choke, rating: 250 V 3 A, dc_rating: 600 V}\n"
CHOKE = "choke: {inductance: 5 H, resistance: 90, current: 200 mA, insulation: 1.5 kV}"
SMALL = """\
  filter:
    - {node: B1, capacitor: 47u 450V, bleeder: 220k 2W flameproof, feeds: [output-plates]}
    - {node: B2, through: 1k 5W wirewound, capacitor: 47u 450V, feeds: [screens]}
    - {node: B3, through: 22k 1W flameproof, capacitor: 22u 450V}
"""
B3 = "    - {node: B3, through: 1k, capacitor: 22u 450V}\n"


def parts(netlist, kind):
    return {p.role: tuple(pin.net for pin in p.pins) for p in netlist.of(kind) if p.stage == "filter"}


def test_rc_sections_in_a_row():
    netlist = edited("ruff").good
    assert netlist.b_plus == ("B1", "B2", "B3", "B4")
    assert parts(netlist, Capacitor) == {f"B{n}-capacitor": (f"B{n}", "0") for n in (1, 2, 3, 4)}
    assert parts(netlist, Resistor) == {
        "B1-bleeder": ("B1", "0"),
        "B2-through": ("B1", "B2"),
        "B3-through": ("B2", "B3"),
        "B4-through": ("B3", "B4"),
    }
    assert all(p.polarised and p.net("-") == "0" for p in netlist.of(Capacitor) if p.stage == "filter")
    assert netlist.stage("filter").facts["feeds"] == {"B1": ("output-plates",), "B2": ("screens",), "B3": (), "B4": ()}


def test_choke_behind_the_standby_switch():
    netlist = edited("whimbrel").good
    assert parts(netlist, Choke) == {"B2-choke": ("B1.switched", "B2")}
    assert parts(netlist, Switch) == {"standby": ("B1", "B1.switched")}
    (choke,) = netlist.of(Choke)
    assert (choke.henries, choke.ohms, choke.amps, choke.insulation_volts) == (5.0, 90.0, 0.2, 1500.0)
    switch = next(p for p in netlist.of(Switch) if p.where == "standby")
    assert (switch.closed, switch.volts, switch.amps, switch.dc_volts) == (True, 250.0, 3.0, 600.0)


def test_no_standby_no_extra_net():
    netlist = edited("whimbrel", (STANDBY, "")).good
    assert parts(netlist, Choke) == {"B2-choke": ("B1", "B2")}
    assert "B1.switched" not in netlist.nets


def test_after_the_reservoir_the_loads_are_behind_the_switch():
    netlist = edited("whimbrel", (STANDBY, "  standby: {where: after-reservoir}\n")).good
    assert parts(netlist, Switch) == {"standby": ("B1.reservoir", "B1")}
    assert parts(netlist, Capacitor)["B1-capacitor"] == ("B1.reservoir", "0")
    assert parts(netlist, Resistor)["B1-bleeder"] == ("B1.reservoir", "0")
    rectifier = next(r for r in netlist.rectifiers if r.id == "high-tension")
    assert (rectifier.plus, netlist.by_ref[rectifier.reservoir].role) == ("B1.reservoir", "B1-capacitor")
    assert netlist.by_ref["T1"].net("CT") == "B1"
    assert netlist.b_plus[0] == "B1"


def test_choke_and_resistor_in_one_section():
    netlist = edited("whimbrel", (CHOKE, f"{CHOKE}, through: 100 5W")).good
    assert parts(netlist, Choke)["B2-choke"] == ("B1.switched", "B2.choke")
    assert parts(netlist, Resistor)["B2-through"] == ("B2.choke", "B2")


def test_names_are_the_builders():
    netlist = made(edit("smallest").replace("B3", "B7")).good
    assert netlist.b_plus == ("B1", "B2", "B7")
    assert netlist.stage("first").ports["supply"] == "B7"


def test_paths_and_lines():
    text = edit("ruff")
    netlist = edited("ruff").good
    bleeder = next(p for p in netlist.parts if p.role == "B1-bleeder")
    assert bleeder.path == "supply/filter/0/bleeder"
    assert bleeder.span.line == line_of(text, "node: B1,")


@pytest.mark.parametrize(
    ("rows", "code", "line"),
    [
        (f"    - {{node: B1, through: 100 5W, capacitor: 47u 450V}}\n{B3}", "ELB-046", "through: 100"),
        (f"    - {{node: B1, choke: {{inductance: 5 H, resistance: 90}}, capacitor: 47u 450V}}\n{B3}", "ELB-046", "choke:"),
        ("    - {node: B3, capacitor: 47u 450V}\n  standby: {where: between-reservoir-and-choke}\n", "ELB-047", "between-reservoir"),
        ("    - {node: B1, capacitor: 47u 450V}\n    - {node: B3, capacitor: 22u 450V}\n", "ELB-048", "node: B3"),
    ],
)  # fmt: skip
def test_what_cannot_be(rows, code, line):
    text = edit("smallest", (SMALL, "  filter:\n" + rows))
    found = made(text)
    assert found.codes() == [code]
    assert found.lines() == [line_of(text, line)]
    assert found.netlist is None

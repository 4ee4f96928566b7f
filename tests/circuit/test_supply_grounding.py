"""Grounding, and the sections nothing uses."""

from __future__ import annotations

import pytest

from humdinger.circuit.netlist import Bond, Resistor, Stud
from support.texts import edit, edited, made

GROUNDING = """\
grounding:
  scheme: bus-with-local-stars
  chassis_joint: input
  pe_stud: {thread: M4, dedicated: true}
  circuit_bond: {kind: direct, area: 1 mm2}
"""


def grounded(text):
    return made(edit("ruff", (GROUNDING, text)))


def pins(part):
    return tuple(pin.net for pin in part.pins)


def test_stud_and_direct_bond():
    netlist = edited("ruff").good
    (stud,), (bond,) = netlist.of(Stud), netlist.of(Bond)
    assert (stud.thread, stud.dedicated, pins(stud)) == ("M4", True, ("PE",))
    assert (bond.kind, bond.area_mm2, pins(bond)) == ("direct", pytest.approx(1.0), ("0", "PE"))
    assert (stud.ref, bond.ref) == ("E1", "W1")


def test_a_loop_breaker_stands_behind_the_bond():
    netlist = grounded("grounding: {pe_stud: {thread: M4}, circuit_bond: {kind: loop-breaker}}\n").good
    (bond,) = netlist.of(Bond)
    (resistor,) = (p for p in netlist.of(Resistor) if p.stage == "grounding")
    assert (bond.kind, pins(bond), pins(resistor)) == ("loop-breaker", ("0", "ground.breaker"), ("ground.breaker", "PE"))
    assert (resistor.ohms, resistor.watts, resistor.technology) == (10.0, 5.0, "wirewound")
    written = grounded("grounding: {circuit_bond: {kind: loop-breaker, resistor: 22 5W}}\n").good
    assert next(p for p in written.of(Resistor) if p.stage == "grounding").ohms == 22.0


def test_what_is_not_written_is_not_built():
    """No safety part is invented: a rule finds the missing bond."""
    netlist = grounded("").good
    assert not [*netlist.of(Stud), *netlist.of(Bond)]
    facts = netlist.stage("grounding").facts
    assert (facts["pe_stud"], facts["circuit_bond"]) == (False, "absent")


def test_an_earth_that_leads_nowhere_is_left_to_the_rules():
    """Without stud, bond and screen the inlet's earth pin stands alone: that is danger, and no fault of the graph."""
    text = edit("pipit")
    start = text.index("grounding:")
    netlist = made(text[:start] + text[text.index("speaker:") :]).good
    assert [part.ref for part, _ in netlist.on_net["PE"]] == ["J2"]


def test_scheme_and_joint_have_defaults():
    netlist = grounded("").good
    assert (netlist.stage("grounding").facts["scheme"], netlist.stage("grounding").facts["chassis_joint"]) == (
        "bus-with-local-stars",
        "input",
    )
    assert {d.path for d in netlist.defaults} >= {"grounding/scheme", "grounding/chassis_joint"}


def test_an_unused_half_is_parked_on_ground():
    netlist = edited("ruff").good
    spare = netlist.by_section["V2b"]
    assert (spare.unused, spare.plate, spare.grid, spare.cathode) == (True, "0", "0", "0")
    tube = netlist.by_ref["V2"]
    assert [tube.net(pin) for pin in "678"] == ["0", "0", "0"]
    default = next(d for d in netlist.defaults if d.path == "unused/V2b")
    assert "common practice" in default.reason
    assert netlist.stage("unused").facts["sections"] == ("V2b",)


def test_the_spec_may_park_it_otherwise():
    netlist = made(edit("ruff") + "unused: {V2b: grid-to-cathode}\n").good
    spare = netlist.by_section["V2b"]
    assert (spare.plate, spare.grid, spare.cathode) == ("", "0", "0")
    assert "6" not in [pin.name for pin in netlist.by_ref["V2"].pins]
    assert not any(d.path.startswith("unused") for d in netlist.defaults)


def test_nothing_is_parked_where_all_is_used():
    netlist = edited("whimbrel").good
    assert netlist.stage("unused").facts["sections"] == ()
    assert not [s for s in netlist.sections if s.unused]


def test_an_idle_power_tube_is_parked_with_its_screen():
    found = made(edit("ruff", ("V5: EL84}", "V5: EL84, V6: EL84}")))
    assert found.codes() == ["NAM-018"]  # a warning
    assert found.netlist is not None
    spare = found.netlist.by_section["V6"]
    assert (spare.plate, spare.screen, spare.unused) == ("0", "0", True)

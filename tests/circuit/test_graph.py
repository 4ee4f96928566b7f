"""The graph checks: sound amps pass, each kind of break gives its code on the line that caused the part."""

from __future__ import annotations

from dataclasses import replace

import pytest

from humdinger.circuit.graph import check, dc_edges, mains_paths, windings
from humdinger.circuit.netlist import GROUND, Bond, Netlist, OutputTransformer, Part, Pin, PowerTransformer, Resistor, Switch, Tube
from humdinger.diagnostics import Severity
from support.demos import NAMES
from support.texts import edit, edited, line_of, made, text_of

AMPS = ("ruff", "whimbrel", "pipit", "smallest", *NAMES)


def moved(netlist: Netlist, ref: str, **nets: str) -> Netlist:
    """The netlist with terminals of one part put on other nets."""
    part = netlist.by_ref[ref]
    pins = tuple(Pin(pin.name, nets.get(f"pin_{pin.name}", pin.net)) for pin in part.pins)
    return replaced(netlist, replace(part, pins=pins))


def replaced(netlist: Netlist, part: Part) -> Netlist:
    return replace(netlist, parts=tuple(part if p.ref == part.ref else p for p in netlist.parts))


def without(netlist: Netlist, ref: str) -> Netlist:
    return replace(netlist, parts=tuple(p for p in netlist.parts if p.ref != ref))


def ref_of(netlist: Netlist, role: str, stage: str = "") -> str:
    (found,) = (p.ref for p in netlist.parts if p.role == role and stage in ("", p.stage))
    return found


def verdicts(netlist: Netlist) -> list[tuple[str, str, int]]:
    found = check(netlist)
    assert all(d.severity is Severity.ERROR and d.primary for d in found)
    return [(d.code, d.element, d.primary.span.line if d.primary else 0) for d in found]


@pytest.mark.parametrize("name", AMPS)
def test_a_sound_amp_passes(name):
    netlist = edited(name).netlist
    assert netlist is not None
    assert check(netlist) == ()
    assert mains_paths(netlist) == ()


# -- NET-001 ----------------------------------------------------------------------------------------------------------
def test_a_grid_without_its_leak():
    netlist = edited("ruff").good
    leak = ref_of(netlist, "grid-leak-a", "output")
    injected = ref_of(netlist, "through-a", "injection")
    broken = without(without(netlist, leak), injected)
    line = line_of(text_of("ruff"), "output:")
    found = [d for d in check(broken) if d.code == "NET-001"]
    assert [(d.element, d.primary.span.line if d.primary else 0) for d in found] == [("V4", line)]
    assert found[0].message == "the control grid of V4 has no DC path to ground"


def test_a_stage_behind_a_capacitor_without_a_leak():
    text = text_of("whimbrel").replace("    grid_leak: 470k\n", "")
    found = made(text)
    assert found.codes() == ["NET-001"]
    assert found.lines() == [line_of(text, "    id: driver") - 1]
    assert found.netlist is None


def test_a_node_that_capacitors_alone_reach():
    netlist = edited("ruff").good
    load = ref_of(netlist, "B4-through", "filter")
    stages = {ref_of(netlist, "plate-load", stage) for stage in ("first", "second")}
    broken = netlist
    for ref in (load, *stages):
        broken = without(broken, ref)
    found = [d for d in check(broken) if d.code == "NET-001"]
    assert not any("B4" in d.message for d in found)  # it ends in the air: that is NET-005, said once
    assert ("NET-005", ref_of(netlist, "B4-capacitor", "filter")) in [(c, e) for c, e, _ in verdicts(broken)]


def test_a_heater_is_no_dc_path():
    """A cathode pin next to a heater pin stays loose when its resistor is gone and its plate has no feed."""
    netlist = edited("ruff").good
    broken = without(without(netlist, ref_of(netlist, "cathode-resistor", "second")), ref_of(netlist, "plate-load", "second"))
    loose = [d for d in check(broken) if d.code == "NET-001"]
    assert len(loose) == 1
    assert {loose[0].facts["net"], *loose[0].notes[0].removeprefix("with it: ").split(", ")} == {"second.cathode", "second.plate"}


# -- NET-002 ----------------------------------------------------------------------------------------------------------
def test_a_second_heater_winding_without_a_reference():
    old = "heaters: [{volts: 6.3 V, current: 4 A, feeds: [all], no_load: 6.8 V}]"
    text = edit("ruff", (old, "heaters:\n      - {volts: 6.3 V, current: 4 A}\n      - {volts: 6.3 V, current: 2 A, feeds: [V4, V5]}"))
    found = made(text)
    assert found.codes() == ["NET-002"]
    assert found.lines() == [line_of(text, "feeds: [V4, V5]")]
    assert found.diagnostics[0].message == "heater winding H2 floats: nothing refers it to circuit ground"


def test_a_speaker_winding_off_ground():
    netlist = edited("pipit").good
    (transformer,) = netlist.of(OutputTransformer)
    broken = moved(netlist, transformer.ref, pin_0="output.foot")
    broken = replace(broken, nets={**broken.nets, "output.foot": replace(broken.nets["speaker.hot"], name="output.foot")})
    speaker, load = ref_of(netlist, "speaker"), ref_of(netlist, "load-resistor")
    broken = moved(moved(broken, speaker, **{"pin_-": "output.foot"}), load, pin_2="output.foot")
    assert verdicts(broken) == [("NET-002", transformer.ref, line_of(text_of("pipit"), "    type: single-ended"))]


def test_a_bridge_without_its_return():
    netlist = edited("pipit").good
    broken = netlist
    for leg in "ab":
        broken = moved(broken, ref_of(netlist, f"diode-minus-{leg}-1"), pin_a="B1")
    bleeders = [p.ref for p in netlist.parts if p.stage == "filter" and p.role.endswith("bleeder")]
    assert bleeders
    assert [v[0] for v in verdicts(broken)] == []  # the tubes and the bleeder still lead to ground


# -- NET-003 ----------------------------------------------------------------------------------------------------------
def test_a_reference_on_the_rectifiers_winding():
    line = next(line for line in text_of("whimbrel").split("\n") if "heater_reference" in line)
    text = edit("whimbrel", (line, "  heater_reference:\n    - {kind: one-side, winding: H2, to: ground}"))
    found = made(text)
    assert found.codes() == ["NET-003"]
    assert found.lines() == [line_of(text, "winding: H2")]
    assert "B1" in found.diagnostics[0].message


def test_b_plus_on_ground():
    netlist = edited("ruff").good
    through = netlist.by_ref[ref_of(netlist, "B2-through")]
    assert isinstance(through, Resistor)
    shorted = replaced(netlist, replace(through, ohms=0.0, pins=(Pin("1", "B2"), Pin("2", GROUND))))
    assert ("NET-003", "B2") in [(c, e) for c, e, _ in verdicts(shorted)]


def test_a_shorted_winding():
    netlist = edited("ruff").good
    (transformer,) = netlist.of(PowerTransformer)
    broken = moved(netlist, transformer.ref, **{"pin_H1-B": "h1.a"})
    found = [v for v in verdicts(broken) if v[0] == "NET-003"]
    assert found == [("NET-003", transformer.ref, line_of(text_of("ruff"), "heaters:"))]


def test_a_rectifier_shorted_by_a_closed_switch():
    netlist = edited("whimbrel").good
    switch = ref_of(netlist, "standby")
    broken = moved(netlist, switch, pin_1a="B1", pin_1b="ht.ct")
    codes = [(c, e) for c, e, _ in verdicts(broken)]
    assert ("NET-003", "high-tension") in codes
    opened = replaced(broken, replace(broken.by_ref[switch], closed=False))  # type: ignore[call-arg]
    assert ("NET-003", "high-tension") not in [(c, e) for c, e, _ in verdicts(opened)]


def test_line_and_neutral_on_one_pole():
    netlist = edited("ruff").good
    (switch,) = (p for p in netlist.of(Switch) if p.where == "mains")
    broken = moved(netlist, switch.ref, pin_2b="mains.switched-line")
    assert "NET-003" not in [c for c, _, _ in verdicts(broken)]  # neutral is open, not shorted, at the primary
    (transformer,) = netlist.of(PowerTransformer)
    shorted = moved(netlist, transformer.ref, pin_N="mains.switched-line")
    found = [v for v in verdicts(shorted) if v[0] == "NET-003"]
    assert found == [("NET-003", transformer.ref, line_of(text_of("ruff"), "    primary: [") - 1)]


# -- NET-004 ----------------------------------------------------------------------------------------------------------
@pytest.mark.parametrize(
    ("role", "stage", "pin", "net"), [("coupling", "first", "pin_2", "first.plate"), ("plate-load", "first", "pin_1", "first.plate")]
)
def test_both_ends_on_one_net(role, stage, pin, net):
    netlist = edited("ruff").good
    ref = ref_of(netlist, role, stage)
    found = [v for v in verdicts(moved(netlist, ref, **{pin: net})) if v[0] == "NET-004"]
    assert found == [("NET-004", ref, netlist.by_ref[ref].span.line)]


def test_a_rheostat_is_fine_and_a_pot_across_one_net_is_not():
    netlist = edited("pipit").good
    pot = ref_of(netlist, "pot", "cut")
    assert netlist.by_ref[pot].net("wiper") == netlist.by_ref[pot].net("ccw")
    broken = moved(netlist, pot, pin_cw=netlist.by_ref[pot].net("ccw"))
    assert ("NET-004", pot) in [(c, e) for c, e, _ in verdicts(broken)]


def test_plate_tied_to_cathode():
    netlist = edited("ruff").good
    sections = tuple(replace(s, plate=s.cathode) if s.ref == "V1a" else s for s in netlist.sections)
    assert ("NET-004", "V1a", line_of(text_of("ruff"), "tubes: {V1")) in verdicts(replace(netlist, sections=sections))


# -- NET-005 ----------------------------------------------------------------------------------------------------------
def test_a_stage_nobody_listens_to():
    text = edit("smallest", ("    id: driver\n", "    id: driver\n    from: guitar\n"))
    found = made(text)
    assert found.codes() == ["NET-005"]
    assert found.lines() == [line_of(text, "    pot: 1M audio")]


def test_a_loose_tube_pin_is_the_fault_of_its_stage():
    netlist = edited("ruff").good
    broken = without(without(netlist, ref_of(netlist, "screen-stopper-a")), "")
    found = [v for v in verdicts(broken) if v[0] == "NET-005"]
    assert found == [("NET-005", "V4", line_of(text_of("ruff"), "output:"))]


def test_declared_ends_are_fine():
    netlist = edited("whimbrel").good
    free = [name for name, rows in netlist.on_net.items() if len(rows) == 1 and netlist.nets[name].open]
    assert free == ["output.tap-4", "output.tap-16"]
    undeclared = replace(netlist, nets={**netlist.nets, "output.tap-4": replace(netlist.nets["output.tap-4"], open="")})
    assert [v[0] for v in verdicts(undeclared)] == ["NET-005"]


# -- what conducts ----------------------------------------------------------------------------------------------------
def test_a_rectifier_tube_conducts_from_its_plates():
    netlist = edited("whimbrel").good
    assert {(one, two) for one, two, ref in dc_edges(netlist) if ref == "V6"} == {("rectifier.a", "B1"), ("rectifier.b", "B1")}


def test_a_grid_does_not_conduct():
    netlist = edited("ruff").good
    assert {(one, two) for one, two, ref in dc_edges(netlist) if ref == "V4"} == {
        ("output.plate-a", "output.cathode-a"),
        ("output.screen-a", "output.cathode-a"),
    }


def test_windings():
    netlist = edited("whimbrel").good
    (output,), (power,) = netlist.of(OutputTransformer), netlist.of(PowerTransformer)
    assert sorted(windings(output)["primary"]) == ["B1", "output.plate-a", "output.plate-b"]
    assert windings(output)["secondary"] == ("0", "output.tap-4", "speaker.hot", "output.tap-16")
    assert windings(power)["HT"] == ("ht.a", "ht.ct", "ht.b")
    assert windings(power)["H2"] == ("h2.a", "B1")


# -- mains ------------------------------------------------------------------------------------------------------------
def test_a_part_between_mains_and_the_circuit():
    netlist = edited("ruff").good
    bleeder = ref_of(netlist, "B1-bleeder")
    assert mains_paths(moved(netlist, bleeder, pin_2="mains.neutral")) == ((bleeder, "mains.neutral", "B1"),)
    capacitor = ref_of(netlist, "B1-capacitor")
    assert mains_paths(moved(netlist, capacitor, **{"pin_-": "mains.neutral"})) == ()
    (bond,) = netlist.of(Bond)
    assert mains_paths(moved(netlist, bond.ref, pin_1="mains.neutral")) == ((bond.ref, "mains.neutral", "PE"),)


def test_no_tube_pin_is_on_the_mains():
    for name in AMPS:
        netlist = edited(name).netlist
        assert netlist is not None
        assert not [p for p in netlist.of(Tube) for pin in p.pins if netlist.nets[pin.net].domain in ("mains", "earth")]

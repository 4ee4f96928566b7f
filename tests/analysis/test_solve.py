"""The pass as a whole, and its report."""

from __future__ import annotations

import math
import random
import re
import sys
from dataclasses import fields, is_dataclass, replace

import pytest

from humdinger.analysis import solve
from humdinger.analysis.report import solve_text
from humdinger.analysis.results import CONDITIONS, Convergence, Results
from humdinger.analysis.study import Study, study
from humdinger.circuit.netlist import Capacitor, Netlist, PowerTransformer, Resistor
from humdinger.diagnostics import Severity
from support.demos import NAMES, demo
from support.netlists import Bench, small_amp


def results(name: str) -> Results:
    found, said = solve(demo(name))
    assert said == ()
    assert found is not None
    return found


@pytest.mark.parametrize("name", NAMES)
def test_every_number_is_finite(name: str) -> None:
    """Nothing that is printed may be nan; what is infinite is said to be (a plate resistance, a level of nothing)."""

    def walk(value: object, path: str) -> None:
        if isinstance(value, float):
            assert not math.isnan(value), path
        elif is_dataclass(value) and not isinstance(value, type):
            for f in fields(value):
                walk(getattr(value, f.name), f"{path}.{f.name}")
        elif isinstance(value, dict):
            for key, item in value.items():
                walk(item, f"{path}[{key}]")
        elif isinstance(value, tuple | list):
            for k, item in enumerate(value):
                walk(item, f"{path}[{k}]")

    walk(results(name), name)


@pytest.mark.parametrize("name", NAMES)
def test_results_speak_of_what_is_in_the_netlist(name: str) -> None:
    netlist, found = demo(name), results(name)
    assert tuple(found.operating) == CONDITIONS
    for row in found.discharges:
        assert set(row.capacitors) <= set(netlist.by_ref)
        assert {row.net, row.minus} <= set(netlist.nets)
        assert set(row.paths) <= set(netlist.by_ref)
    assert {row.section for row in found.grid_paths} <= set(netlist.by_section)
    assert {w.winding for w in found.windings} == {w.name for p in netlist.of(PowerTransformer) for w in p.windings}
    stressed = {p.ref for p in netlist.parts if isinstance(p, Resistor | Capacitor) and p.stage != "mains"}
    # plate resistors of the rectifier stand in its windings, which are averaged
    assert stressed - set(found.stresses) <= {p.ref for p in netlist.parts if p.stage == "rectifier"}


@pytest.mark.parametrize("name", NAMES)
def test_stored_energy_is_that_of_all_capacitors(name: str) -> None:
    netlist, found = demo(name), results(name)
    cold = found.operating["no-tubes-high"].volts
    total = 0.0
    for part in netlist.parts:
        if isinstance(part, Capacitor) and all(pin.net in cold for pin in part.pins):
            total += 0.5 * part.farads * (cold[part.pins[0].net] - cold[part.pins[1].net]) ** 2
    assert found.stored_joules == pytest.approx(total)
    assert 0.95 * total < sum(d.joules for d in found.discharges) < 1.1 * total


def test_the_same_netlist_gives_the_same_results() -> None:
    assert solve(demo("curlew")) == solve(demo("curlew"))


def test_the_mains_isolated_and_the_contacts_safe() -> None:
    for name in NAMES:
        found = results(name)
        assert found.mains_paths == ()
        assert all(c.legal for c in found.centre_taps)
        assert all(abs(c.normal_volts) < 60.0 for c in found.contacts)


# -- trouble ----------------------------------------------------------------------------------------------------------
def test_a_tube_without_a_model_is_a_diagnostic() -> None:
    netlist = small_amp()
    first = netlist.sections[0]
    bare = replace(first, section=replace(first.section, model=None))
    found, said = solve(replace(netlist, sections=(bare, *netlist.sections[1:])))
    assert found is None
    (one,) = said
    assert one.code == "SOL-001"
    assert one.severity is Severity.ERROR
    assert one.element == first.tube
    assert first.ref in one.message


def test_no_operating_point_names_the_nets_and_points_at_a_part(monkeypatch: pytest.MonkeyPatch) -> None:
    def failing(netlist: Netlist) -> Study:
        good = study(netlist)
        bad = {
            name: replace(o, convergence=Convergence(False, 60, 3e-3, True, ("first.plate", "B4"))) if name == "high" else o
            for name, o in good.operating.items()
        }
        return replace(good, operating=bad)

    # the room re-exports the pass under the name of its module
    monkeypatch.setattr(sys.modules["humdinger.analysis.solve"], "study", failing)
    netlist = demo("curlew")
    found, said = solve(netlist)
    assert found is None
    (one,) = said
    assert one.code == "SOL-001"
    assert "high" in one.message
    assert "first plate" in one.message or "first.plate" in one.message
    assert one.primary is not None
    on_plate = [part.span for part, _ in netlist.on_net["first.plate"]]
    assert one.primary.span in on_plate


@pytest.mark.parametrize("seed", range(6))
def test_absurd_values_never_raise(seed: int) -> None:
    """Resistors and capacitors of a demo thrown over nine decades: results or a diagnostic, and a report that prints."""
    rng = random.Random(seed)
    netlist = demo(rng.choice(NAMES))
    parts = []
    for part in netlist.parts:
        if isinstance(part, Resistor) and rng.random() < 0.2:
            part = replace(part, ohms=part.ohms * 10.0 ** rng.uniform(-5.0, 4.0))
        elif isinstance(part, Capacitor) and rng.random() < 0.2:
            part = replace(part, farads=part.farads * 10.0 ** rng.uniform(-5.0, 4.0))
        parts.append(part)
    changed = replace(netlist, parts=tuple(parts))
    found, said = solve(changed)
    assert (found is None) == bool(said)
    if found is not None:
        assert solve_text(changed, found)


def test_a_supply_and_nothing_else() -> None:
    bench = Bench()
    bench.supply("B1", 47e-6)
    bench.resistor("R1", "B1", "0", 220e3)
    found, said = solve(bench.netlist(input_net="", output_net="B1"))
    assert said == ()
    assert found is not None
    assert found.tremolo is None
    assert found.sensitivity is None
    assert found.responses == ()
    assert [d.net for d in found.discharges] == ["B1"]


# -- the report -------------------------------------------------------------------------------------------------------
def report(name: str) -> str:
    return solve_text(demo(name), results(name))


@pytest.mark.parametrize("name", NAMES)
def test_the_report_is_plain_and_says_what_was_asked_for(name: str) -> None:
    text = report(name)
    assert text.endswith("\n")
    assert "nan" not in text
    assert not [line for line in text.splitlines() if line != line.rstrip()]
    for title in ("B+ nodes", "Tubes at nominal mains", "Discharge after switch-off", "Gain per stage", "Heaters", "Poles"):
        assert title in text
    netlist = demo(name)
    for ref in (s.ref for s in netlist.sections if not s.unused):
        assert re.search(rf"^  {ref} ", text, re.MULTILINE), ref
    for node in netlist.b_plus:
        assert re.search(rf"^  {node} ", text, re.MULTILINE), node


def test_the_flagship_prints_its_tremolo() -> None:
    text, found = report("curlew"), results("curlew")
    assert found.tremolo is not None
    assert "slowest and fastest rate" in text
    assert len(re.findall(r"starts", text)) >= 11


def test_numbers_in_the_report_are_those_of_the_results() -> None:
    text, found = report("curlew"), results("curlew")
    row = next(line for line in text.splitlines() if line.startswith("  B1 "))
    volts = [float(v) for v in re.findall(r"([0-9.]+) V", row)]
    assert volts[0] == pytest.approx(found.nominal.volts["B1"], rel=0.005)
    assert volts[4] == pytest.approx(found.operating["no-tubes-high"].volts["B1"], rel=0.005)


def test_columns_line_up() -> None:
    lines = report("heron").splitlines()
    start = lines.index("B+ nodes")
    rows = [line for line in lines[start + 2 : start + 7] if line]
    assert len({len(line) for line in rows}) == 1

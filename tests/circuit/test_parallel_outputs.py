"""Two tubes on each side, and two single-ended ones: what each has of its own, against ngspice and against one tube of the kind."""

from __future__ import annotations

from functools import cache

import pytest

from humdinger.analysis.worked import worked
from humdinger.circuit.netlist import OutputTransformer
from humdinger.compile import Compiled, judged
from support.amps import above_info, changed, demo, demo_text
from support.front import PATH, world
from support.kinds import MAINS, agrees_with_ngspice, draws_clean
from support.outputs import FOUR_FED, ONE_RESISTOR, TWO_FED, connected
from support.signal_amps import codes_of, ends, netlist_of, text_of

AMPS = {
    "four": ("curlew", FOUR_FED),
    "four-on-one-resistor": ("curlew", FOUR_FED | ONE_RESISTOR),
    "four-ultralinear": ("curlew", FOUR_FED | connected("ultralinear")),
    "two-alone": ("dunlin", TWO_FED),
}
FIXED = {"tubes/V7": "EL34", "tubes/V8": "EL34", "output/tubes": "[V4, V5, V7, V8]"}


@cache
def made(name: str) -> Compiled:
    amp, changes = AMPS[name]
    return judged(world(changed(demo_text(amp), changes)), PATH, bench=True, propose=False)


def test_each_tube_has_stoppers_of_its_own_and_each_side_one_leak():
    netlist = made("four").netlist
    assert netlist is not None
    for seat, tube in (("a1", "V4"), ("a2", "V5"), ("b1", "V6"), ("b2", "V7")):
        section = netlist.by_section[tube]
        assert section.plate == f"output.plate-{seat[0]}"
        assert section.grid == f"output.grid-{seat}"
        assert ends(netlist, "output", f"grid-stopper-{seat}") == (f"inverter.out-{seat[0]}", f"output.grid-{seat}")
        assert ends(netlist, "output", f"screen-stopper-{seat}") == ("B2", f"output.screen-{seat}")
        assert ends(netlist, "bias", f"resistor-{seat}") == (f"output.cathode-{seat}", "0")
    leaks = [role for role in netlist.stage("output").parts if role.startswith("grid-leak")]
    assert leaks == ["grid-leak-a", "grid-leak-b"]
    assert netlist.power_sections == ("V4", "V5", "V6", "V7")


def test_the_leak_of_a_side_counts_for_each_tube_on_it():
    """n leakages in one resistor lift the grid n times (standard algebra): 2k2 of its own and 220k twice."""
    results = made("two-alone").results
    assert results is not None
    path = next(path for path in results.grid_paths if path.section == "V3")
    assert path.sharers == 2
    assert path.own_ohms == pytest.approx(2200.0, rel=1e-6)
    assert path.effective_ohms == pytest.approx(2200.0 + 2 * 220e3, rel=1e-6)


def test_one_cathode_for_all_or_test_resistors_for_each():
    netlist = netlist_of(changed(text_of("ruff"), {key: FOUR_FED[key] for key in ("tubes/V6", "tubes/V7", "output/tubes")} | ONE_RESISTOR))
    assert {netlist.by_section[tube].cathode for tube in ("V4", "V5", "V6", "V7")} == {"output.cathode"}
    fixed = netlist_of(changed(text_of("whimbrel"), FIXED))
    for seat in ("a1", "a2", "b1", "b2"):
        assert ends(fixed, "bias", f"test-resistor-{seat}") == (f"output.cathode-{seat}", "0")


@pytest.mark.parametrize("name", AMPS)
def test_against_ngspice(name: str):
    netlist = made(name).netlist
    assert netlist is not None
    agrees_with_ngspice(netlist, *MAINS)


def test_twice_the_tubes_into_half_the_load():
    """Each of four tubes sees what each of two sees (standard algebra): half the optimum of a pair, twice its power."""
    four, two = made("four").results, demo("curlew").results
    assert four is not None
    assert two is not None
    assert four.load is not None
    assert two.load is not None
    assert (four.load.optimum_ohms, two.load.optimum_ohms) == (4000.0, 8000.0)
    volts = four.nominal.sections["V4"].plate_volts / two.nominal.sections["V4"].plate_volts
    assert four.load.clean_watts == pytest.approx(2.0 * two.load.clean_watts * volts**2, rel=0.03)
    lines = {line.section: line for line in four.load_lines}
    assert lines["V4"].ac_ohms == pytest.approx(4000.0, rel=1e-6)
    assert lines["V4"].alone_ohms == pytest.approx(2000.0, rel=1e-6)


def test_two_single_ended_tubes_put_both_currents_through_the_gap():
    found = made("two-alone")
    assert found.netlist is not None
    assert found.results is not None
    (iron,) = found.netlist.of(OutputTransformer)
    points = found.results.nominal.sections
    through = found.results.nominal.parts[iron.ref].amps
    assert through == pytest.approx(points["V2"].plate_amps + points["V3"].plate_amps, rel=1e-6)
    tight = changed(demo_text("dunlin"), TWO_FED | {"output/transformer/gap_current": "60 mA"})
    assert "OTX-004" in above_info(judged(world(tight), PATH, propose=False))


@pytest.mark.parametrize("name", AMPS)
def test_formulas_and_solver_agree(name: str):
    found = made(name)
    assert found.netlist is not None
    assert found.results is not None
    rows = {row.name: row for row in worked(found.netlist, found.results)}
    for row in ("load/power", "load/henries"):
        assert rows[row].solved == pytest.approx(rows[row].closed, rel=1e-6), row


@pytest.mark.parametrize("name", AMPS)
def test_the_amp_compiles_without_a_warning(name: str):
    assert above_info(made(name)) == []


@pytest.mark.parametrize(("amp", "tubes"), [("ruff", "[V4, V5, V6]"), ("pipit", "[V2, V3, V4]")])
def test_other_numbers_of_tubes(amp: str, tubes: str):
    more = {"tubes/V6": "EL84"} if amp == "ruff" else {"tubes/V3": "6V6GT", "tubes/V4": "6V6GT"}
    assert "ELB-016" in codes_of(changed(text_of(amp), more | {"output/tubes": tubes}))


SHARED = "{scheme: cathode, arrangement: shared, resistor: %s 15W wirewound, bypass: 1000u 63V}"
SEPARATE = "{scheme: cathode, arrangement: separate, resistor: %s 5W wirewound, bypass: 1000u 63V}"
STAGES = {
    "two": ("curlew", {}, 1, ("a", "b"), 270),
    "four": ("curlew", FOUR_FED, 1, ("a1", "a2", "b1", "b2"), 270),
    "one alone": ("dunlin", {}, 2, ("a",), 270),
    "two alone": ("dunlin", TWO_FED, 2, ("a1", "a2"), 270),
}
"""Amp, its tubes, the place of the screens' node, the seats, and the cathode resistor of one tube."""


@pytest.mark.parametrize("connection", ["pentode", "ultralinear", "triode"])
@pytest.mark.parametrize("name", STAGES)
def test_every_connection_with_cathodes_together_and_apart(name: str, connection: str):
    """One resistor of R/n under n cathodes is R under each (ohm's law): the same volts at every electrode, and sheets without a fault."""
    amp, fed, node, seats, ohms = STAGES[name]
    changes = fed | (connected(connection, node=node) if connection != "pentode" else {})
    texts = [changed(demo_text(amp), changes | {"bias": bias}) for bias in (SHARED % f"{ohms / len(seats):g}", SEPARATE % str(ohms))]
    together, apart = (judged(world(text), PATH, propose=False) for text in texts)
    for made_so, cathodes in ((together, {"output.cathode"}), (apart, {f"output.cathode-{seat}" for seat in seats})):
        assert made_so.netlist is not None
        under = {made_so.netlist.by_section[ref].cathode for ref in made_so.netlist.power_sections}
        assert under == cathodes or len(seats) == 1
        draws_clean(made_so.netlist, "long")
    assert together.results is not None
    assert apart.results is not None
    for ref, point in together.results.nominal.sections.items():
        other = apart.results.nominal.sections[ref]
        assert (point.plate_volts, point.cathode_amps) == pytest.approx((other.plate_volts, other.cathode_amps), rel=1e-4), ref

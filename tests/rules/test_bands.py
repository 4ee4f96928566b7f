"""Where each band of a rule ends: the value on the limit, and one just past it.

The numbers of a solved demo are replaced one at a time, so nothing is solved again and the limits are met exactly. The bands are those
of the catalogue the rules were written from (its tags are on each rule's page).
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from typing import Any

import pytest

from humdinger.analysis.results import Operating, Results
from humdinger.circuit.netlist import Fuse, Netlist, Switch
from humdinger.layout import coloured
from humdinger.rules.model import Case, Outcome
from humdinger.rules.registry import load_rule
from support.amps import changed, demo, demo_text, run

PASS, WARNING, ERROR, DANGER = "pass", "warning", "error", "danger"
SILENT = "no outcome"


def case(name: str, results: Results | None = None, netlist: Netlist | None = None) -> Case:
    """A demo before the judge, with other results or another netlist."""
    made = demo(name)
    assert made.design is not None
    assert made.netlist is not None
    assert made.results is not None
    return Case(made.design, netlist or made.netlist, results or made.results, coloured(made.netlist))


def solved(name: str) -> Results:
    found = demo(name).results
    assert found is not None
    return found


def wired(name: str) -> Netlist:
    found = demo(name).netlist
    assert found is not None
    return found


def verdict(code: str, element: str, judged: Case) -> str:
    """What a rule says about one element: "pass", "not evaluated" or the severity."""
    (outcome,) = [o for o in load_rule(code).check(judged) if o.element == element]
    return said(outcome)


def said(outcome: Outcome) -> str:
    return outcome.severity.value if outcome.severity else outcome.state


def with_conditions(name: str, **conditions: Operating) -> Results:
    results = solved(name)
    return replace(results, operating={**results.operating, **conditions})


def with_rectifier(name: str, condition: str, id: str, **fields: Any) -> Results:
    """Results with fields of one rectifier replaced in one condition."""
    found = solved(name).operating[condition]
    points = {**found.rectifiers, id: replace(found.rectifiers[id], **fields)}
    return with_conditions(name, **{condition: replace(found, rectifiers=points)})


def with_stress(name: str, ref: str, **fields: Any) -> Results:
    results = solved(name)
    return replace(results, stresses={**results.stresses, ref: replace(results.stresses[ref], **fields)})


def with_part(name: str, ref: str, **fields: Any) -> Netlist:
    netlist = wired(name)
    return replace(netlist, parts=tuple(replace(p, **fields) if p.ref == ref else p for p in netlist.parts))


def ref_of(name: str, role: str) -> str:
    return next(p.ref for p in wired(name).parts if p.role == role)


# -- heaters ------------------------------------------------------------------------------------------------------------
@pytest.mark.parametrize(
    ("volts", "expected"),
    [
        ({"nominal": 1.0499}, PASS),
        ({"nominal": 0.9501}, PASS),
        ({"nominal": 1.051}, WARNING),
        ({"nominal": 0.949}, WARNING),
        ({"nominal": 1.0999}, WARNING),
        ({"nominal": 0.9001}, WARNING),
        ({"nominal": 1.101}, ERROR),
        ({"nominal": 0.899}, ERROR),
        ({"low": 0.8801}, PASS),
        ({"low": 0.879}, WARNING),
        ({"high": 1.1299}, PASS),
        ({"high": 1.131}, WARNING),
    ],
)
def test_heater_volts(volts: Mapping[str, float], expected: str) -> None:
    results = solved("dunlin")
    (budget,) = results.heaters
    given = {**dict.fromkeys(budget.volts, 6.3), **{name: 6.3 * share for name, share in volts.items()}}
    heaters = (replace(budget, volts=given, tube_volts=6.3, regulation_known=True),)
    assert verdict("HTR-002", "H1", case("dunlin", replace(results, heaters=heaters))) == expected


def test_heater_volts_without_regulation_are_not_judged() -> None:
    results = solved("dunlin")
    heaters = tuple(replace(budget, regulation_known=False) for budget in results.heaters)
    assert verdict("HTR-002", "H1", case("dunlin", replace(results, heaters=heaters))) == "not evaluated"


def test_a_reference_on_the_winding_of_a_rectifier_is_a_danger() -> None:
    """It shorts the B+: pin 8 of the GZ34 is its heater and its cathode."""
    both = "[{kind: artificial-centre-tap, resistors: 100 0.5W}, {kind: artificial-centre-tap, resistors: 100 0.5W, winding: H2}]"
    made = run(changed(demo_text("heron"), {"supply/heater_reference": both}))
    assert ("danger", "HTR-004", "H2") in [(d.severity.value, d.code, d.element) for d in made.diagnostics]


# -- rectifiers ---------------------------------------------------------------------------------------------------------
@pytest.mark.parametrize(("percent", "expected"), [(80.0, PASS), (80.1, WARNING), (95.0, WARNING), (95.1, ERROR)])
def test_inverse_volts_of_silicon(percent: float, expected: str) -> None:
    """Curlew has two diodes of 1000 V in each leg."""
    results = with_rectifier("curlew", "high", "high-tension", inverse_peak_unloaded_volts=20.0 * percent)
    assert verdict("REC-001", "high-tension", case("curlew", results)) == expected


@pytest.mark.parametrize(("loaded", "unloaded", "expected"), [(1500.0, 1500.0, PASS), (1400.0, 1501.0, WARNING), (1501.0, 1600.0, ERROR)])
def test_inverse_volts_of_a_tube(loaded: float, unloaded: float, expected: str) -> None:
    """The library gives a GZ34 1500 V."""
    first = with_rectifier("heron", "nominal", "high-tension", inverse_peak_volts=loaded)
    high = with_rectifier("heron", "high", "high-tension", inverse_peak_unloaded_volts=unloaded)
    results = replace(first, operating={**first.operating, "high": high.operating["high"]})
    assert verdict("REC-001", "high-tension", case("heron", results)) == expected


@pytest.mark.parametrize(
    ("percent", "ohms", "expected"),
    [(100.0, 80.0, PASS), (101.0, 80.0, WARNING), (140.0, 80.0, WARNING), (141.0, 80.0, ERROR), (101.0, 20.0, ERROR), (100.0, 20.0, PASS)],
)
def test_peak_plate_current(percent: float, ohms: float, expected: str) -> None:
    """750 mA a plate for a GZ34; 20 ohm is less than it wants before each plate."""
    results = with_rectifier("heron", "nominal", "high-tension", peak_amps=0.0075 * percent, source_ohms=ohms)
    assert verdict("REC-002", "high-tension", case("heron", results)) == expected


@pytest.mark.parametrize(
    ("volts", "ohms", "expected"),
    [(300.0, 50.0, PASS), (300.0, 49.9, ERROR), (325.0, 62.5, PASS), (325.0, 62.4, ERROR)],
)
def test_minimum_source_resistance_is_read_straight_between_the_points_of_the_table(volts: float, ohms: float, expected: str) -> None:
    """GZ34: 50 ohm at 300 V, 75 ohm at 350 V."""
    results = with_rectifier("heron", "nominal", "high-tension", source_ohms=ohms, no_load_volts_rms=volts)
    assert verdict("REC-005", "high-tension", case("heron", results)) == expected


@pytest.mark.parametrize(
    ("volts", "amps", "expected"),
    [(400.0, 0.25, PASS), (400.0, 0.2501, ERROR), (500.0, 0.2, PASS), (500.0, 0.201, ERROR)],
)
def test_rectifier_current_follows_its_table(volts: float, amps: float, expected: str) -> None:
    """GZ34: 250 mA up to 450 V, 200 mA at 500 V."""
    results = with_rectifier("heron", "nominal", "high-tension", dc_amps=amps, no_load_volts_rms=volts)
    assert verdict("REC-006", "V6 current", case("heron", results)) == expected


@pytest.mark.parametrize(("volts", "expected"), [(550.0, PASS), (551.0, ERROR)])
def test_rectifier_plate_volts_end_with_its_table(volts: float, expected: str) -> None:
    results = with_rectifier("heron", "nominal", "high-tension", no_load_volts_rms=volts)
    assert verdict("REC-006", "V6 plate volts", case("heron", results)) == expected


@pytest.mark.parametrize(("amps", "expected"), [(30.0, PASS), (30.1, WARNING)])
def test_switch_on_surge(amps: float, expected: str) -> None:
    results = with_rectifier("dunlin", "high", "high-tension", emf_peak_volts=10.0 * amps, source_ohms=10.0)
    assert verdict("REC-003", "high-tension", case("dunlin", results)) == expected


@pytest.mark.parametrize(("microfarads", "expected"), [(60.0, PASS), (60.1, ERROR)])
def test_first_capacitor(microfarads: float, expected: str) -> None:
    ref = ref_of("heron", "B1-capacitor")
    netlist = with_part("heron", ref, farads=microfarads * 1e-6)
    assert verdict("REC-004", ref, case("heron", netlist=netlist)) == expected


# -- supply -------------------------------------------------------------------------------------------------------------
@pytest.mark.parametrize(("percent", "expected"), [(85.0, PASS), (85.1, WARNING), (100.0, WARNING), (100.1, ERROR), (None, ERROR)])
def test_high_tension_current(percent: float | None, expected: str) -> None:
    """None: the basis of the maker's amps is not known."""
    results = solved("curlew")
    windings = tuple(replace(b, percent=percent) if b.winding == "HT" else b for b in results.windings)
    assert verdict("PSU-001", "HT", case("curlew", replace(results, windings=windings))) == expected


def test_transformer_load_is_the_sum_of_the_secondaries() -> None:
    load = sum(b.volt_amps for b in solved("curlew").windings)
    driven = sum(b.full_drive_volt_amps for b in solved("curlew").windings)
    high = next(b for b in solved("curlew").windings if b.full_drive_rms_amps is not None)
    assert driven - load == pytest.approx(2.0 * high.volts * ((high.full_drive_rms_amps or 0.0) - high.rms_amps))  # both halves
    ref = ref_of("curlew", "power-transformer")
    expected = {1.001 * driven: PASS, 0.999 * driven: WARNING, 1.001 * load: WARNING, 0.999 * load: ERROR}
    for watts, word in expected.items():
        assert verdict("PSU-002", ref, case("curlew", netlist=with_part("curlew", ref, watts=watts))) == word
    assert verdict("PSU-002", ref, case("curlew", netlist=with_part("curlew", ref, watts=None))) == "not evaluated"


def test_mains_switch_carries_twice_idle_or_full_drive() -> None:
    results = solved("curlew")
    idle = results.mains.primary_rms_amps
    ref = next(s.ref for s in case("curlew").netlist.of(Switch) if s.where == "mains")
    for full, amps, word in ((None, 2.01, PASS), (None, 1.99, ERROR), (2.5, 2.51, PASS), (2.5, 2.49, ERROR)):
        mains = replace(results.mains, full_drive_rms_amps=None if full is None else full * idle)
        netlist = with_part("curlew", ref, amps=amps * idle)
        unfused = replace(netlist, parts=tuple(p for p in netlist.parts if not isinstance(p, Fuse)))
        found = case("curlew", netlist=unfused, results=replace(results, mains=mains))
        assert verdict("MNS-002", ref, found) == word, (full, amps)


def test_a_switch_in_the_neutral_is_one_danger_and_no_advice_beside_it() -> None:
    netlist = case("dunlin").netlist
    ref = next(s.ref for s in netlist.of(Switch) if s.where == "mains")
    nets = ("mains.neutral", "mains.neutral-switched")
    pins = tuple(replace(pin, net=net) for pin, net in zip(netlist.by_ref[ref].pins[:2], nets, strict=True))
    found = case("dunlin", netlist=with_part("dunlin", ref, poles=1, pins=pins))
    assert verdict("MNS-001", ref, found) == DANGER
    assert verdict("MNS-002", ref, found) == PASS


@pytest.mark.parametrize(
    ("ratio", "expected"),
    [
        (0.749, DANGER),
        (0.75, WARNING),
        (0.929, WARNING),
        (0.931, PASS),
        (1.059, PASS),
        (1.061, WARNING),
        (1.099, WARNING),
        (1.101, ERROR),
        (1.149, ERROR),
        (1.151, DANGER),
    ],
)
def test_mains_volts(ratio: float, expected: str) -> None:
    ref = ref_of("dunlin", "power-transformer")
    netlist = with_part("dunlin", ref, primary_volts=120.0 / ratio)
    assert verdict("PSU-004", f"{ref} volts", case("dunlin", netlist=netlist)) == expected


@pytest.mark.parametrize(
    ("hertz", "ratio", "expected"),
    [((60.0,), 1.0, DANGER), ((60.0,), 0.91, WARNING), ((60.0,), 0.88, PASS), ((50.0, 60.0), 1.05, PASS), ((50.0,), 1.0, PASS)],
)
def test_volts_per_hertz(hertz: tuple[float, ...], ratio: float, expected: str) -> None:
    """A part for 60 Hz only, on 50 Hz: 1.2 times its volts per hertz at its rated volts."""
    ref = ref_of("curlew", "power-transformer")
    netlist = with_part("curlew", ref, primary_hertz=hertz, primary_volts=230.0 / ratio)
    assert verdict("PSU-004", f"{ref} volts per hertz", case("curlew", netlist=netlist)) == expected


@pytest.mark.parametrize(("ratio", "expected"), [(1.49, WARNING), (1.5, PASS), (2.0, PASS), (2.01, WARNING)])
def test_high_tension_fuse(ratio: float, expected: str) -> None:
    results = solved("heron")
    assert results.load is not None
    ref = ref_of("heron", "ht-fuse")
    netlist = with_part("heron", ref, amps=0.4)
    driven = replace(results, load=replace(results.load, full_drive_dc_amps=0.4 / ratio))
    assert verdict("FUS-005", f"{ref} rating", case("heron", driven, netlist)) == expected


@pytest.mark.parametrize(("share", "expected"), [(0.99, PASS), (1.01, "info"), (1.49, "info"), (1.51, WARNING)])
def test_high_tension_fuse_heats_by_what_the_tap_carries(share: float, expected: str) -> None:
    """At full drive the rms amps of both halves of the winding pass the tap's lead: the pulse of idle, scaled by the direct amps."""
    results = solved("heron")
    point = results.nominal.rectifiers["high-tension"]
    assert results.load is not None
    assert point.charging_rms_amps == pytest.approx(2.0**0.5 * point.winding_rms_amps, rel=1e-9)
    driven = point.charging_rms_amps / point.dc_amps * (results.load.full_drive_dc_amps or 0.0)
    ref = ref_of("heron", "ht-fuse")
    assert verdict("FUS-005", f"{ref} heating", case("heron", netlist=with_part("heron", ref, amps=driven / share))) == expected


# -- capacitors and discharge -------------------------------------------------------------------------------------------
@pytest.mark.parametrize(("percent", "expected"), [(95.0, PASS), (95.1, WARNING), (100.0, WARNING), (100.1, ERROR)])
def test_cold_b_plus(percent: float, expected: str) -> None:
    ref = ref_of("dunlin", "B4-capacitor")
    netlist = with_part("dunlin", ref, volts=400.0)
    assert verdict("CAP-001", ref, case("dunlin", with_stress("dunlin", ref, cold_volts=4.0 * percent), netlist)) == expected


def test_a_rectifier_that_is_ready_at_once_is_blamed_only_for_capacitors_rated_too_low() -> None:
    ref = ref_of("dunlin", "B4-capacitor")
    for volts, expected in {399.0: PASS, 401.0: ERROR}.items():
        judged = case("dunlin", with_stress("dunlin", ref, cold_volts=volts), with_part("dunlin", ref, volts=400.0))
        assert verdict("REC-009", "high-tension", judged) == expected
    heron = ref_of("heron", "B4-capacitor")
    assert verdict("REC-009", "high-tension", case("heron", with_stress("heron", heron, cold_volts=600.0))) == PASS  # a GZ34 warms up


@pytest.mark.parametrize(("volts", "expected"), [(630.0, PASS), (631.0, ERROR)])
def test_coupling_capacitor(volts: float, expected: str) -> None:
    ref = next(p.ref for p in wired("dunlin").parts if p.role == "coupling")
    assert verdict("CAP-007", ref, case("dunlin", with_stress("dunlin", ref, cold_volts=volts))) == expected


@pytest.mark.parametrize(
    ("role", "rated", "cathode", "expected"),
    [
        ("bypass", 50.0, 20.0, PASS),
        ("bypass", 49.0, 20.0, WARNING),
        ("bypass", 60.0, 40.0, PASS),
        ("bypass", 59.0, 40.0, WARNING),
        ("cathode-bypass", 25.0, 2.0, PASS),
        ("cathode-bypass", 24.0, 2.0, WARNING),
    ],
)
def test_cathode_bypass(role: str, rated: float, cathode: float, expected: str) -> None:
    """50 V at an output tube, 25 V elsewhere, and 1.5 times the cathode's volts."""
    ref = ref_of("dunlin", role)
    judged = case("dunlin", with_stress("dunlin", ref, worst_volts=cathode), with_part("dunlin", ref, volts=rated))
    assert verdict("CAP-006", ref, judged) == expected


@pytest.mark.parametrize(("volts", "expected"), [(-0.5, PASS), (-0.51, DANGER)])
def test_polarity(volts: float, expected: str) -> None:
    ref = ref_of("heron", "filter-capacitor-1")
    low = solved("heron").operating["low"]
    results = with_conditions("heron", low=replace(low, parts={**low.parts, ref: replace(low.parts[ref], volts=volts)}))
    assert verdict("CAP-009", ref, case("heron", results)) == expected


@pytest.mark.parametrize(("name", "role"), [("heron", "filter-capacitor-2"), ("dunlin", "B1-capacitor"), ("curlew", "B3-capacitor")])
def test_no_electrolytic_of_the_demos_is_reversed(name: str, role: str) -> None:
    """The plus end of a bias filter is on ground: the rule sees the sign, not the magnitude."""
    ref = next(p.ref for p in wired(name).parts if p.role.startswith(role))
    (outcome,) = [o for o in load_rule("CAP-009").check(case(name)) if o.element == ref]
    assert outcome.state == "pass"
    assert outcome.value is not None
    assert outcome.value > 1.0


@pytest.mark.parametrize(("seconds", "expected"), [(60.0, PASS), (60.1, WARNING), (300.0, WARNING), (300.1, ERROR)])
def test_discharge_time(seconds: float, expected: str) -> None:
    results = solved("dunlin")
    nodes = tuple(replace(d, seconds=seconds) if d.net == "B4" else d for d in results.discharges)
    assert verdict("DIS-001", "B4", case("dunlin", replace(results, discharges=nodes))) == expected


@pytest.mark.parametrize(
    ("net", "fields", "path", "position"),
    [
        ("B1", {"fixed_path": False}, "info", DANGER),
        ("B1", {"seconds_alone": None, "fixed_path": False}, SILENT, DANGER),
        ("B1", {"seconds": None, "seconds_alone": None, "fixed_path": False}, DANGER, SILENT),
        ("B2", {"fixed_path": False}, "info", PASS),
        ("B2", {"seconds_alone": None}, DANGER, SILENT),
        ("B2", {"seconds": None, "seconds_alone": None}, DANGER, SILENT),
        ("B2", {"fixed_path": True}, PASS, PASS),
    ],
    ids=[
        "reservoir over a dropper",
        "reservoir behind a switch",
        "reservoir without a path",
        "node over a dropper",
        "node behind a switch",
        "node without a path",
        "own",
    ],
)
def test_discharge_path_and_bleeder_position_share_the_work(net: str, fields: Mapping[str, Any], path: str, position: str) -> None:
    """PSU-008: is there any way; DIS-002: is it where it belongs. One cause, one danger: never both."""
    results = solved("heron")
    nodes = tuple(replace(d, **fields) if d.net == net else d for d in results.discharges)
    judged = case("heron", replace(results, discharges=nodes))
    found = [[said(o) for o in load_rule(code).check(judged) if o.element == net] for code in ("PSU-008", "DIS-002")]
    assert found == [[word] if word != SILENT else [] for word in (path, position)]


def test_a_missing_bleeder_is_one_finding() -> None:
    """Dunlin has one bleeder. Without it every capacitor keeps its charge: one danger names them all, and no other rule repeats it."""
    made = run(changed(demo_text("dunlin"), {"supply/filter/0/bleeder": "~"}))
    found = [d for d in made.diagnostics if d.code in ("PSU-008", "DIS-001", "DIS-002", "DIS-003")]
    assert [(d.code, d.element, d.severity.value) for d in found] == [("PSU-008", "B1", "danger")]
    assert sum("so does" in note for note in found[0].notes) == 3


def test_only_the_switch_in_the_way_is_blamed() -> None:
    """Heron without the bleeder behind its standby switch: the switch parts those nodes from the reservoir's bleeder, the fuse does not."""
    plain = "{kind: hum-balance, pot: 250 wirewound 1W, to: ground}"
    made = run(changed(demo_text("heron"), {"supply/filter/1/bleeder": "~", "supply/heater_reference": plain}))
    switch = ref_of("heron", "standby")
    parted = [d for d in made.diagnostics if d.code in ("PSU-008", "DIS-002") and d.severity.value == "danger"]
    assert [d.element for d in parted] == ["B2"]
    assert all(any(f" on {net}, " in note for note in parted[0].notes) for net in ("B3", "B4", "B5"))
    assert all(f" {switch} " in d.message and ref_of("heron", "ht-fuse") not in d.message for d in parted)
    assert not [d for d in made.diagnostics if d.code == "FUS-005" and "position" in d.element]


@pytest.mark.parametrize(("watts", "expected"), [(1.5, PASS), (1.51, ERROR)])
def test_bleeder_power(watts: float, expected: str) -> None:
    ref = ref_of("dunlin", "B1-bleeder")
    cold = solved("dunlin").operating["no-tubes-high"]
    results = with_conditions(
        "dunlin", **{"no-tubes-high": replace(cold, parts={**cold.parts, ref: replace(cold.parts[ref], watts=watts)})}
    )
    assert verdict("DIS-003", f"{ref} power", case("dunlin", results, with_part("dunlin", ref, watts=3.0))) == expected


def test_stored_energy_is_printed_once() -> None:
    outcomes = list(load_rule("DIS-004").check(case("curlew")))
    printed = [o for o in outcomes if o.state == "fail"]
    assert [(said(o), o.element) for o in printed] == [("info", "total")]
    assert printed[0].value == solved("curlew").stored_joules
    assert len(printed[0].notes) == len(outcomes) - 1 == 4


# -- resistors ----------------------------------------------------------------------------------------------------------
@pytest.mark.parametrize(("percent", "expected"), [(50.0, PASS), (50.1, WARNING), (100.0, WARNING), (100.1, ERROR)])
def test_resistor_power(percent: float, expected: str) -> None:
    ref = ref_of("dunlin", "B2-through")
    judged = case("dunlin", with_stress("dunlin", ref, worst_watts=0.05 * percent), with_part("dunlin", ref, watts=5.0))
    assert verdict("RES-001", ref, judged) == expected


@pytest.mark.parametrize(("watts", "expected"), [(0.124, PASS), (0.126, "not evaluated")])
def test_a_resistor_without_a_rating_passes_where_the_smallest_would(watts: float, expected: str) -> None:
    ref = ref_of("dunlin", "cathode-resistor")
    judged = case("dunlin", with_stress("dunlin", ref, worst_watts=watts), with_part("dunlin", ref, watts=None))
    assert verdict("RES-001", ref, judged) == expected


@pytest.mark.parametrize(
    ("watts", "own", "volts", "expected"),
    [
        (0.25, None, 200.0, PASS),
        (0.25, None, 201.0, ERROR),
        (0.5, None, 300.0, PASS),
        (0.5, None, 301.0, ERROR),
        (1.0, None, 350.0, PASS),
        (1.0, None, 351.0, ERROR),
        (2.0, None, 500.0, PASS),
        (2.0, None, 501.0, ERROR),
        (3.0, None, 750.0, PASS),
        (5.0, None, 751.0, ERROR),
        (0.5, 500.0, 500.0, PASS),
        (3.0, 500.0, 501.0, ERROR),
        (None, None, 200.0, PASS),
        (None, None, 201.0, "not evaluated"),
    ],
)
def test_resistor_volts(watts: float | None, own: float | None, volts: float, expected: str) -> None:
    """Smallest volts of each size; a figure of the part's own goes before the table."""
    ref = ref_of("dunlin", "plate-load")
    judged = case("dunlin", with_stress("dunlin", ref, worst_volts=volts), with_part("dunlin", ref, watts=watts, volts_max=own))
    assert verdict("RES-002", ref, judged) == expected


@pytest.mark.parametrize(
    ("name", "ohms", "expected"), [("dunlin", 100.0, PASS), ("dunlin", 99.0, WARNING), ("heron", 99.0, ERROR), ("heron", 100.0, PASS)]
)
def test_screen_stopper_below_100_ohm_counts_as_none(name: str, ohms: float, expected: str) -> None:
    """Heron is in fixed bias with more than 350 V on its screens: an error there."""
    ref = ref_of(name, "screen-stopper-a")
    section = wired(name).power_sections[0]
    assert verdict("RES-004", section, case(name, netlist=with_part(name, ref, ohms=ohms))) == expected


@pytest.mark.parametrize(
    ("name", "role", "ohms", "expected"),
    [
        ("dunlin", "grid-stopper-a", 1500.0, PASS),
        ("dunlin", "grid-stopper-a", 1499.0, WARNING),
        ("dunlin", "grid-stopper", 10e3, PASS),
        ("dunlin", "grid-stopper", 9.9e3, WARNING),
    ],
)
def test_grid_stopper(name: str, role: str, ohms: float, expected: str) -> None:
    ref = ref_of(name, role)
    section = wired(name).power_sections[0] if role == "grid-stopper-a" else "V1a"
    assert verdict("RES-005", section, case(name, netlist=with_part(name, ref, ohms=ohms))) == expected

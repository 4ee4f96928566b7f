"""Where each band of the rules on bias, output, tremolo, gain, inverter, supply nodes and colours ends: on the limit, and just past it.

The numbers of a solved demo are replaced one at a time, so nothing is solved again. The bands are those of the catalogue the rules were
written from (its tags are on each rule's page).
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from typing import Any

import pytest

from humdinger.analysis.results import Results
from humdinger.analysis.speakers import speaker_loads
from humdinger.circuit.netlist import Capacitor, Fuse, Jack, Netlist, OutputTransformer, Part, Resistor, Speaker
from humdinger.diagnostics import Severity
from humdinger.layout import coloured
from humdinger.rules.model import Case
from humdinger.rules.registry import load_rule
from support.amps import above_info, changed, demo, demo_text, run, shop_with

PASS, INFO, WARNING, ERROR, DANGER, UNKNOWN = "pass", "info", "warning", "error", "danger", "not evaluated"


def case(name: str, results: Results | None = None, netlist: Netlist | None = None) -> Case:
    """A demo before the judge, with other results or another netlist."""
    made = demo(name)
    assert made.design is not None
    assert made.netlist is not None
    assert made.results is not None
    return Case(made.design, netlist or made.netlist, results or made.results, coloured(made.netlist))


def verdict(code: str, element: str, judged: Case) -> str:
    """What a rule says about one element: "pass", "not evaluated" or the severity."""
    (outcome,) = [o for o in load_rule(code).check(judged) if o.element == element]
    return outcome.severity.value if outcome.severity else outcome.state


def with_field(name: str, field: str, **values: Any) -> Case:
    """A demo with fields of one of its results replaced; of every row where the result is a list."""
    results = case(name).results
    found = getattr(results, field)
    changed_to = tuple(replace(row, **values) for row in found) if isinstance(found, tuple) else replace(found, **values)
    return case(name, replace(results, **{field: changed_to}))


def with_value(name: str, **values: Any) -> Case:
    return case(name, replace(case(name).results, **values))


def with_parts(name: str, which: Callable[[Part], bool], **fields: Any) -> Case:
    netlist = case(name).netlist
    return case(name, netlist=replace(netlist, parts=tuple(replace(p, **fields) if which(p) else p for p in netlist.parts)))


def of(kind: type[Part]) -> Callable[[Part], bool]:
    return lambda part: isinstance(part, kind)


def ref(name: str, role: str) -> str:
    return next(p.ref for p in case(name).netlist.parts if p.role == role)


# -- bias ---------------------------------------------------------------------------------------------------------------
@pytest.mark.parametrize(("watts", "expected"), [(2.5, PASS), (2.51, WARNING)])
def test_cathode_resistor_at_work(watts: float, expected: str) -> None:
    """Dunlin's is rated 5 W."""
    assert verdict("BIA-002", "R12", with_field("dunlin", "cathode_biases", watts=watts)) == expected


@pytest.mark.parametrize(
    ("watts", "technology", "expected"),
    [(5.0, "film", PASS), (5.1, "film", WARNING), (50.0, "wirewound", "info"), (50.0, "flameproof", "info")],
)
def test_cathode_resistor_with_its_tube_shorted(watts: float, technology: str, expected: str) -> None:
    judged = with_parts("dunlin", lambda p: p.ref == "R12", technology=technology)
    results = with_field("dunlin", "cathode_biases", shorted_watts=watts).results
    assert verdict("BIA-002", "R12 fault", replace(judged, results=results)) == expected


@pytest.mark.parametrize(
    ("element", "cold", "hot", "expected"),
    [
        ("cold end", 33.3, 120.0, PASS),  # 33.3 x 1.2 = 39.96
        ("cold end", 33.4, 120.0, ERROR),
        ("hot end", 20.0, 112.5, PASS),  # 112.5 x 0.8 = 90
        ("hot end", 20.0, 112.4, ERROR),
        ("range", None, None, UNKNOWN),
    ],
)
def test_bias_range(element: str, cold: float | None, hot: float | None, expected: str) -> None:
    judged = with_field("heron", "bias_range", most_percent_cold=cold, least_percent_hot=hot)
    assert verdict("BIA-003", element, judged) == expected


@pytest.mark.parametrize(("open_volts", "expected"), [(-48.0, PASS), (-47.9, DANGER), (-1.0, DANGER)])
def test_open_wiper(open_volts: float, expected: str) -> None:
    judged = with_field("heron", "bias_range", coldest_volts=-48.0, wiper_open_volts=open_volts)
    assert verdict("BIA-004", "wiper", judged) == expected


@pytest.mark.parametrize(
    ("high_tension", "mains", "expected"),
    [
        (2.1, 1.0, INFO),
        (2.74, 1.0, INFO),
        (2.75, 1.0, PASS),
        (2.09, 1.0, ERROR),
        (2.09, 2.1, WARNING),
        (0.5, 2.09, ERROR),
        (3.0, 3.0, PASS),
    ],
)
def test_lost_bias(high_tension: float, mains: float, expected: str) -> None:
    shares = {"high-tension": high_tension, "mains": mains}
    amps = {f.ref: shares[f.where] * f.amps for f in case("heron").netlist.of(Fuse)}
    assert verdict("BIA-004", "supply", with_field("heron", "bias_supply", lost_fuse_amps=amps)) == expected


def test_lost_bias_without_a_high_tension_fuse() -> None:
    """The mains fuse alone: a warning when it opens."""
    netlist = case("heron").netlist
    left = replace(netlist, parts=tuple(p for p in netlist.parts if not (isinstance(p, Fuse) and p.where == "high-tension")))
    mains = next(f for f in left.of(Fuse))
    results = with_field("heron", "bias_supply", lost_fuse_amps={mains.ref: 2.2 * mains.amps}).results
    assert verdict("BIA-004", "supply", case("heron", results, left)) == WARNING


@pytest.mark.parametrize(("seconds", "expected"), [(9.99, PASS), (10.0, WARNING), (None, UNKNOWN)])
def test_bias_before_high_tension(seconds: float | None, expected: str) -> None:
    assert verdict("BIA-005", "bias", with_field("heron", "bias_supply", settle_seconds=seconds)) == expected


@pytest.mark.parametrize(("tolerance", "expected"), [(0.01, PASS), (0.02, WARNING), (None, UNKNOWN)])
def test_bias_test_point(tolerance: float | None, expected: str) -> None:
    judged = with_parts("heron", lambda p: p.role.startswith("test-resistor"), tolerance=tolerance)
    assert verdict("BIA-007", "V4", judged) == expected


@pytest.mark.parametrize(("ohms", "expected"), [(10.0, PASS), (10.1, ERROR)])
def test_one_bias_scheme(ohms: float, expected: str) -> None:
    assert verdict("BIA-001", "V4", with_parts("heron", lambda p: p.role.startswith("test-resistor"), ohms=ohms)) == expected


def test_a_fusible_resistor_is_a_fuse() -> None:
    judged = with_parts("dunlin", lambda p: p.ref == "R12", technology="fusible")
    assert verdict("BIA-008", "output.cathode-a", judged) == ERROR
    assert verdict("BIA-008", "output.cathode-a", case("dunlin")) == PASS


# -- output and speaker ---------------------------------------------------------------------------------------------------
@pytest.mark.parametrize(
    ("ratio", "expected"),
    [(0.8, PASS), (1.3, PASS), (0.79, WARNING), (1.31, WARNING), (0.6, WARNING), (1.6, WARNING), (0.59, ERROR), (1.61, ERROR)],
)
def test_output_load(ratio: float, expected: str) -> None:
    assert verdict("OTX-001", "T1", with_field("curlew", "load", ratio=ratio)) == expected


def test_a_type_without_a_published_load_is_not_judged() -> None:
    assert verdict("OTX-001", "T1", with_field("curlew", "load", ratio=None, optimum_ohms=None)) == UNKNOWN


@pytest.mark.parametrize(("watts", "expected"), [(8.0, PASS), (8.01, ERROR)])
def test_output_transformer_power(watts: float, expected: str) -> None:
    """Dunlin's is rated 8 W."""
    assert verdict("OTX-003", "T1", with_field("dunlin", "load", clean_watts=watts)) == expected


@pytest.mark.parametrize(
    ("field", "code"), [("watts", "OTX-003"), ("gap_amps", "OTX-004"), ("henries", "OTX-005"), ("insulation_volts", "OTX-006")]
)
def test_what_the_transformer_does_not_say_is_not_judged(field: str, code: str) -> None:
    assert verdict(code, "T1", with_parts("dunlin", of(OutputTransformer), **{field: None})) == UNKNOWN


def test_single_ended_core() -> None:
    drawn = case("dunlin").results.operating["high"].sections["V2"].plate_amps
    assert verdict("OTX-004", "T1", with_parts("dunlin", of(OutputTransformer), gap_amps=drawn)) == PASS
    assert verdict("OTX-004", "T1", with_parts("dunlin", of(OutputTransformer), gap_amps=0.999 * drawn)) == ERROR
    made = run(changed(demo_text("dunlin"), {"output/transformer/type": "push-pull"}))
    assert ("error", "OTX-004") in [(d.severity.value, d.code) for d in made.diagnostics]


@pytest.mark.parametrize(("share", "expected"), [(1.0, PASS), (0.999, WARNING)])
def test_primary_inductance(share: float, expected: str) -> None:
    assert verdict("OTX-005", "T1", with_field("dunlin", "load", least_henries=12.0 / share)) == expected


@pytest.mark.parametrize(("share", "expected"), [(2.0, PASS), (1.99, ERROR)])
def test_output_transformer_insulation(share: float, expected: str) -> None:
    cold = case("dunlin").results.operating["no-tubes-high"].volts["output.plate-a"]
    highest = max(cold, case("dunlin").results.operating["no-tubes-high"].volts["B2"])
    judged = with_parts("dunlin", of(OutputTransformer), insulation_volts=share * highest)
    assert verdict("OTX-006", "T1", judged) == expected


@pytest.mark.parametrize(
    ("ohms", "watts", "expected"),
    [
        (200.0, 5.0, PASS),
        (400.0, 5.0, PASS),
        (199.0, 5.0, WARNING),
        (401.0, 5.0, WARNING),
        (200.0, 1.0, PASS),
        (200.0, 0.9, WARNING),
        (200.0, None, UNKNOWN),
    ],
)
def test_load_resistor(ohms: float, watts: float | None, expected: str) -> None:
    """12.35 W clean into 8 ohm is 98.8 V2: 200 ohm take 0.494 W."""
    assert verdict("OTX-009", "no load", with_parts("curlew", lambda p: p.role == "load-resistor", ohms=ohms, watts=watts)) == expected


@pytest.mark.parametrize(
    ("name", "changes", "expected"),
    [
        ("curlew", {"speaker/load_resistor": "~"}, ERROR),
        ("curlew", {"speaker/load_resistor": "~", "speaker/shorting": "true"}, PASS),
        ("dunlin", {"speaker/load_resistor": "~"}, INFO),
    ],
)
def test_nothing_across_the_secondary(name: str, changes: dict[str, str], expected: str) -> None:
    findings = run(changed(demo_text(name), changes)).findings
    assert findings is not None
    (outcome,) = [j.outcome for j in findings.judged if j.rule.code == "OTX-009"]
    assert (outcome.severity.value if outcome.severity else outcome.state) == expected


@pytest.mark.parametrize(("decibels", "expected"), [(12.0, PASS), (12.1, INFO), (14.0, INFO), (14.1, WARNING), (-0.1, WARNING)])
def test_feedback_factor(decibels: float, expected: str) -> None:
    assert verdict("OTX-012", ref("heron", "resistor"), with_field("heron", "feedback", loop_db=decibels)) == expected


def test_a_growing_pole_with_feedback() -> None:
    element = f"{ref('heron', 'resistor')} poles"
    assert verdict("OTX-012", element, with_value("heron", poles=(-1 + 2j, -1 - 2j))) == PASS
    assert verdict("OTX-012", element, with_value("heron", poles=(0.1 + 2j, 0.1 - 2j))) == ERROR


@pytest.mark.parametrize(
    ("ohms", "expected"),
    [(6.0, PASS), (10.0, PASS), (5.9, WARNING), (10.1, WARNING), (4.0, WARNING), (16.0, WARNING), (3.99, ERROR), (32.0, WARNING)],
)
def test_speaker_impedance(ohms: float, expected: str) -> None:
    judged = with_parts("curlew", of(Speaker), ohms=ohms)
    # the rule compares what the analysis made of the speakers
    results = replace(judged.results, speaker_loads=speaker_loads(judged.netlist, judged.results.load))
    assert verdict("SPK-001", "tap 8", replace(judged, results=results)) == expected


@pytest.mark.parametrize(("watts", "expected"), [(15.0, PASS), (14.9, WARNING), (10.0, WARNING), (9.9, ERROR), (None, UNKNOWN)])
def test_speaker_power(watts: float | None, expected: str) -> None:
    speaker = next(case("curlew").netlist.of(Speaker)).ref
    judged = with_parts("curlew", of(Speaker), watts=watts)
    results = with_field("curlew", "load", clean_watts=10.0).results
    assert verdict("SPK-002", speaker, replace(judged, results=results)) == expected


@pytest.mark.parametrize(("ohms", "expected"), [(5.2, PASS), (7.6, PASS), (5.19, WARNING), (7.61, WARNING), (None, UNKNOWN)])
def test_voice_coil(ohms: float | None, expected: str) -> None:
    speaker = next(case("curlew").netlist.of(Speaker)).ref
    assert verdict("SPK-007", speaker, with_parts("curlew", of(Speaker), resistance=ohms)) == expected


# -- jacks ----------------------------------------------------------------------------------------------------------------
def test_input_jack() -> None:
    assert verdict("JCK-001", "J1", with_parts("dunlin", of(Jack), switched=False)) == WARNING


@pytest.mark.parametrize(
    ("element", "fields", "expected"),
    [
        ("J2 tip", {"normal_volts": -60.0}, PASS),
        ("J2 tip", {"normal_volts": 60.1}, DANGER),
        ("J2 tip fault", {"fault_volts": 60.0, "fault_amps": 1.0}, PASS),
        ("J2 tip fault", {"fault_volts": 300.0, "fault_amps": 2e-3}, PASS),
        ("J2 tip fault", {"fault_volts": 60.1, "fault_amps": 2.01e-3}, DANGER),
        ("J2 tip path", {"path_ohms": 1e6}, PASS),
        ("J2 tip path", {"path_ohms": 1.01e6}, DANGER),
        ("J2 tip path", {"path_ohms": None}, DANGER),
    ],
)
def test_external_contacts(element: str, fields: dict[str, Any], expected: str) -> None:
    """J2 is the footswitch of curlew."""
    assert verdict("JCK-004", element, with_field("curlew", "contacts", **fields)) == expected


@pytest.mark.parametrize(("share", "expected"), [(1.0, PASS), (0.999, DANGER), (None, UNKNOWN)])
def test_blocking_capacitors(share: float | None, expected: str) -> None:
    volts = case("curlew").results.operating["no-tubes-high"].volts
    cold = max(volts[net] for net in (*case("curlew").netlist.b_plus, "rectifier.plus") if net in volts)
    capacitor = ref("curlew", "step-capacitor-4")
    judged = with_parts("curlew", lambda p: p.ref == capacitor, volts=None if share is None else share * cold)
    assert verdict("JCK-004", f"J2 tip {capacitor}", judged) == expected


# -- tremolo --------------------------------------------------------------------------------------------------------------
def with_points(**fields: Any) -> Case:
    """Curlew with every position of its oscillator alike."""
    wave = case("curlew").results.tremolo
    assert wave is not None
    return with_field("curlew", "tremolo", points=tuple(replace(p, **fields) for p in wave.points))


@pytest.mark.parametrize(
    ("margin", "starts", "expected"),
    [(1.5, True, PASS), (1.49, True, WARNING), (1.2, True, WARNING), (1.19, True, ERROR), (3.0, False, ERROR)],
)
def test_oscillator_start(margin: float, starts: bool, expected: str) -> None:
    assert verdict("TRM-001", "oscillator", with_points(margin=margin, starts=starts)) == expected


def test_an_oscillator_without_a_frequency_does_not_start() -> None:
    assert verdict("TRM-001", "oscillator", with_value("curlew", tremolo=None)) == ERROR
    assert verdict("TRM-002", "oscillator", with_value("curlew", tremolo=None)) == UNKNOWN
    assert verdict("TRM-003", "oscillator", with_value("curlew", tremolo=None)) == UNKNOWN
    assert verdict("TRM-004", "depth", with_value("curlew", tremolo=None)) == UNKNOWN


@pytest.mark.parametrize(
    ("slow", "fast", "expected"), [(2.0, 4.0, PASS), (5.0, 10.0, PASS), (2.0, 3.99, WARNING), (1.99, 5.0, WARNING), (4.0, 10.1, WARNING)]
)
def test_oscillator_rate(slow: float, fast: float, expected: str) -> None:
    assert verdict("TRM-002", "oscillator", with_field("curlew", "tremolo", slow_hertz=slow, fast_hertz=fast)) == expected


@pytest.mark.parametrize(("margin", "expected"), [(1.0, PASS), (0.99, ERROR), (None, UNKNOWN)])
def test_oscillator_start_at_its_worst(margin: float | None, expected: str) -> None:
    assert verdict("TRM-003", "oscillator", with_field("curlew", "tremolo", worst_margin=margin)) == expected


@pytest.mark.parametrize(("available", "expected"), [(13.0, PASS), (12.9, WARNING), (None, UNKNOWN)])
def test_tremolo_depth(available: float | None, expected: str) -> None:
    judged = with_field("curlew", "tremolo", available_peak_volts=available, needed_peak_volts=10.0)
    assert verdict("TRM-004", "depth", judged) == expected


@pytest.mark.parametrize(
    ("retained", "available", "expected"), [(0.7, 13.0, PASS), (0.69, 18.9, WARNING), (0.69, 18.8, ERROR), (0.69, None, WARNING)]
)
def test_cathode_bias_against_tremolo(retained: float, available: float | None, expected: str) -> None:
    """Needed 10 V: 13 V must be left, 18.84 V times 0.69."""
    fields = {"retained": {"V4": retained}, "available_peak_volts": available, "needed_peak_volts": 10.0}
    assert verdict("TRM-006", "V4", with_field("curlew", "tremolo", **fields)) == expected


def test_fixed_bias_does_not_fight_the_tremolo() -> None:
    assert list(load_rule("TRM-006").check(case("heron"))) == []


@pytest.mark.parametrize(
    ("wave", "cut_off", "expected"),
    [(10.02, -20.0, PASS), (10.03, -20.0, WARNING), (6.99, -14.19, PASS), (7.02, -14.19, WARNING), (5.0, None, UNKNOWN)],
)
def test_tremolo_excursion(wave: float, cut_off: float | None, expected: str) -> None:
    """Curlew idles at -10.02 V. With cut-off at -14.19 V the grid may go down to -17.03 V."""
    cut = {} if cut_off is None else {"V4": cut_off}
    fields = {"retained": {}, "available_peak_volts": wave, "cut_off_grid_volts": cut}
    assert verdict("TRM-008", "V4", with_field("curlew", "tremolo", **fields)) == expected


@pytest.mark.parametrize(
    ("fields", "expected"),
    [({"technology": "ceramic"}, WARNING), ({"technology": "mica"}, PASS), ({"volts": None}, UNKNOWN), ({"volts": 300.0}, WARNING)],
)
def test_oscillator_capacitors(fields: dict[str, Any], expected: str) -> None:
    capacitor = ref("curlew", "step-capacitor-1")
    assert verdict("TRM-013", capacitor, with_parts("curlew", lambda p: p.ref == capacitor, **fields)) == expected
    assert isinstance(case("curlew").netlist.by_ref[capacitor], Capacitor)


# -- gain, inverter, supply nodes -----------------------------------------------------------------------------------------
@pytest.mark.parametrize(("volts", "expected"), [(5e-3, PASS), (150e-3, PASS), (4.9e-3, INFO), (151e-3, INFO)])
def test_input_sensitivity(volts: float, expected: str) -> None:
    assert verdict("GAN-001", "input", with_field("curlew", "sensitivity", volts_rms_full=volts)) == expected


@pytest.mark.parametrize(("hertz", "expected"), [(8e3, PASS), (60e3, PASS), (7.9e3, WARNING), (60.1e3, WARNING), (None, UNKNOWN)])
def test_input_low_pass(hertz: float | None, expected: str) -> None:
    assert verdict("GAN-002", "guitar", with_value("curlew", input_low_pass_hertz=hertz)) == expected


@pytest.mark.parametrize(("hertz", "expected"), [(82.0, PASS), (82.1, WARNING)])
def test_bass_corner(hertz: float, expected: str) -> None:
    assert verdict("GAN-003", "sum", with_value("curlew", bass_corner_hertz=hertz)) == expected


@pytest.mark.parametrize(("share", "expected"), [(1.1, PASS), (1.09, WARNING)])
def test_bass_corners_that_are_all_alike(share: float, expected: str) -> None:
    """Of curlew's three stages with coupling capacitors one is higher by a share."""
    results = case("curlew").results
    first = next(c for c in results.corners if case("curlew").netlist.by_ref[c.capacitor].stage == "first")
    corners = tuple(replace(c, hertz=20.0 * share if c == first else 20.0) for c in results.corners)
    assert verdict("GAN-003", "spread", with_value("curlew", corners=corners)) == expected


@pytest.mark.parametrize(("percent", "expected"), [(55.0, PASS), (75.0, PASS), (54.9, INFO), (75.1, INFO)])
def test_plate_rest(percent: float, expected: str) -> None:
    results = case("dunlin").results
    volts = {**results.nominal.volts, "first.plate": percent, "B4": 100.0}
    nominal = replace(results.nominal, volts=volts)
    assert verdict("GAN-005", "first", with_value("dunlin", operating={**results.operating, "nominal": nominal})) == expected


@pytest.mark.parametrize(("imbalance", "expected"), [(0.05, PASS), (-0.05, PASS), (0.051, WARNING), (-0.2, WARNING)])
def test_inverter_balance(imbalance: float, expected: str) -> None:
    assert verdict("PIN-001", "inverter", with_field("curlew", "inverter", imbalance=imbalance)) == expected


@pytest.mark.parametrize(
    ("node", "share", "expected"),
    [(250.0, 0.25, PASS), (250.0, 0.30, PASS), (250.0, 0.24, INFO), (250.0, 0.31, INFO), (249.0, 0.10, PASS), (249.0, 0.09, INFO)],
)
def test_tail_drop(node: float, share: float, expected: str) -> None:
    results = case("curlew").results
    nominal = replace(results.nominal, volts={**results.nominal.volts, "B3": node})
    judged = with_value("curlew", operating={**results.operating, "nominal": nominal})
    inverter = with_field("curlew", "inverter", tail_share=share).results.inverter
    assert verdict("PIN-002", "inverter", replace(judged, results=replace(judged.results, inverter=inverter))) == expected


@pytest.mark.parametrize(
    ("element", "ohms", "expected"), [("inverter", 10e3, PASS), ("inverter", 9.9e3, WARNING), ("V4", 1.5e3, PASS), ("V4", 1.4e3, WARNING)]
)
def test_cathodyne_stoppers(element: str, ohms: float, expected: str) -> None:
    judged = with_parts("heron", lambda p: isinstance(p, Resistor) and p.role.startswith("grid-stopper"), ohms=ohms)
    assert verdict("PIN-005", element, judged) == expected


@pytest.mark.parametrize(("ratio", "expected"), [(3.0, PASS), (2.99, INFO)])
def test_decoupling_stagger(ratio: float, expected: str) -> None:
    first, second, *_ = case("dunlin").results.decouplers
    rows = (replace(first, seconds=1.0), replace(second, seconds=ratio))
    assert verdict("STB-002", "B2 B3", with_value("dunlin", decouplers=rows)) == expected


def test_three_stages_on_a_node_are_too_many_only_in_phase() -> None:
    """Heron's second on the node of driver and inverter: driver and first would be in phase, second and cathodyne are."""
    third = run(changed(demo_text("heron"), {"signal/4/supply": "B3"}))
    assert [(d.code, d.element) for d in third.diagnostics if d.code == "STB-003"] == [("STB-003", "B3")]
    # curlew's long-tailed pair draws no net signal: with it on B4 there are three stages, no two of them in phase
    assert "STB-003" not in above_info(run(changed(demo_text("curlew"), {"signal/5/supply": "B4"})))


@pytest.mark.parametrize(("volts", "expected"), [(2e-3, PASS), (2.01e-3, WARNING)])
def test_preamp_ripple(volts: float, expected: str) -> None:
    results = case("dunlin").results
    nominal = replace(results.nominal, ripple_volts_pp={**results.nominal.ripple_volts_pp, "B4": volts})
    assert verdict("NOI-001", "B4", with_value("dunlin", operating={**results.operating, "nominal": nominal})) == expected


# -- colours --------------------------------------------------------------------------------------------------------------
@pytest.mark.parametrize(("colours", "fires"), [("{heater: brown}", True), ("{heater: white-brown}", False), ("{ground: black}", True)])
def test_house_colours(colours: str, fires: bool) -> None:
    made = run(demo_text("curlew"), shop_with({"wire_colours": colours}))
    assert [d.severity.value for d in made.diagnostics if d.code == "WIR-004"] == (["danger"] if fires else [])


def test_a_sleeved_lead_passes_and_names_its_sleeve() -> None:
    said = {o.element: o.message for o in load_rule("WIR-004").check(case("curlew")) if o.state == "pass"}
    assert said["T1.P1"] == "the blue lead T1.P1 could be taken for mains line or neutral; it is sleeved orange"
    assert verdict("WIR-004", "T1", case("dunlin")) == UNKNOWN


def test_a_shorted_output_tube_is_told_with_what_bursts_and_what_opens() -> None:
    """Curlew has no HT fuse: the bypass capacitor across the resistor stands above its rating. With a fuse that has to open it passes."""
    made = run(demo_text("curlew"))
    assert made.results is not None
    bias = made.results.cathode_biases[0]
    (found,) = [d for d in made.diagnostics if d.code == "BIA-002" and d.element == f"{bias.resistor} fault"]
    assert any("rated 63 V and stands at 132 V" in note for note in found.notes)
    assert any("no HT fuse opens" in note for note in found.notes)
    assert bias.shorted_dc_amps is not None
    assert bias.shorted_dc_amps > bias.shorted_volts / 270.0
    fused = run(changed(demo_text("curlew"), {"supply/ht_fuse": "{rating: T 200mA 500V, where: centre-tap}"}))
    assert not [d for d in fused.diagnostics if d.code == "BIA-002"]
    film = run(
        changed(demo_text("curlew"), {"supply/ht_fuse": "{rating: T 200mA 500V, where: centre-tap}", "bias/resistor": "270 5W film"})
    )
    burns = [d for d in film.diagnostics if d.code == "BIA-002"]
    assert [d.severity for d in burns] == [Severity.WARNING] * len(burns)
    assert burns  # a film resistor is gone before any fuse opens

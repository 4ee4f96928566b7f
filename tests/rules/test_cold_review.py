"""What a technician who had read nothing but the README got past the checks, each by one change of a demo.

Most of those amps are files of tests/corpus/rules; here is what their lines cannot say: cures, proposals, one finding for one cause.
"""

from __future__ import annotations

import re
from collections.abc import Mapping

import pytest

from humdinger.analysis.losses import FILM_OHMS
from humdinger.compile import Compiled
from humdinger.diagnostics import Diagnostic, Severity, Span
from humdinger.rules.judge import _number
from humdinger.rules.model import Outcome, waiver_value
from humdinger.rules.wording import apart
from support.amps import above_info, changed, demo, demo_text, run
from support.demos import NAMES


def judged(name: str, changes: Mapping[str, str], *, propose: bool = False) -> Compiled:
    return run(changed(demo_text(name), changes), propose=propose)


def of(made: Compiled, code: str) -> list[Diagnostic]:
    return [d for d in made.diagnostics if d.code == code]


def dangers(made: Compiled) -> list[str]:
    return [d.code for d in made.diagnostics if d.severity is Severity.DANGER]


# -- fuses and faults ---------------------------------------------------------------------------------------------------
@pytest.mark.parametrize(
    ("name", "changes", "cause"),
    [
        ("curlew", {"bias/resistor": "27 5W wirewound"}, "TUB-001 (V4)"),
        ("heron", {"controls/BIAS": "10"}, "TUB-001 (V4)"),
        ("heron", {"output/transformer/primary": "1k2"}, "OTX-001 (T1)"),
        ("dunlin", {"supply/heater_reference": "{kind: hum-balance, pot: 10 carbon 0.1W, to: ground}"}, "HTR-001 (H1)"),
    ],
)
def test_no_fuse_is_proposed_for_the_current_of_a_fault(name: str, changes: Mapping[str, str], cause: str) -> None:
    made = judged(name, changes, propose=True)
    found = of(made, "FUS-002") + of(made, "FUS-005")
    assert found
    for one in found:
        said = " / ".join(h.text for h in one.helps)
        assert f"mend {cause}" in said
        assert not any(h.replacement for h in one.helps)
        assert not re.search(r"\bT \d", said)


def test_a_missing_fuse_in_a_faulty_amp_gets_no_rating_either() -> None:
    made = judged("curlew", {"bias/resistor": "27 5W wirewound", "supply/mains/fuse": "~"}, propose=True)
    (found,) = of(made, "FUS-001")
    said = " / ".join(h.text for h in found.helps)
    assert "mend TUB-001" in said
    assert "mA" not in said


def test_a_sound_amp_with_a_wrong_fuse_gets_its_proposal() -> None:
    (found,) = of(judged("dunlin", {"supply/mains/fuse": "T 5A H 250V"}, propose=True), "FUS-002")
    assert found.severity is Severity.DANGER
    assert [h.replacement for h in found.helps if h.replacement] == ["T 400mA H 250V"]


def test_a_proposal_leaves_nothing_wrong_on_its_line() -> None:
    """A reservoir both too large for its GZ34 and rated too low: no rating alone makes that line right."""
    wrong = {"supply/filter/0/capacitor": "{value: 100u, rating: 400 V, ripple: 380 mA}"}
    made = judged("heron", wrong, propose=True)
    assert of(made, "REC-004")
    (found,) = of(made, "CAP-001")
    assert not any(h.replacement for h in found.helps)
    alone = judged("heron", {"supply/filter/0/capacitor": "{value: 47u, rating: 400 V, ripple: 380 mA}"}, propose=True)
    assert any(h.replacement for h in of(alone, "CAP-001")[0].helps)


def test_a_fuse_that_may_hold_for_minutes_does_not_read_as_safe() -> None:
    """Heron without bias: 2.14 times the HT fuse's rating, just above the 2.1 at which it has to open at all."""
    (found,) = of(demo("heron"), "BIA-004")
    assert found.severity is Severity.INFO
    assert "may hold for 2 minutes" in found.message
    assert any("at low mains" in note for note in found.notes)


# -- one finding for one cause ------------------------------------------------------------------------------------------
@pytest.mark.parametrize("name", NAMES)
def test_no_earth_at_all_is_one_danger(name: str) -> None:
    made = judged(name, {"grounding": "{chassis_joint: input}"})
    assert dangers(made) == ["PE-001"]
    assert "grounding/circuit_bond" in " ".join(h.text for h in of(made, "PE-001")[0].helps)
    assert dangers(judged(name, {"grounding/circuit_bond": "~"})) == ["PE-004"]
    assert dangers(judged(name, {"grounding/pe_stud": "~"})) == ["PE-001"]


def test_a_stage_that_does_not_amplify_is_blamed_on_its_plate_load() -> None:
    made = judged("dunlin", {"signal/1/plate_load": "220 1W"})
    assert above_info(made) == ["GAN-005"]
    for code in ("GAN-001", "GAN-002", "GAN-005"):
        (found,) = of(made, code)
        assert found.primary is not None
        assert "plate_load: 220" in made.texts[found.primary.span.file].split("\n")[found.primary.span.line - 1]
        assert "larger stopper" not in " ".join(h.text for h in found.helps)


# -- amps that are sold -------------------------------------------------------------------------------------------------
@pytest.mark.parametrize(
    ("path", "code"),
    [
        ("donor", "DNR-001"),
        ("safety", "PE-002"),
        ("safety/bonding", "PE-002"),
        ("safety/warning_label", "LBL-003"),
        ("safety/clearances/mains_to_secondary", "INS-002"),
        ("supply/transformer/insulation", "MNS-009"),
        ("supply/mains/holder", "FUS-007"),
        ("output/transformer/insulation", "OTX-006"),
        ("donor/selenium_rectifier", "DNR-004"),
    ],
)
def test_missing_data_of_safety_warn_where_the_amp_is_sold(path: str, code: str) -> None:
    sold, own = judged("curlew", {path: "~"}), judged("dunlin", {path: "~"})
    assert above_info(sold) == [code]
    assert of(sold, code)[0].severity is Severity.WARNING
    assert of(sold, code)[0].helps, "a cure"
    assert above_info(own) == []
    if path != "donor":  # no donor is no subject
        assert own.findings is not None
        assert any(j.rule.code == code and j.outcome.state == "not evaluated" for j in own.findings.judged)


# -- the output pair ----------------------------------------------------------------------------------------------------
def test_two_names_of_one_type_are_a_pair() -> None:
    assert of(judged("curlew", {"tubes/V5": "6BQ5"}), "BIA-009") == []
    (found,) = of(judged("curlew", {"tubes/V5": "6V6GT"}), "BIA-009")
    assert found.severity is Severity.ERROR


# -- numbers ------------------------------------------------------------------------------------------------------------
@pytest.mark.parametrize(
    ("value", "unit", "text"),
    [
        (1e-4, "F", "100 µF"),
        (6.549e5, "Hz", "654.9 kHz"),
        (0.99996, "A", "1 A"),
        (0.061, "A", "61 mA"),
        (4.71, "W", "4.71 W"),
        (883400.0, "1/s", "883400 1/s"),
        (1.389, "x", "1.389 x"),
        (2.2e-8, "F", "22 nF"),
        (-12.5, "V", "-12.5 V"),
        (100e3, "ohm", "100 kΩ"),
        (0.0, "V", "0 V"),
    ],
)
def test_the_value_for_a_waiver_is_printed_plainly_and_reads_back(value: float, unit: str, text: str) -> None:
    outcome = Outcome(state="fail", element="X", span=Span("f", 1, 1, 1, 2), message="m", value=value, unit=unit)
    assert waiver_value(outcome) == text
    assert _number(text) == pytest.approx(value, rel=5e-4)


def test_numbers_that_differ_do_not_look_alike() -> None:
    assert apart(89.96, 90.0) == ("89.96", "90.00")
    assert apart(83.0, 90.0) == ("83", "90")


def test_watts_of_a_hum_balance_pot_are_those_of_the_winding_across_it() -> None:
    """6.3 V nominal across 100 ohms are 0.40 W; at high mains and light load 7.16 V, 0.51 W."""
    made = judged("dunlin", {"supply/heater_reference": "{kind: hum-balance, pot: 100 wirewound 2W, to: ground}"})
    assert made.results is not None
    (load,) = [row for row in made.results.tracks.values() if row.watts > 0.01]
    volts = max(next(h for h in made.results.heaters if h.winding == "H1").volts.values())
    assert load.watts == pytest.approx(volts**2 / 100.0, rel=1e-6)


def test_the_bias_pot_is_judged_as_though_its_current_ran_the_whole_track() -> None:
    results = demo("heron").results
    assert results is not None
    pot = next(p for p in demo("heron").netlist.parts if p.role == "adjustment")  # type: ignore[union-attr]
    amps = max(o.parts[pot.ref].amps for o in results.operating.values())
    assert results.tracks[pot.ref].watts == pytest.approx(amps**2 * 25e3, rel=1e-6)
    assert results.tracks[pot.ref].watts > results.stresses[pot.ref].worst_watts, "one part of the track carries more than the other"


def test_copper_loss_of_dunlin_by_hand() -> None:
    """280 ohms and 0.5 ohm x 5000 / 8 = 312.5 ohms beside 5000 ohms: 5.0 % and 5.6 %."""
    results = demo("dunlin").results
    assert results is not None
    assert results.copper is not None
    whole = 5000.0 + 280.0 + 312.5
    assert results.copper.primary_share == pytest.approx(280.0 / whole, rel=1e-6)
    assert results.copper.secondary_share == pytest.approx(312.5 / whole, rel=1e-6)


def test_a_film_capacitor_leaks_its_volts_over_a_gigohm() -> None:
    results = demo("heron").results
    assert results is not None
    for leak in results.leaks:
        volts = abs(results.nominal.parts[leak.capacitor].volts)
        assert leak.amps == pytest.approx(volts / FILM_OHMS)
        assert leak.shift_volts == pytest.approx(leak.amps * leak.ohms)


# -- words --------------------------------------------------------------------------------------------------------------
@pytest.mark.parametrize(
    ("changes", "meant"),
    [
        ({"region": "de"}, "eu"),
        ({"region": "USA"}, "us"),
        ({"region": "nz"}, "au"),
        ({"output/topology": "se"}, "single-ended"),
        ({"output/transformer/type": "PP"}, "push-pull"),
    ],
)
def test_common_names_are_understood(changes: Mapping[str, str], meant: str) -> None:
    (found,) = of(judged("dunlin", changes), "SCH-005")
    assert f"did you mean `{meant}`?" in [h.text for h in found.helps]


@pytest.mark.parametrize("path", ["output/transformer/resistance", "supply/transformer/high_tension/resistance"])
def test_data_that_are_measured_are_asked_for_and_not_suggested(path: str) -> None:
    (found,) = of(judged("dunlin", {path: "~"}), "SCH-001")
    said = " ".join(h.text for h in found.helps)
    assert "measure it" in said
    assert not re.search(r"\d", said)


def test_the_id_of_a_stage_is_quoted() -> None:
    made = judged("dunlin", {"signal/0/id": "in", "signal/0/grid_leak": "~"})
    assert "the input stage `in`" in of(made, "SCH-001")[0].message

"""Cures name what to write; one cause is one finding; a figure that is not of the nominal corner says so."""

from __future__ import annotations

from collections.abc import Mapping

import pytest

from humdinger.compile import Compiled
from humdinger.diagnostics import Diagnostic
from humdinger.rules.judge import _number
from support.amps import above_info, changed, demo, demo_text, run

EZ81 = {
    "tubes/V6": "EZ81",
    "supply/rectifier": "{kind: tube, tube: V6, arrangement: full-wave, plate_resistors: 200 5W wirewound}",
    "supply/transformer/heaters": "[{volts: 6.3 V, current: 3 A, feeds: [all], no_load: 6.7 V},"
    " {volts: 6.3 V, current: 1.2 A, feeds: [rectifier], no_load: 6.6 V}]",
}
TO_CATHODE = "[{kind: artificial-centre-tap, resistors: 100 0.5W}, {kind: to-cathode, winding: H2}]"


def judged(name: str, changes: Mapping[str, str], *, propose: bool = False) -> Compiled:
    return run(changed(demo_text(name), changes), propose=propose)


def one(made: Compiled, code: str) -> Diagnostic:
    (found,) = [d for d in made.diagnostics if d.code == code]
    return found


def cures(found: Diagnostic) -> str:
    return " / ".join(h.text for h in found.helps)


def test_a_floating_heater_winding_says_what_to_write_and_that_works() -> None:
    found = one(judged("curlew", EZ81), "NET-002")
    assert "{kind: to-cathode, winding: H2}" in cures(found)
    made = judged("curlew", EZ81 | {"supply/heater_reference": TO_CATHODE})
    assert above_info(made) == []
    assert made.results is not None
    row = next(r for r in made.results.heater_cathodes if r.section == "V6")
    assert row.tied
    assert max(row.heater_positive_volts, row.cathode_positive_volts) < 1e-6


def test_the_cathode_of_a_tube_whose_heater_it_is_cannot_be_tied_again() -> None:
    assert one(judged("heron", {"supply/heater_reference": TO_CATHODE}), "ELB-057").severity.value == "error"
    assert one(judged("dunlin", {"supply/heater_reference": "{kind: to-cathode}"}), "ELB-057").severity.value == "error"


def test_free_sections_are_named() -> None:
    assert "V1b and V2b" in cures(one(judged("curlew", {"signal/4/tube": "V1a"}), "NAM-005"))
    wrong = one(judged("curlew", {"output/tubes": "[V1, V5]"}), "NAM-004")
    assert "V4" in cures(wrong)


def test_a_decimal_comma_between_braces_is_one_mistake() -> None:
    text = demo_text("dunlin").replace("current: 1 A, no_load", "current: 1,5 A, no_load")
    (found,) = run(text).diagnostics
    assert found.code == "SCH-006"
    assert cures(found) == "write 1.5 A"


def test_a_hot_cathode_biased_tube_gets_a_resistor_that_passes() -> None:
    made = judged("dunlin", {"bias/resistor": "180 5W wirewound", "supply/mains/fuse": "T 500mA H 250V"}, propose=True)
    proposed = [h for h in one(made, "TUB-001").helps if h.replacement]
    assert [(h.path, h.replacement.split()[0]) for h in proposed] == [("bias/resistor", "270R")]
    again = judged("dunlin", {"bias/resistor": proposed[0].replacement, "supply/mains/fuse": "T 500mA H 250V"})
    assert "TUB-001" not in above_info(again)


def test_a_missing_fuse_prints_the_current_and_a_fuse() -> None:
    found = one(judged("dunlin", {"supply/mains/fuse": "~"}), "FUS-001")
    assert any("253 mA primary rms at idle" in note for note in found.notes)
    assert "T 400mA H 250V" in cures(found)


def test_the_grid_leak_is_blamed_on_its_own_line() -> None:
    made = judged("dunlin", {"output/grid_leak": "1M"})
    found = one(made, "TUB-010")
    assert found.primary is not None
    line = made.texts[found.primary.span.file].split("\n")[found.primary.span.line - 1]
    assert line.strip() == "grid_leak: 1M"
    assert "cathode bias" not in cures(found)


def test_a_corner_that_is_not_nominal_is_in_the_message() -> None:
    found = one(judged("dunlin", {"supply/filter/1/through": "220 1W flameproof"}), "RES-001")
    assert found.facts["condition"] == "high"
    assert found.message.endswith("(at high mains)")
    cold = one(judged("dunlin", {"supply/filter/3/capacitor": "22u 250V"}), "CAP-001")
    assert cold.message.endswith("(at high mains)")


def test_every_number_of_a_finding_reads_back_as_a_waivers() -> None:
    for changes in (
        {"output/grid_leak": "1M"},
        {"supply/transformer/heaters/0/current": "0.7 A"},
        {"safety/clearances/mains_to_chassis": "1 mm"},
    ):
        made = judged("dunlin", changes)
        for found in (d for d in made.diagnostics if d.severity.value in ("error", "warning") and "value" in d.facts):
            (note,) = [n for n in found.notes if n.startswith("value for a waiver: ")]
            assert _number(note.removeprefix("value for a waiver: ")) == pytest.approx(found.facts["value"], rel=1e-3)


def test_full_drive_counts_for_the_winding_and_the_fuse() -> None:
    winding = one(judged("heron", {"supply/transformer/high_tension/current": "300 mA"}), "PSU-001")
    assert winding.severity.value == "warning"
    assert "at full drive" in winding.message
    fuse = one(judged("heron", {"supply/mains/fuse": "T 1A H 250V"}), "FUS-002")
    assert fuse.severity.value == "error"
    results = demo("heron").results
    assert results is not None
    assert results.mains.full_drive_rms_amps is not None
    budget = next(w for w in results.windings if w.winding == "HT")
    assert results.load is not None
    assert budget.full_drive_rms_amps == pytest.approx((budget.form_factor or 0.0) * (results.load.full_drive_dc_amps or 0.0))
    # The rest of the load stays: only the high tension's volt-amps grow, by 1.1 of losses, over 230 V.
    grown = 1.1 * budget.volt_amps * ((budget.full_drive_rms_amps or 0.0) / budget.rms_amps - 1.0) / 230.0
    assert results.mains.full_drive_rms_amps == pytest.approx(results.mains.primary_rms_amps + grown)


def test_resistors_without_direct_current_have_no_figure() -> None:
    made = demo("dunlin")
    assert made.findings is not None
    rows = [j.outcome for j in made.findings.judged if j.rule.code == "RES-001" and "no direct current" in j.outcome.message]
    assert rows
    assert all(o.value is None and o.state == "pass" for o in rows)


@pytest.mark.parametrize(
    ("name", "changes", "expected"),
    [
        ("dunlin", {"signal/1/coupling": "22u 630V"}, ["CAP-008", "TUB-019"]),
        ("dunlin", {"signal/3/pot": "100 audio"}, ["GAN-001"]),
        ("dunlin", {"signal/1/plate_load": "100 1W"}, ["GAN-005"]),
        ("dunlin", {"speaker/load_resistor": "10 0.5W"}, ["OTX-009"]),
        ("dunlin", {"output/transformer/gap_current": "30 mA"}, ["OTX-004"]),
        ("dunlin", {"output/transformer/power": "0.5 W"}, ["OTX-003"]),
        ("dunlin", {"output/transformer/primary": "500 ohm"}, ["OTX-001"]),
        ("curlew", {"speaker/load_resistor": "~"}, ["OTX-009"]),
        ("curlew", {"speaker/load_resistor": "~", "speaker/shorting": "true"}, []),
        ("dunlin", {"bias/bypass": "220u 6.3V"}, ["CAP-006"]),
    ],
)
def test_absurd_values_are_judged(name: str, changes: Mapping[str, str], expected: list[str]) -> None:
    assert above_info(judged(name, changes)) == expected


def test_a_bypass_below_its_cathode_and_a_resistor_that_burns_are_errors() -> None:
    assert one(judged("dunlin", {"bias/bypass": "220u 6.3V"}), "CAP-006").severity.value == "error"
    assert one(judged("dunlin", {"speaker/load_resistor": "10 0.5W"}), "OTX-009").severity.value == "error"


def test_a_tube_that_is_hot_on_a_high_mains_day_is_told() -> None:
    made = judged("dunlin", {"bias/resistor": "240 5W wirewound"})
    rows = [d for d in made.diagnostics if d.code == "TUB-001"]
    assert [(d.element, d.severity.value) for d in rows] == [("V2 high mains", "info")]

"""Waivers: what they cover, what voids them, and that danger has none.

The amp is dunlin with a heater winding of 6.8 V: one warning, HTR-002 on H1. Its value is read off the run, so that a new tuning of the
demo moves nothing here.
"""

from __future__ import annotations

from functools import cache

import pytest

from humdinger.compile import Compiled, compiled
from humdinger.diagnostics import Severity
from support.amps import changed, demo_text, run
from support.front import PATH, world

WARM = {"supply/transformer/heaters/0/volts": "6.8 V", "supply/transformer/heaters/0/no_load": "7.2 V"}
OVERLOADED = {"supply/transformer/heaters/0/current": "0.7 A"}
TWO_CORES = {"supply/mains/cord": "two-core"}
REASON = "measured 6.4 V at the pins with the wires as built"


def waived(changes: dict[str, str], **entry: str) -> str:
    """Dunlin, changed, with one waiver at its end."""
    row = {"rule": "HTR-002", "element": "H1", "value": "1", "reason": REASON, "by": "M. Reed", "date": "2026-11-25", **entry}
    return changed(demo_text("dunlin"), changes) + "waive:\n  - {" + ", ".join(f"{key}: {value}" for key, value in row.items()) + "}\n"


@cache
def printed(code: str, changes: tuple[tuple[str, str], ...]) -> float:
    """The value of the one finding of a rule in that amp."""
    made = run(changed(demo_text("dunlin"), dict(changes)))
    assert made.findings is not None
    (found,) = [j.outcome.value for j in made.findings.judged if j.rule.code == code and j.open]
    assert found is not None
    return found


def warm_volts() -> float:
    return printed("HTR-002", tuple(WARM.items()))


def codes(made: Compiled) -> list[str]:
    """What stands above info."""
    return sorted(d.code for d in made.diagnostics if d.severity is not Severity.INFO)


def test_the_amp_has_that_one_finding() -> None:
    assert codes(run(changed(demo_text("dunlin"), WARM))) == ["HTR-002"]


def test_a_waiver_silences_its_finding_and_keeps_it() -> None:
    made = run(waived(WARM, value=f"{warm_volts():.4g}"))
    assert codes(made) == []
    assert made.findings is not None
    (covered,) = [j for j in made.findings.judged if j.waiver]
    assert (covered.rule.code, covered.outcome.element, covered.outcome.severity) == ("HTR-002", "H1", Severity.WARNING)
    assert covered.waiver is not None
    assert (covered.waiver.reason, covered.waiver.by) == (REASON, "M. Reed")
    assert not covered.open


def test_the_manual_prints_the_finding_with_its_reason() -> None:
    _, files = compiled(world(waived(WARM, value=f"{warm_volts():.4g}")), PATH)
    assert files is not None
    pages = {name: data.decode("utf-8") for name, data in files.items() if name.endswith(".html")}
    with_reason = [name for name, page in pages.items() if REASON in page and "HTR-002" in page]
    assert len(with_reason) >= 2, "on the cover and on the page of the judgement"
    assert any("M. Reed" in pages[name] for name in with_reason)


def test_an_error_can_be_waived_and_no_longer_blocks() -> None:
    percent = printed("HTR-001", tuple(OVERLOADED.items()))
    assert run(changed(demo_text("dunlin"), OVERLOADED)).blocking
    made = run(waived(OVERLOADED, rule="HTR-001", value=f"{percent:.4g}"))
    assert codes(made) == []
    assert not made.blocking


@pytest.mark.parametrize(
    ("share", "expected"),
    [(1.0, []), (1.0 / 1.049, []), (1.0 / 0.951, []), (1.0 / 1.052, ["HTR-002", "WVR-002"]), (1.0 / 0.948, ["HTR-002", "WVR-002"])],
    ids=["same", "4.9 % up", "4.9 % down", "5.2 % up", "5.2 % down"],
)
def test_a_waiver_is_void_when_the_value_moved_by_more_than_five_percent(share: float, expected: list[str]) -> None:
    """The waiver holds an older value; the move is counted from it."""
    made = run(waived(WARM, value=f"{warm_volts() * share:.6g}"))
    assert codes(made) == expected


def test_a_void_waiver_says_both_values_at_its_own_line() -> None:
    text = waived(WARM, value="3.1")
    (void,) = [d for d in run(text).diagnostics if d.code == "WVR-002"]
    assert void.severity is Severity.WARNING
    assert "more than 5 %" in void.message
    assert any("waived at 3.1 V" in note and f"now {warm_volts():.4g} V" in note for note in void.notes)
    assert void.primary is not None
    assert "rule: HTR-002" in text.splitlines()[void.primary.span.line - 1]


@pytest.mark.parametrize(
    "entry",
    [{"element": "H2"}, {"rule": "HTR-001"}, {"rule": "RES-001", "element": "R1"}, {"rule": "NON-999"}],
    ids=["other element", "rule that passes", "part that passes", "rule that is none"],
)
def test_a_waiver_that_covers_nothing_is_a_finding(entry: dict[str, str]) -> None:
    made = run(waived(WARM, value=f"{warm_volts():.4g}", **entry))
    assert codes(made) == ["HTR-002", "WVR-001"]


def test_a_waiver_whose_finding_is_gone_is_unused() -> None:
    assert codes(run(waived({}, value="6.9"))) == ["WVR-001"]


def test_danger_cannot_be_waived() -> None:
    text = changed(demo_text("dunlin"), TWO_CORES)
    (danger,) = [d for d in run(text).diagnostics if d.severity is Severity.DANGER]
    made = run(waived(TWO_CORES, rule=danger.code, element=danger.element, value="2"))
    assert codes(made) == sorted([danger.code, "WVR-003"])
    assert made.blocking
    assert next(d for d in made.diagnostics if d.code == danger.code).severity is Severity.DANGER


@pytest.mark.parametrize(("expires", "expected"), [("2026-11-24", ["HTR-002", "WVR-004"]), ("2026-11-25", []), ("2027-11-25", [])])
def test_a_waiver_holds_through_the_day_it_expires(expires: str, expected: list[str]) -> None:
    """The world's day is 2026-11-25."""
    assert codes(run(waived(WARM, value=f"{warm_volts():.4g}", expires=expires))) == expected


def test_a_rule_may_be_named_by_its_name() -> None:
    assert codes(run(waived(WARM, rule="heater-volts", value=f"{warm_volts():.4g}"))) == []


@pytest.mark.parametrize("word", ["TUB-008", "HTR-007", "PIN-004", "heater-cathode-volts"])
def test_a_rule_may_be_named_by_an_old_code(word: str) -> None:
    """HTR-007 and PIN-004 were merged into TUB-008."""
    lifted = {"supply/heater_reference/divider": "{upper: 470k 2W, lower: 220k, bypass: 22u 200V, from: B2}"}
    text = changed(demo_text("heron"), lifted)
    found = run(text).findings
    assert found is not None
    open_ones = [j.outcome for j in found.judged if j.rule.code == "TUB-008" and j.open]
    entry = "  - {{rule: {}, element: {}, value: {:.4g}, reason: tried, by: M. Reed, date: 2026-11-25}}\n"
    rows = [entry.format(word, o.element, o.value) for o in open_ones]
    assert rows
    assert codes(run(text + "waive:\n" + "".join(rows))) == []


@pytest.mark.parametrize("unit", ["", " V", "V"])
def test_the_value_may_be_written_as_it_is_printed(unit: str) -> None:
    assert codes(run(waived(WARM, value=f"{warm_volts():.4g}{unit}"))) == []


def test_a_printed_prefix_counts() -> None:
    """R15 of dunlin takes some hundreds of milliwatts; 0.6 W and 600 mW are one value."""
    small = {"supply/filter/1/through": "220 0.5W flameproof"}
    watts = printed("RES-001", tuple(small.items()))
    part = next(d.element for d in run(changed(demo_text("dunlin"), small)).diagnostics if d.code == "RES-001")
    assert codes(run(waived(small, rule="RES-001", element=part, value=f"{1000 * watts:.4g} mW"))) == []
    assert codes(run(waived(small, rule="RES-001", element=part, value=f"{1000 * watts:.4g} W"))) == ["RES-001", "WVR-002"]

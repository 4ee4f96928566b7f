"""`--region` and `--tube`: the same spec with something else in its place; what follows is found, said, and shown where it comes from."""

from __future__ import annotations

import json
import re
import shutil
from pathlib import Path

import html5lib
import pytest

from humdinger import cli
from humdinger.circuit.netlist import Fuse, PowerTransformer, Tube
from humdinger.compile import Compiled, compiled, elaborated, judged
from humdinger.diagnostics import Severity
from humdinger.diagnostics.render_text import render_text
from humdinger.explain import explanation
from humdinger.source.checksum import checksum
from humdinger.source.override import COMMAND_LINE, Asked
from humdinger.spec.override_explain import PAGES
from support.amps import ABOVE_INFO, changed, demo, demo_text
from support.front import PATH, ROOT, world


def made(name: str, region: str = "", *tubes: str, changes: dict[str, str] | None = None) -> Compiled:
    return judged(world(changed(demo_text(name), changes) if changes else demo_text(name)), PATH, propose=False, asked=Asked(region, tubes))


def above(found: Compiled) -> list[tuple[str, str]]:
    return sorted((d.code, d.element) for d in found.diagnostics if d.severity in ABOVE_INFO)


def fuse_of(found: Compiled) -> float:
    assert found.netlist is not None
    return next(f.amps for f in found.netlist.of(Fuse) if f.where == "mains")


def test_another_region_takes_its_tap_its_fuse_and_its_colours() -> None:
    """Heron's transformer has two taps: on 120 V it plays as on 230 V, and draws about 230/120 times the current."""
    home, there = demo("heron"), made("heron", "us")
    assert home.netlist is not None
    assert there.netlist is not None
    (tap,) = there.netlist.of(PowerTransformer)
    assert tap.primary_volts == 120
    assert tap.primary_resistance == 2.2
    assert there.netlist.mains_hertz == 60
    assert there.netlist.region.paper == "Letter"
    assert there.netlist.region.line_colour == "black" != home.netlist.region.line_colour
    assert (fuse_of(home), fuse_of(there)) == (1.25, 2.5)
    assert above(there) == []
    assert home.results is not None
    assert there.results is not None
    ratio = there.results.mains.primary_rms_amps / home.results.mains.primary_rms_amps
    # the same watts at 230 and at 120 V; the two windings differ a little in their losses
    assert ratio == pytest.approx(230 / 120, rel=0.05)


def test_the_fuse_stays_where_a_fault_decides_the_current() -> None:
    """Curlew's one primary is for 230 V: on 120 V that is a danger, and no fuse is made to fit it."""
    there = made("curlew", "us")
    assert ("PSU-004", "T2 volts") in above(there)
    assert fuse_of(there) == 0.5
    assert there.source is not None
    assert [one.path for one in there.source.overrides] == ["region", "model/market"]


LARGER = {
    "supply/transformer/heaters/0/current": "4 A",
    "supply/transformer/heaters/0/no_load": "6.6 V",
    "output/transformer/primary": "2k5",
    "output/transformer/gap_current": "90 mA",
}
"""Dunlin with iron that a larger tube can work on."""


@pytest.mark.parametrize(("kind", "amps"), [("6L6GC", 0.5), ("EL34", 0.63)])
def test_another_tube_takes_the_fuse_it_asks_for_and_says_so(kind: str, amps: float) -> None:
    """Dunlin's 400 mA is 1.25 times and less what the larger tube draws: the next fuse of the series that is 1.5 times and more."""
    there = made("dunlin", "", f"V2={kind}", changes=LARGER)
    assert above(there) == []
    assert fuse_of(there) == amps
    assert there.source is not None
    assert there.results is not None
    assert 1.5 <= amps / there.results.mains.primary_rms_amps <= 2.0
    (fuse,) = (one for one in there.source.overrides if one.path == "supply/mains/fuse")
    assert (fuse.argument, fuse.was) == (f"--tube V2={kind}", "T 400mA H 250V")
    assert "solved with it" in fuse.why


def test_a_tube_that_does_not_fit_leaves_the_fuse_and_says_why() -> None:
    """On Dunlin's own iron the load is wrong, so the current is: the fuse is a finding, and none is made to fit."""
    there = made("dunlin", "", "V2=6L6GC")
    assert {("FUS-002", "F1"), ("OTX-001", "T1")} <= set(above(there))
    assert fuse_of(there) == 0.4


def test_the_spec_s_own_region_changes_nothing() -> None:
    same = made("curlew", "eu", "V4=EL84")
    assert same.source is not None
    assert same.source.overrides == ()
    assert same.netlist == demo("curlew").netlist


def test_a_region_with_two_frequencies_is_asked_with_one() -> None:
    (found,) = made("heron", "jp").diagnostics
    assert found.code == "OVR-001"
    assert "jp:50" in found.helps[0].text
    there = made("heron", "jp:50")
    assert there.netlist is not None
    assert there.netlist.mains_hertz == 50
    back = made("heron", "us", changes={"region": "jp", "frequency": "50 Hz", "model/market": "jp"})
    assert back.netlist is not None
    assert back.netlist.mains_hertz == 60


def test_other_tubes_are_solved_and_judged() -> None:
    found = made("curlew", "", "V4,V5=6V6GT")
    assert found.netlist is not None
    types = {tube.ref: tube.type.name for tube in found.netlist.of(Tube)}
    assert types == {"V1": "12AY7", "V2": "12AX7", "V3": "12AT7", "V4": "6V6GT", "V5": "6V6GT"}
    assert [code for code, element in above(found) if element in ("V4", "V5")] == ["TUB-001", "TUB-001"]


def test_a_diagnostic_shows_the_argument_and_the_line_it_stands_for() -> None:
    found = made("curlew", "", "V4,V5=6V6GT")
    hot = next(d for d in found.diagnostics if d.code == "TUB-001" and d.element == "V4")
    assert hot.primary is not None
    assert hot.primary.span.file == COMMAND_LINE
    line = next(number for number, row in enumerate(demo_text("curlew").split("\n"), 1) if row.startswith("tubes:"))
    assert [(label.span.file, label.span.line, label.text) for label in hot.labels[1:]] == [(PATH, line, "6V6GT stands for this")]
    text = render_text([hot], found.texts)
    assert re.search(r"--> command line:1:14\n.*\n *1 \| --tube V4,V5=6V6GT\n *\| {14}\^{5} rated", text)
    assert re.search(r"::: amps/amp.amp.yaml:14:\d+\n.*\n14 \| tubes:.*\n *\| +---- 6V6GT stands for this", text)


@pytest.mark.parametrize(
    ("region", "tube", "code", "column"),
    [
        ("usa", "", "SCH-005", 10),
        ("", "V4=12AX7", "NAM-004", 0),
        ("", "V4,V5=6V6GX", "NAM-001", 14),
        ("", "V4,V6=6V6GT", "OVR-002", 11),
        ("", "V4", "OVR-001", 8),
        ("", "=EL84", "OVR-001", 8),
        ("", "V4=", "OVR-001", 8),
        ("", " ", "OVR-001", 8),
        (":50", "", "OVR-001", 10),
        ("eu:55", "", "OVR-001", 10),
        ("", "V4,V4=6V6GT", "OVR-003", 11),
        ("", "V4=6V6GT\x1b[31m", "NAM-001", 11),
    ],
)
def test_a_wrong_argument_is_a_diagnostic_of_its_own(region: str, tube: str, code: str, column: int) -> None:
    found = made("curlew", region, *((tube,) if tube else ()))
    said = [d for d in found.diagnostics if d.severity is Severity.ERROR]
    assert [d.code for d in said][:1] == [code]
    assert found.findings is None
    primary = said[0].primary
    assert primary is not None
    if column:
        assert (primary.span.file, primary.span.line, primary.span.column) == (COMMAND_LINE, 1, column)
    else:  # the place that wants a power tube is to blame, the argument is the second place
        assert any(label.span.file == COMMAND_LINE for label in said[0].labels)
    assert "\x1b" not in render_text(said, found.texts)


def test_every_code_is_explained() -> None:
    for code, page in PAGES.items():
        assert page.code == code
        assert explanation(code) == page.text()


def test_the_checksum_and_the_manual_say_so() -> None:
    plain = elaborated(world(demo_text("heron")), PATH)
    found, files = compiled(world(demo_text("heron")), PATH, asked=Asked("us"))
    assert files is not None, [d.message for d in found.diagnostics if d.severity in ABOVE_INFO]
    assert plain.source is not None
    assert found.source is not None
    assert checksum(found.source) != checksum(plain.source)
    cover = files["index.html"].decode()
    html5lib.HTMLParser(strict=True).parse(cover)  # raises at the first parse error
    assert "This manual is not of the spec as it is written" in cover
    assert "T 2.5A H 250V" in cover
    for path, data in files.items():
        if path.endswith(".html"):
            assert "revision A with --region us" in data.decode(), path
    data = json.loads(files["data/results.json"])
    assert data["checksum"] == checksum(found.source)
    assert data["overrides"] == {
        "region": {"argument": "--region us", "text": "us", "was": "uk"},
        "model/market": {"argument": "--region us", "text": "us", "was": "uk"},
        "supply/mains/fuse": {"argument": "--region us", "text": "T 2.5A H 250V", "was": "T 1.25A H 250V"},
    }


@pytest.fixture
def folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    shutil.copytree(ROOT / "specs_demo", tmp_path / "specs")
    monkeypatch.chdir(tmp_path)
    return tmp_path


CURLEW, HERON = "specs/curlew/curlew.amp.yaml", "specs/heron/heron.amp.yaml"


def test_check_says_which_findings_follow(folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert cli.main(["check", CURLEW, "--tube", "V4,V5=6V6GT"]) == 0
    out = capsys.readouterr().out
    assert f"{CURLEW}: --tube V4,V5=6V6GT: tubes/V4 is 6V6GT, the spec has EL84\n" in out
    assert "new: warning FUS-002 F1; warning TRM-004 depth; warning TUB-001 V4; warning TUB-001 V5\n" in out
    assert cli.main(["check", CURLEW, "--tube", "V4=EL84"]) == 0
    assert "--tube V4=EL84: changes nothing" in capsys.readouterr().out
    assert cli.main(["check", CURLEW, "--tube", "V4,V5=6V6GT", "--format", "json"]) == 0
    (data,) = json.loads(capsys.readouterr().out)
    assert data["overrides"]["tubes/V5"] == {"argument": "--tube V4,V5=6V6GT", "text": "6V6GT", "was": "EL84"}
    assert {(row["code"], row["element"]) for row in data["follows"]["new"]} >= {("TUB-001", "V4"), ("TUB-001", "V5")}
    assert cli.main(["check", CURLEW]) == 0
    assert "--tube" not in capsys.readouterr().out


def test_solve_says_what_it_solved(folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert cli.main(["solve", HERON, "--region", "us"]) == 0
    out = capsys.readouterr().out
    assert out.startswith(f"{HERON}: --region us: region is us, the spec has uk\n")
    assert "Heron, region us, 60 Hz mains" in out


def test_compile_leaves_the_spec_s_own_manual_and_lock_alone(folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    lock = (folder / "specs/heron/heron.lock.yaml").read_bytes()
    assert cli.main(["compile", HERON, "--region", "us", "--cache", "off"]) == 0
    out = capsys.readouterr().out
    assert (folder / "heron-us-manual" / "index.html").is_file()
    assert not (folder / "heron-manual").exists()
    assert "--region us: new: no finding" in out
    assert (folder / "specs/heron/heron.lock.yaml").read_bytes() == lock

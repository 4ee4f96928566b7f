"""The command line: exit codes, streams, and that a user's mistake never becomes a traceback."""

from __future__ import annotations

import json
import shutil
from pathlib import Path

import pytest

from humdinger import cli
from support.amps import changed, demo_text
from support.demos import NAMES
from support.front import ROOT


@pytest.fixture
def folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    shutil.copytree(ROOT / "specs_demo", tmp_path / "specs")
    monkeypatch.chdir(tmp_path)
    return tmp_path


def spec(folder: Path, changes: dict[str, str], name: str = "dunlin") -> str:
    path = folder / "specs" / name / "changed.amp.yaml"
    path.write_text(changed(demo_text(name), changes), encoding="utf-8")
    return str(path)


@pytest.mark.parametrize("name", NAMES)
def test_demos_have_no_finding_above_info(folder: Path, capsys: pytest.CaptureFixture[str], name: str) -> None:
    assert cli.main(["check", f"specs/{name}/{name}.amp.yaml", "--strict"]) == 0
    assert "0 findings" in capsys.readouterr().out


def test_check_underlines_the_line(folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    path = spec(folder, {"supply/transformer/heaters/0/current": "0.7 A"})
    assert cli.main(["check", path]) == 1
    out = capsys.readouterr().out
    assert "error[HTR-001]: the heater winding H1 is asked for" in out
    assert "^^^" in out
    assert "= help:" in out
    assert "humdinger explain HTR-001" in out


def test_formats(folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    path = spec(folder, {"signal/1/plate_load": "2x20k"})
    assert cli.main(["check", path, "--format", "short"]) == 1
    short = capsys.readouterr().out.splitlines()[0]
    assert ": error[" in short
    assert cli.main(["check", path, "--format", "json"]) == 1
    data = json.loads(capsys.readouterr().out)
    assert data[0]["diagnostics"][0]["code"].startswith("UNI-")


def test_solve_and_results_are_one(folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert cli.main(["solve", "specs/dunlin/dunlin.amp.yaml", "--format", "json"]) == 0
    data = json.loads(capsys.readouterr().out)
    assert data["format"] == 1
    assert cli.main(["solve", "specs/dunlin/dunlin.amp.yaml"]) == 0
    text = capsys.readouterr().out
    assert "B1" in text
    assert "V2" in text
    assert cli.main(["compile", "specs/dunlin/dunlin.amp.yaml", "-o", "out"]) == 0
    assert json.loads((folder / "out" / "data" / "results.json").read_text()) == data


def test_show_prints_a_spec_that_checks_clean(folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert cli.main(["show", "specs/heron/heron.amp.yaml"]) == 0
    shown = capsys.readouterr().out
    assert "# default:" in shown
    (folder / "specs" / "heron" / "again.amp.yaml").write_text(shown, encoding="utf-8")
    assert cli.main(["check", "--strict", "specs/heron/again.amp.yaml"]) == 0


def test_a_blocked_compile_writes_nothing_and_says_that_the_old_manual_is_stale(folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert cli.main(["compile", "specs/dunlin/dunlin.amp.yaml", "-o", "out"]) == 0
    before = {p: p.read_bytes() for p in (folder / "out").rglob("*") if p.is_file()}
    path = spec(folder, {"supply/mains/cord": "two-core"})
    assert cli.main(["compile", path, "-o", "out"]) == 1
    assert "stale" in capsys.readouterr().err
    assert {p: p.read_bytes() for p in (folder / "out").rglob("*") if p.is_file()} == before


def test_compile_refuses_a_folder_of_the_users(folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    (folder / "mine").mkdir()
    (folder / "mine" / "notes.txt").write_text("keep")
    assert cli.main(["compile", "specs/dunlin/dunlin.amp.yaml", "-o", "mine"]) == 2
    assert (folder / "mine" / "notes.txt").read_text() == "keep"
    assert "left alone" in capsys.readouterr().err


def test_several_specs_go_into_a_folder_each(folder: Path) -> None:
    assert cli.main(["compile", "specs/dunlin/dunlin.amp.yaml", "specs/curlew/curlew.amp.yaml", "-o", "all"]) == 0
    assert {p.name for p in (folder / "all").iterdir() if p.is_dir()} == {"dunlin-manual", "curlew-manual"}


@pytest.mark.parametrize(
    ("arguments", "code"),
    [
        (["check", "nowhere.amp.yaml"], 2),
        (["check"], 2),
        (["frobnicate"], 2),
        (["explain", "HTR-999"], 2),
        (["explain", "HTR-001"], 0),
        (["explain", "overloaded-heater-winding"], 0),
        (["explain", "HTR-007"], 0),
        (["explain"], 0),
        (["solve", "nowhere.amp.yaml"], 2),
        (["show", "nowhere.amp.yaml"], 2),
        (["parts", "12AX7"], 0),
        (["parts", "ez81"], 0),
        (["parts", "ECC83"], 0),
        (["parts", "1N4007"], 0),
        (["parts", "12AX8"], 2),
        (["parts"], 0),
        (["export", "specs/dunlin/dunlin.amp.yaml", "--to", "spice", "--state", "upside-down"], 2),
        (["export", "specs/dunlin/dunlin.amp.yaml", "--to", "spice", "-o", "no/such/folder/x.cir"], 2),
        (["--version"], 0),
    ],
)
def test_exit_codes(folder: Path, capsys: pytest.CaptureFixture[str], arguments: list[str], code: int) -> None:
    assert cli.main(arguments) == code
    assert "Traceback" not in "".join(capsys.readouterr())


def test_a_fault_of_ours_is_exit_code_3(monkeypatch: pytest.MonkeyPatch, folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    def broken(*_: object, **__: object) -> None:
        raise ZeroDivisionError("division by zero")

    monkeypatch.setattr("humdinger.compile.judged", broken)
    assert cli.main(["check", "specs/dunlin/dunlin.amp.yaml"]) == 3
    captured = capsys.readouterr()
    assert "a fault of the compiler" in captured.err
    assert "Traceback" not in captured.err


@pytest.mark.parametrize("shell", ["bash", "zsh", "fish"])
def test_completion_knows_every_command(shell: str, capsys: pytest.CaptureFixture[str]) -> None:
    assert cli.main(["completion", shell]) == 0
    out = capsys.readouterr().out
    for command in ("check", "show", "solve", "export", "compile", "explain", "parts", "completion"):
        assert command in out


@pytest.mark.skipif(shutil.which("bash") is None, reason="no bash on this machine")
def test_bash_completion_completes(folder: Path) -> None:
    import subprocess
    import sys

    ours = [sys.executable, "-m", "humdinger.cli", "completion", "bash"]
    script = subprocess.run(ours, capture_output=True, text=True, check=True, env={"PYTHONPATH": str(ROOT / "compiler")}).stdout
    ask = "COMP_WORDS=(humdinger so); COMP_CWORD=1; _humdinger; echo ${COMPREPLY[@]}\n"
    ask += "COMP_WORDS=(humdinger check --format ''); COMP_CWORD=3; _humdinger; echo ${COMPREPLY[@]}\n"
    out = subprocess.run(["bash", "-c", script + ask], capture_output=True, text=True, check=True).stdout.split("\n")
    assert out[0] == "solve"
    assert out[1].split() == ["text", "short", "json"]

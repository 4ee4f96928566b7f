"""`humdinger compile`: several specs in several processes, what it says while it works, the lock file, the cache, the browser."""

from __future__ import annotations

import io
import os
import shutil
import signal
import subprocess
import sys
import time
import webbrowser
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from humdinger import batch, cli
from humdinger.batch import Job, Outcome, outcomes
from support.amps import changed, demo_text
from support.front import ROOT

DUNLIN, CURLEW, HERON = (f"specs/{name}/{name}.amp.yaml" for name in ("dunlin", "curlew", "heron"))


@pytest.fixture
def folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    shutil.copytree(ROOT / "specs_demo", tmp_path / "specs")
    monkeypatch.chdir(tmp_path)
    return tmp_path


def contents(folder: Path) -> dict[str, bytes]:
    return {str(p.relative_to(folder)): p.read_bytes() for p in folder.rglob("*") if p.is_file()}


def quiet(number: int, name: str) -> None:
    del number, name


# -- several specs -----------------------------------------------------------------------------------------------------
def test_processes_give_what_one_gives_in_the_order_of_the_line(folder: Path, capfd: pytest.CaptureFixture[str]) -> None:
    line = ["compile", HERON, "nowhere.amp.yaml", DUNLIN, CURLEW]
    assert cli.main([*line, "-o", "one"]) == 2
    one = capfd.readouterr()
    assert cli.main([*line, "-o", "two", "--jobs", "3"]) == 2
    two = capfd.readouterr()
    assert two.out.replace("two/", "one/") == one.out
    assert two.err == one.err
    assert "nowhere.amp.yaml" in one.err
    written = [row.split(":")[0] for row in one.out.splitlines() if " files in " in row]
    assert written == [HERON, DUNLIN, CURLEW]
    assert contents(folder / "one") == contents(folder / "two")
    assert {p.name for p in (folder / "one").iterdir()} == {"heron-manual", "dunlin-manual", "curlew-manual"}


def crooked(job: Job, step: Callable[[str], None]) -> Outcome:
    """Stands for a compile: what happens is in the spec's name."""
    step("working")
    if job.spec == "dies":
        os.kill(os.getpid(), signal.SIGKILL)
    if job.spec == "waits":
        time.sleep(60)
    return Outcome(0, f"{job.spec}\n")


@pytest.mark.skipif(not hasattr(os, "fork"), reason="this system cannot fork")
def test_a_process_that_dies_costs_its_spec_only(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(batch, "outcome", crooked)
    monkeypatch.setattr(batch, "_load", lambda: None)
    names = ["a", "dies", "b", "dies", "c", "d"]
    heard: list[tuple[int, str]] = []
    found = list(outcomes([Job(name, "") for name in names], 2, lambda number, name: heard.append((number, name))))
    assert [o.said.strip() for o in found] == ["a", "", "b", "", "c", "d"]
    assert [o.code for o in found] == [0, 3, 0, 3, 0, 0]
    assert "dies: the process that compiled it was ended" in found[1].complained
    assert (0, "working") in heard


@pytest.mark.skipif(not hasattr(os, "fork"), reason="this system cannot fork")
def test_an_interrupt_ends_every_process(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(batch, "outcome", crooked)
    monkeypatch.setattr(batch, "_load", lambda: None)
    people: list[Any] = []
    hire = batch._Team.hire

    def watched(self: Any) -> None:
        hire(self)
        people.extend(self.people.values())

    monkeypatch.setattr(batch._Team, "hire", watched)

    def stop(number: int, name: str) -> None:
        raise KeyboardInterrupt

    start = time.monotonic()
    with pytest.raises(KeyboardInterrupt):
        list(outcomes([Job("waits", ""), Job("waits", "")], 2, stop))
    assert time.monotonic() - start < 30
    assert people
    assert not any(person.is_alive() for person in people)


@pytest.mark.parametrize("jobs", ["1", "2"])
@pytest.mark.skipif(os.name != "posix", reason="signals of a Unix system")
def test_control_c_is_clean(folder: Path, jobs: str) -> None:
    command = [sys.executable, "-m", "humdinger.cli", "compile", HERON, DUNLIN, CURLEW, "-o", "out", "--jobs", jobs, "--cache", "off"]
    environment = {**os.environ, "PYTHONPATH": str(ROOT / "compiler")}
    running = subprocess.Popen(
        command, cwd=folder, env=environment, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True, start_new_session=True
    )
    assert running.stdout is not None
    running.stdout.readline()  # the first has been compiled
    os.killpg(running.pid, signal.SIGINT)
    _, said = running.communicate(timeout=60)
    assert running.returncode == 130, said
    assert said.count("interrupted") == 1
    assert "Traceback" not in said
    with pytest.raises(ProcessLookupError):
        os.killpg(running.pid, 0)  # nobody of them is left
    for manual in (folder / "out").iterdir():
        assert manual.name.endswith("-manual"), "nothing half done is left"
        assert (manual / "index.html").is_file()


def test_two_specs_that_would_write_one_folder_are_refused(folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    shutil.copytree(folder / "specs", folder / "more")
    assert cli.main(["compile", DUNLIN, "more/dunlin/dunlin.amp.yaml", "-o", "out"]) == 2
    assert "would both be written" in capsys.readouterr().err
    assert not (folder / "out").exists()


def test_a_fault_of_ours_stops_no_other_spec(folder: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> None:
    real = batch.compiled

    def broken(world: Any, path: str, *rest: Any, **named: Any) -> Any:
        if path == DUNLIN:
            raise ZeroDivisionError("division by zero")
        return real(world, path, *rest, **named)

    monkeypatch.setattr(batch, "compiled", broken)
    assert cli.main(["compile", DUNLIN, CURLEW]) == 3
    said = capsys.readouterr()
    assert "a fault of the compiler" in said.err
    assert "Traceback" not in said.err
    assert (folder / "curlew-manual" / "index.html").is_file()
    monkeypatch.setenv("HUMDINGER_DEBUG", "1")
    assert cli.main(["compile", DUNLIN]) == 3
    assert "Traceback" in capsys.readouterr().err


@pytest.mark.parametrize("jobs", ["0", "-1", "65", "two", "9" * 5000])
def test_odd_numbers_of_jobs_are_misuse(folder: Path, capsys: pytest.CaptureFixture[str], jobs: str) -> None:
    assert cli.main(["compile", DUNLIN, "--jobs", jobs]) == 2
    assert "--jobs" in capsys.readouterr().err


# -- what it says ------------------------------------------------------------------------------------------------------
class Terminal(io.StringIO):
    def isatty(self) -> bool:
        return True


def test_progress_is_one_line_after_a_second_and_goes_away() -> None:
    now = [0.0]
    screen = Terminal()
    progress = cli._Progress(["a.amp.yaml", "b\x1b.amp.yaml"], screen, lambda: now[0])
    progress(0, "reading")
    assert screen.getvalue() == ""
    now[0] = 1.5
    progress(0, "solving")
    progress(1, "x" * 500)
    progress.clear()
    progress.clear()
    shown = screen.getvalue()
    assert "\n" not in shown
    assert shown.startswith("\r\x1b[K1 of 2: a.amp.yaml: solving\r\x1b[K2 of 2: b\\x1b.amp.yaml: x")
    assert shown.endswith("x\r\x1b[K")
    assert max(len(piece) for piece in shown.split("\r\x1b[K")) < 200


def test_where_nobody_watches_there_is_no_progress(folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    quiet_stream = io.StringIO()
    progress = cli._Progress(["a"], quiet_stream, iter([0.0, 9.0]).__next__)
    progress(0, "solving")
    assert quiet_stream.getvalue() == ""
    assert cli.main(["compile", DUNLIN]) == 0
    assert capsys.readouterr().err == ""


def test_every_pass_is_named(folder: Path) -> None:
    heard: list[str] = []
    (ended,) = outcomes([Job(DUNLIN, "out")], 1, lambda number, name: heard.append(name))
    assert ended.code == 0
    wanted = ["reading", "elaborating", "solving", "judging", "composing the pages", "drawing: schematic", "writing the pages"]
    assert [name for name in heard if name in wanted] == wanted


def test_the_closing_line_says_where_and_what_is_open(folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert cli.main(["compile", DUNLIN]) == 0
    last = capsys.readouterr().out.splitlines()[-1]
    assert last.endswith(f"open {Path('dunlin-manual') / 'index.html'}; no finding is open")
    warned = folder / "specs" / "dunlin" / "warned.amp.yaml"
    warned.write_text(
        changed(demo_text("dunlin"), {"waive": "[{rule: RES-001, element: R1, value: 1 W, reason: none, by: M, date: 2026-11-25}]"})
    )
    assert cli.main(["compile", str(warned)]) == 0
    last = capsys.readouterr().out.splitlines()[-1]
    assert "1 finding is open: WVR-" in last


def test_the_browser_is_opened_at_the_first_manual(
    folder: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    seen: list[str] = []
    monkeypatch.setattr(webbrowser, "open", lambda url: seen.append(url) or True)
    assert cli.main(["compile", "nowhere.yaml", DUNLIN, CURLEW, "--open"]) == 2
    assert seen == [(folder / "dunlin-manual" / "index.html").as_uri()]
    assert cli.main(["compile", "nowhere.yaml", "--open"]) == 2
    assert len(seen) == 1
    capsys.readouterr()
    monkeypatch.setattr(webbrowser, "open", lambda url: False)
    assert cli.main(["compile", DUNLIN, "--open"]) == 0
    assert "no browser was found" in capsys.readouterr().err


# -- the lock file -----------------------------------------------------------------------------------------------------
def test_only_compile_writes_the_lock_file(folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    lock = folder / "specs/dunlin/dunlin.lock.yaml"
    lock.unlink()
    for line in (["check"], ["solve"], ["show"], ["export", "--to", "spice"]):
        assert cli.main([line[0], DUNLIN, *line[1:]]) == 0
    assert not lock.exists()
    assert cli.main(["compile", DUNLIN, "--locked"]) == 1
    said = capsys.readouterr()
    assert "error[LCK-003]: there is no lock file" in said.out
    assert not lock.exists()
    assert not (folder / "dunlin-manual").exists()
    assert cli.main(["compile", DUNLIN]) == 0
    assert "41 new" in capsys.readouterr().out
    assert lock.read_bytes() == (ROOT / "specs_demo/dunlin/dunlin.lock.yaml").read_bytes()
    stamp = lock.stat().st_mtime_ns
    assert cli.main(["compile", DUNLIN, "--locked"]) == 0
    assert lock.stat().st_mtime_ns == stamp
    assert {p.name for p in lock.parent.iterdir()} == {"dunlin.amp.yaml", "dunlin.lock.yaml"}


def test_every_command_says_the_same_number(folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    lock = folder / "specs/dunlin/dunlin.lock.yaml"
    lock.write_text(lock.read_text().replace("R12", "R112"))
    assert cli.main(["compile", DUNLIN, "-o", "out"]) == 0
    assert "R112" in (folder / "out" / "data" / "results.json").read_text()
    for line in (["solve"], ["export", "--to", "spice"]):
        capsys.readouterr()
        assert cli.main([line[0], DUNLIN, *line[1:]]) == 0
        assert "R112" in capsys.readouterr().out.upper()


def test_locked_says_what_would_change_and_where(folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    spec = folder / DUNLIN
    lock = folder / "specs/dunlin/dunlin.lock.yaml"
    before = lock.read_bytes()
    spec.write_text(changed(demo_text("dunlin"), {"signal/1/cathode_bypass": "~", "supply/filter/1/bleeder": "220k 3W flameproof"}))
    assert cli.main(["compile", DUNLIN, "--locked"]) == 1
    out = capsys.readouterr().out
    assert "error[LCK-003]" in out
    assert "1 new (R20), 1 retired (C1)" in out
    assert "would be R20" in out
    assert "C1 has no part any more" in out
    assert lock.read_bytes() == before
    assert cli.main(["compile", DUNLIN]) == 0
    assert lock.read_bytes() != before
    assert cli.main(["compile", DUNLIN, "--locked"]) == 0


def test_a_lock_changed_meanwhile_is_not_overwritten(
    folder: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    lock = folder / "specs/dunlin/dunlin.lock.yaml"
    lock.unlink()
    other = "humdinger-lock: 1\nparts: {}\n"
    real = batch.compiled

    def slow(*rest: Any, **named: Any) -> Any:
        found = real(*rest, **named)
        lock.write_text(other)
        return found

    monkeypatch.setattr(batch, "compiled", slow)
    assert cli.main(["compile", DUNLIN]) == 1
    assert "changed by another program meanwhile" in capsys.readouterr().out
    assert lock.read_text() == other


# -- the cache ---------------------------------------------------------------------------------------------------------
def kept(folder: Path) -> set[str]:
    return {p.name for p in folder.rglob("*.json")}


def test_where_drawings_are_kept(folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("XDG_CACHE_HOME", str(folder / "xdg"))
    assert cli.main(["compile", DUNLIN, "--cache", "off"]) == 0
    assert not (folder / "xdg").exists()
    assert cli.main(["compile", DUNLIN]) == 0
    assert kept(folder / "xdg" / "humdinger")
    assert cli.main(["compile", DUNLIN, "--cache", "mine"]) == 0
    assert kept(folder / "mine") == kept(folder / "xdg" / "humdinger")
    monkeypatch.setenv("XDG_CACHE_HOME", "relative")
    monkeypatch.setenv("HOME", str(folder / "home"))
    assert cli.main(["compile", DUNLIN]) == 0
    assert kept(folder / "home" / ".cache" / "humdinger") == kept(folder / "mine")
    assert not (folder / "relative").exists()


def test_a_comment_changes_nothing_that_is_kept(folder: Path) -> None:
    assert cli.main(["compile", DUNLIN, "--cache", "c"]) == 0
    before = kept(folder / "c")
    spec = folder / DUNLIN
    spec.write_text("# a comment\n\n" + spec.read_text().replace("id: first", "id: first  # and another"))
    assert cli.main(["compile", DUNLIN, "--cache", "c"]) == 0
    assert kept(folder / "c") == before
    shutil.rmtree(folder / "c")
    warm = contents(folder / "dunlin-manual")
    assert cli.main(["compile", DUNLIN, "--cache", "off"]) == 0
    assert contents(folder / "dunlin-manual") == warm


CHANGES: dict[str, Callable[[Path], object]] = {
    "a value": lambda f: rewrite(f / DUNLIN, {"signal/1/plate_load": "120k 1W"}),
    "a name": lambda f: rewrite(f / DUNLIN, {"model/name": "Sanderling"}),
    "a note": lambda f: rewrite(f / DUNLIN, {"model/summary": "Another summary"}),
    "a region": lambda f: rewrite(f / DUNLIN, {"region": "ca", "model/market": "ca"}),
    "the style of the house": lambda f: rewrite(f / "specs/shop.yaml", {"style/resistors": "box"}),
    "a number in the lock": lambda f: substitute(f / "specs/dunlin/dunlin.lock.yaml", "R3\n", "R93\n"),
    "a control": lambda f: rewrite(f / DUNLIN, {"controls": "{VOLUME: 8}"}),
}


def rewrite(path: Path, changes: dict[str, str]) -> None:
    path.write_text(changed(path.read_text(), changes))


def substitute(path: Path, old: str, new: str) -> None:
    assert old in path.read_text()
    path.write_text(path.read_text().replace(old, new))


@pytest.mark.parametrize("what", CHANGES)
def test_after_a_change_a_warm_cache_gives_what_a_cold_compile_gives(folder: Path, what: str) -> None:
    cache = str(folder / "c")
    (first,) = outcomes([Job(DUNLIN, "out", cache=cache)], 1, quiet)
    assert first.code == 0, first.said
    before = contents(folder / "out")
    CHANGES[what](folder)
    (warm,) = outcomes([Job(DUNLIN, "out", cache=cache)], 1, quiet)
    (cold,) = outcomes([Job(DUNLIN, "cold")], 1, quiet)
    assert (warm.code, cold.code) == (0, 0), warm.said
    assert contents(folder / "out") == contents(folder / "cold")
    assert contents(folder / "out") != before


def test_spoiled_entries_are_made_again(folder: Path) -> None:
    assert cli.main(["compile", DUNLIN, "--cache", "c"]) == 0
    before, manual = contents(folder / "c"), contents(folder / "dunlin-manual")
    for path in (folder / "c").iterdir():
        path.write_bytes(path.read_bytes().replace(b"svg", b"<script>", 1))
    assert cli.main(["compile", DUNLIN, "--cache", "c"]) == 0
    assert contents(folder / "dunlin-manual") == manual
    assert contents(folder / "c") == before

"""Same input, same bytes: under two hash seeds, in two folders, on two dates, with and without what earlier runs kept."""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
from pathlib import Path

import pytest

from support.front import ROOT

RUN = """
import sys
from datetime import date
from humdinger import cli
from humdinger.source.world import DiskWorld
DiskWorld.today = lambda self: date.fromisoformat(sys.argv[1])
sys.exit(cli.main(sys.argv[2:]))
"""

LAST_BIT = """
import hashlib, sys
from humdinger.compile import solved
from humdinger.source.cache import canonical
from humdinger.source.world import DiskWorld
made = solved(DiskWorld(), sys.argv[1])
print(hashlib.sha256(canonical((made.netlist, made.results))).hexdigest())
"""


def child(folder: Path, seed: str, code: str, *arguments: str) -> str:
    environment = {**os.environ, "PYTHONHASHSEED": seed, "PYTHONPATH": str(ROOT / "compiler"), "OPENBLAS_NUM_THREADS": "1"}
    command = [sys.executable, "-c", code, *arguments]
    done = subprocess.run(command, cwd=folder, env=environment, capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stdout + done.stderr
    return done.stdout


def build(folder: Path, seed: str, date: str, *options: str) -> dict[str, bytes]:
    shutil.copytree(ROOT / "specs_demo", folder / "specs", dirs_exist_ok=True)
    child(folder, seed, RUN, date, "compile", "specs/curlew/curlew.amp.yaml", "-o", "out", *options)
    return {str(p.relative_to(folder / "out")): p.read_bytes() for p in sorted((folder / "out").rglob("*")) if p.is_file()}


def test_two_seeds_folders_and_dates_give_the_same_bytes(tmp_path: Path) -> None:
    (tmp_path / "one").mkdir()
    (tmp_path / "elsewhere" / "two").mkdir(parents=True)
    first = build(tmp_path / "one", "1", "2026-11-25", "--cache", "off")
    assert first == build(tmp_path / "elsewhere" / "two", "2024", "2031-02-01", "--cache", str(tmp_path / "kept"))
    kept = {p.name: p.read_bytes() for p in (tmp_path / "kept").iterdir()}
    assert kept
    assert first == build(tmp_path / "one", "3", "2026-11-25", "--cache", str(tmp_path / "kept"))
    assert {p.name: p.read_bytes() for p in (tmp_path / "kept").iterdir()} == kept, "what one run keeps another must find"


@pytest.mark.parametrize("name", ["dunlin", "curlew", "heron"])
def test_numbers_are_the_same_to_the_last_bit(name: str) -> None:
    spec = str(ROOT / "specs_demo" / name / f"{name}.amp.yaml")
    assert len({child(ROOT, seed, LAST_BIT, spec) for seed in ("0", "1", "2")}) == 1

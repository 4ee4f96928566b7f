"""Same input, same bytes: under two hash seeds, in two folders."""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
from pathlib import Path

from support.front import ROOT


def build(folder: Path, seed: str) -> dict[str, bytes]:
    shutil.copytree(ROOT / "specs_demo", folder / "specs")
    environment = {**os.environ, "PYTHONHASHSEED": seed, "PYTHONPATH": str(ROOT / "compiler")}
    command = [sys.executable, "-m", "humdinger.cli", "compile", "specs/curlew/curlew.amp.yaml", "-o", "out"]
    done = subprocess.run(command, cwd=folder, env=environment, capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stdout + done.stderr
    return {str(p.relative_to(folder / "out")): p.read_bytes() for p in sorted((folder / "out").rglob("*")) if p.is_file()}


def test_two_seeds_and_two_folders_give_the_same_bytes(tmp_path: Path) -> None:
    (tmp_path / "one").mkdir()
    (tmp_path / "elsewhere" / "two").mkdir(parents=True)
    assert build(tmp_path / "one", "1") == build(tmp_path / "elsewhere" / "two", "2024")

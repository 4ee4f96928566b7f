"""kill -9 at random moments (fixed seeds): the folder is the old manual or the new one, complete, and the next compile works."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path

import pytest

from support.front import ROOT

pytestmark = pytest.mark.skipif(not hasattr(os, "fork"), reason="this system cannot fork")


def seen(what: str, folder: Path, count: int) -> dict[str, int]:
    command = [sys.executable, str(ROOT / "tests" / "support" / "killed.py"), what, str(folder), str(count), "20261125"]
    environment = {**os.environ, "PYTHONPATH": str(ROOT / "compiler"), "OPENBLAS_NUM_THREADS": "1"}
    done = subprocess.run(command, capture_output=True, text=True, env=environment, check=False)
    assert done.returncode == 0, done.stdout + done.stderr
    return json.loads(done.stdout)


def test_a_compile_killed_at_any_moment(tmp_path: Path, deep_count: Callable[[int], int]) -> None:
    count = deep_count(100)
    found = seen("compile", tmp_path, count)
    # how many die in flight hangs on how loaded the machine is; that none leaves half a manual does not
    assert found["killed"] > 0.3 * count, found
    assert found["old"] + found.get("new", 0) == count


@pytest.mark.parametrize("way", ["publish", "renames"])
def test_the_exchange_killed_at_any_moment(tmp_path: Path, deep_count: Callable[[int], int], way: str) -> None:
    count = deep_count(1000)
    found = seen(way, tmp_path, count)
    assert found["killed"] > 0.3 * count, found
    assert found["old"] > 0, found
    assert found["new"] > 0, found

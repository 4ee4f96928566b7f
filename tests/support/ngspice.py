"""ngspice as an outside reference: runs a deck as a process and reads back every number at full precision.

Install it with `apt install ngspice`. Where it is missing the tests that need it are skipped and say so, except in CI (CI=true),
where they fail.
"""

from __future__ import annotations

import os
import shutil
import subprocess
import tempfile
from collections.abc import Mapping
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from numpy.typing import NDArray

TIMEOUT_SECONDS = 240


def require_ngspice() -> str:
    """Path of the program; skips the test where there is none, fails it in CI."""
    found = shutil.which("ngspice")
    if found is None:
        message = "ngspice is not installed (apt install ngspice): the outside reference cannot be asked"
        if os.environ.get("CI", "").lower() == "true":
            pytest.fail(message)
        pytest.skip(message)
    return found


def run_deck(deck: str) -> Mapping[str, NDArray[Any]]:
    """Run a deck and return every vector of its analysis by lower-case name: node voltages without "v()", "frequency", "time".

    A `.op` gives arrays of one value. Raises AssertionError with the program's own words when it fails.
    """
    program = require_ngspice()
    with tempfile.TemporaryDirectory() as folder:
        path, raw = Path(folder, "deck.cir"), Path(folder, "out.raw")
        path.write_text(deck)
        done = subprocess.run(
            [program, "-b", "-r", str(raw), str(path)], capture_output=True, text=True, timeout=TIMEOUT_SECONDS, check=False, cwd=folder
        )
        words = done.stdout + done.stderr
        assert raw.is_file(), f"ngspice wrote nothing:\n{words[-3000:]}"
        assert "Error" not in words, f"ngspice complains:\n{words[-3000:]}"
        return read_raw(raw.read_bytes())


def read_raw(data: bytes) -> Mapping[str, NDArray[Any]]:
    """The vectors of a binary raw file."""
    head, _, body = data.partition(b"Binary:\n")
    lines = head.decode().splitlines()
    fields = dict(line.split(":", 1) for line in lines if ":" in line and not line.startswith("\t"))
    count, points = int(fields["No. Variables"]), int(fields["No. Points"].split()[0])
    first = next(k for k, line in enumerate(lines) if line.startswith("Variables:")) + 1
    names = [line.split()[1].lower() for line in lines[first : first + count]]
    kind = np.complex128 if "complex" in fields["Flags"] else np.float64
    values = np.frombuffer(body, dtype=kind, count=count * points).reshape(points, count)
    return {name[2:-1] if name.startswith("v(") else name: values[:, k] for k, name in enumerate(names)}

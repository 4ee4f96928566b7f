"""Whole specs with the finding that each must draw, written on the line that is to blame."""

from __future__ import annotations

from pathlib import Path

import pytest

from humdinger.diagnostics import Severity
from support.amps import run
from support.corpus import CORPUS, expectations, mismatches
from support.front import PATH

FILES = sorted((CORPUS / "rules").glob("*.amp.yaml"))


@pytest.mark.parametrize("path", FILES, ids=lambda path: path.name)
def test_findings_stand_on_their_lines(path: Path) -> None:
    text = path.read_text(encoding="utf-8")
    expected = expectations(text)
    assert expected, "a corpus file expects a finding"
    beside = path.with_name(path.name.replace(".amp.yaml", ".shop.yaml"))  # a rule about the shop file brings one
    made = run(text, {"shop.yaml": beside.read_text(encoding="utf-8")} if beside.exists() else None)
    wanted = {one.code for one in expected}
    found = [d for d in made.diagnostics if d.severity is not Severity.INFO or d.code in wanted]
    assert mismatches(expected, found, file=PATH) == []

"""Specs that are sound as texts and that elaboration or solving must refuse, each with the finding on the line that is to blame."""

from __future__ import annotations

from pathlib import Path

import pytest

from humdinger.diagnostics import Severity
from support.amps import run
from support.corpus import CORPUS, expectations, mismatches
from support.front import PATH

FILES = sorted((CORPUS / "circuit").glob("*.amp.yaml"))


@pytest.mark.parametrize("path", FILES, ids=lambda path: path.name.removesuffix(".amp.yaml"))
def test_what_no_amp_can_be_is_refused_on_its_line(path: Path) -> None:
    text = path.read_text(encoding="utf-8")
    expected = expectations(text)
    assert any(one.severity == "error" for one in expected), "a corpus file expects an error"
    made = run(text)
    assert made.findings is None
    assert mismatches(expected, [d for d in made.diagnostics if d.severity is not Severity.INFO], file=PATH) == []

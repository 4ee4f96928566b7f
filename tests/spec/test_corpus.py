"""Broken specs: each reports what the comments on its lines say, and nothing else."""

from __future__ import annotations

import re

import pytest

from humdinger.diagnostics import Diagnostic, Label, Severity, Span
from humdinger.spec.explain import PAGES
from support.corpus import CORPUS, Expected, expectations, mismatches
from support.front import PATH, SMALLEST, codes, front

FILES = sorted((CORPUS / "language").glob("*.amp.yaml"))


@pytest.mark.parametrize("path", FILES, ids=lambda path: path.name.removesuffix(".amp.yaml"))
def test_findings(path):
    text = path.read_text(encoding="utf-8")
    expected = expectations(text)
    assert expected, "a corpus file expects at least one finding"
    design, found = front(text)
    assert mismatches(expected, found, file=PATH) == []
    assert (design is None) == any(one.severity == "error" for one in expected)


@pytest.mark.parametrize("path", FILES, ids=lambda path: path.name.removesuffix(".amp.yaml"))
def test_messages_have_the_form_of_messages(path):
    for diagnostic in front(path.read_text(encoding="utf-8"))[1]:
        message = diagnostic.message
        assert "\n" not in message
        assert not message.endswith("."), message
        assert re.match(r"[a-z`'0-9]|V[0-9]|[A-Z]", message), message
        assert sum(label.primary for label in diagnostic.labels) == 1


def test_enough_files_and_every_code_of_the_language_has_one():
    assert len(FILES) >= 60
    seen = {one.code for path in FILES for one in expectations(path.read_text(encoding="utf-8"))}
    assert set(PAGES) <= seen


def test_the_smallest_amp_is_the_base_of_most_and_has_no_finding():
    assert codes(front(SMALLEST.read_text(encoding="utf-8"))[1]) == []


class TestTheReaderOfComments:
    def test_same_line_and_line_above(self):
        text = 'a: 1  # error: [SCH-002] "a" # warning: [NAM-018]\n# danger: [FUS-001] "fuse"\n# a remark\nb: 2\n'
        assert expectations(text) == [
            Expected(1, "error", "SCH-002", "a"),
            Expected(1, "warning", "NAM-018", ""),
            Expected(4, "danger", "FUS-001", "fuse"),
        ]

    def test_anywhere(self):
        assert expectations('# anywhere error: [PSU-001] "asked"\na: 1\n') == [Expected(0, "error", "PSU-001", "asked")]

    def test_missing_unexpected_and_misplaced_all_fail(self):
        span = Span("f", 3, 1, 3, 2)
        found = Diagnostic("SCH-002", "unknown-key", Severity.ERROR, "`a` is not a key", (Label(span, "", True),))
        assert mismatches([Expected(3, "error", "SCH-002", "`a`")], [found]) == []
        assert len(mismatches([], [found])) == 1
        assert len(mismatches([Expected(3, "error", "SCH-002", "")], [])) == 1
        for wrong in (
            Expected(4, "error", "SCH-002", ""),
            Expected(3, "warning", "SCH-002", ""),
            Expected(3, "error", "SCH-001", ""),
            Expected(3, "error", "SCH-002", "`b`"),
        ):
            assert len(mismatches([wrong], [found])) == 2
        assert len(mismatches([Expected(3, "error", "SCH-002", "")], [found, found])) == 1

"""The short and the JSON renderer, sorting, counts and exit codes."""

from __future__ import annotations

import json
from types import MappingProxyType

from humdinger.diagnostics import (
    CodePage,
    Diagnostic,
    Help,
    Label,
    Severity,
    Span,
    count,
    exit_code,
    render_json,
    render_short,
    sort_diagnostics,
)


def make(code: str, severity: Severity, file: str = "a", line: int = 1, **rest: object) -> Diagnostic:
    return Diagnostic(code, "rule", severity, "message", (Label(Span(file, line, 3, line, 5), "here", primary=True),), **rest)  # type: ignore[arg-type]


def test_short() -> None:
    found = [make("A-001", Severity.ERROR), Diagnostic("B-001", "rule", Severity.DANGER, "no \x1b place")]
    assert render_short(found) == "a:1:3: error[A-001] message\n-: danger[B-001] no \\x1b place\n"


def test_json_has_stable_keys_and_no_odd_numbers() -> None:
    facts = MappingProxyType({"z": float("inf"), "amps": 0.1 + 0.2, "a": "text", "volts": -0.0})
    found = make("A-001", Severity.ERROR, notes=("n\x1b",), helps=(Help("h", "p", "r"),), facts=facts, element="R7")
    text = render_json([found])
    assert text.isascii()
    assert json.loads(text) == {
        "format": 1,
        "counts": {"danger": 0, "error": 1, "warning": 0, "info": 0},
        "diagnostics": [
            {
                "code": "A-001",
                "rule": "rule",
                "severity": "error",
                "message": "message",
                "element": "R7",
                "file": "a",
                "line": 1,
                "column": 3,
                "labels": [{"primary": True, "text": "here", "file": "a", "line": 1, "column": 3, "end_line": 1, "end_column": 5}],
                "notes": ["n\x1b"],
                "helps": [{"text": "h", "path": "p", "replacement": "r"}],
                "facts": {"a": "text", "amps": 0.3, "volts": 0.0, "z": None},
            }
        ],
    }
    assert list(json.loads(text)["diagnostics"][0]["facts"]) == ["a", "amps", "volts", "z"]
    assert "-0.0" not in text


def test_sorted_by_file_line_severity_code_and_repeats_go() -> None:
    nowhere = Diagnostic("Z-001", "rule", Severity.INFO, "message")
    order = [
        nowhere,
        make("A-002", Severity.DANGER, line=2),
        make("B-001", Severity.ERROR, line=2),
        make("B-002", Severity.ERROR, line=2),
        make("A-001", Severity.INFO, line=2),
        make("A-001", Severity.ERROR, line=10),
        make("A-001", Severity.DANGER, file="b", line=1),
    ]
    assert sort_diagnostics([*reversed(order), order[3]]) == tuple(order)


def test_counts_and_exit_codes() -> None:
    danger, error, warning, info = (make("A-001", severity) for severity in Severity)
    assert count([danger, error, error, warning, info]).sentence() == "1 danger, 2 errors, 1 warning, 1 info"
    assert count([]).sentence() == "no findings"
    assert exit_code([]) == exit_code([info]) == exit_code([warning]) == 0
    assert exit_code([error]) == exit_code([danger, info]) == 1
    assert exit_code([warning], strict=True) == 1
    assert exit_code([info], strict=True) == 0
    assert count([danger]).blocks
    assert not count([warning, info]).blocks


def test_a_code_page_as_text() -> None:
    page = CodePage("A-001", "some-rule", "What.", "Why.", "a: 1\nb: 2\n", "a: 1\n")
    assert page.text() == ("A-001: some-rule\n\nWhat.\n\nWhy.\n\nExample (bad)\n    a: 1\n    b: 2\n\nExample (good)\n    a: 1\n")

"""Whatever happens to a good spec, the language passes answer with diagnostics that point into it, and never raise."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest
from jsonschema import Draft202012Validator

from humdinger import cli
from humdinger.diagnostics import Diagnostic
from humdinger.source.build import build_tree
from humdinger.source.tree import Mapping
from humdinger.spec.grammar import grammar
from humdinger.spec.validate import _Check
from support.amps import run
from support.corpus import CORPUS
from support.front import PATH, front
from support.mutate import ODD, Run, mutants, survive
from support.plain import plain_view


def whole(text: str) -> tuple[object | None, tuple[Diagnostic, ...]]:
    """The whole of `humdinger check`: findings, or None where an error stands."""
    made = run(text, propose=True)
    return (None if made.blocking else made.findings), made.diagnostics


RUNS: dict[str, Run] = {"load to resolve": front, "load to judge": whole}
"""Functions under test by name."""


@pytest.mark.parametrize("name", RUNS)
def test_mutants_are_answered(name, deep_count: Callable[[int], int]):
    survive(RUNS[name], deep_count(2000))


def test_the_command_line_never_says_that_it_is_at_fault(
    deep_count: Callable[[int], int], tmp_path: Path, capsys: pytest.CaptureFixture[str]
):
    """Exit code 3 is a fault of ours: no spec may bring it about."""
    for number, text in mutants(deep_count(200), "command"):
        path = tmp_path / "amp.amp.yaml"
        path.write_bytes(text.encode("utf-8", "surrogatepass"))
        code = cli.main(["check", str(path), "--format", "short"])
        said = "".join(capsys.readouterr())
        assert code in (0, 1, 2), f"case {number}: exit code {code}\n{said}\n{text}"
        assert "Traceback" not in said


def test_a_mutant_is_the_same_in_every_run():
    assert list(mutants(30)) == list(mutants(30))
    assert len({text for _, text in mutants(60)}) > 50


@pytest.mark.parametrize("odd", range(len(ODD)))
def test_odd_texts_everywhere_at_once(odd):
    """The same odd text in place of every value of a spec."""
    import yaml

    from support.front import SMALLEST

    def fill(node):
        if isinstance(node, dict):
            return {key: fill(below) for key, below in node.items()}
        return [fill(item) for item in node] if isinstance(node, list) else ODD[odd]

    text = yaml.safe_dump(fill(yaml.load(SMALLEST.read_text(encoding="utf-8"), yaml.BaseLoader)), sort_keys=False, allow_unicode=True)
    design, found = front(text)
    assert design is None
    assert found


def disagreement(text: str, validator: Draft202012Validator) -> str:
    """How the compiler and the jsonschema package differ over a text; "" when they agree or there is no tree."""
    node, _ = build_tree(PATH, text)
    if not isinstance(node, Mapping):
        return ""
    guide = grammar("amp")
    check = _Check(guide)
    check.mapping(node, guide.root, "", node.span)
    errors = [f"{error.json_path}: {error.message[:80]}" for error in validator.iter_errors(plain_view(node, guide.root, guide))]
    if bool(errors) != bool(check.found):
        return f"jsonschema: {errors}; compiler: {[d.message for d in check.found]}"
    return ""


def test_the_jsonschema_package_gives_the_same_verdict(deep_count: Callable[[int], int]):
    validator = Draft202012Validator(grammar("amp").root)
    texts = [path.read_text(encoding="utf-8") for path in sorted((CORPUS / "language").glob("*.amp.yaml"))]
    texts += [text for _, text in mutants(deep_count(600), "verdict")]
    for text in texts:
        assert disagreement(text, validator) == "", text

"""Every stage kind is whole: a module whose docstring a builder would want to read, a schema part, a drawing cell, a demo that uses it."""

from __future__ import annotations

import ast
import json
from pathlib import Path

import pytest

import humdinger.circuit.stages
import humdinger.drawing.cells
from humdinger.circuit.elaborate import SECTION_KINDS, SIGNAL_KINDS, stage_module
from support.amps import demo
from support.demos import NAMES
from support.front import ROOT

STAGES = Path(humdinger.circuit.stages.__path__[0])
CELLS = Path(humdinger.drawing.cells.__path__[0])
KINDS = SIGNAL_KINDS + SECTION_KINDS
ELSEWHERE = {
    "optical-cell",
    "optical-injection",
    "inverter-injection",
    "cathode-follower",
    "effects-loop",
    "feedback-tone",
    "floating-paraphase",
    "interstage-transformer",
    "line-out",
    "master-volume",
    "paraphase",
    "pentode-gain",
    "presence",
    "preamp-cathode-injection",
    "three-knob-tone",
}
"""Kinds that no demo uses yet."""
HEADS = ("What it does", "When to use it", "Formulas", "Limits")


def file_of(kind: str) -> str:
    return kind.replace("-", "_") + ".py"


def test_folder_and_list_agree() -> None:
    assert {p.name for p in STAGES.glob("*.py")} - {"__init__.py"} == {file_of(kind) for kind in KINDS}


@pytest.mark.parametrize("kind", KINDS)
def test_module(kind: str) -> None:
    module = stage_module(kind)
    assert kind == module.KIND
    assert module.SECTION
    document = module.__doc__ or ""
    for head in HEADS:
        assert f"{head}:" in document, f"{kind} does not say: {head}"
    assert ast.get_docstring(ast.parse((STAGES / file_of(kind)).read_text())) == document.strip()


@pytest.mark.parametrize("kind", KINDS)
def test_cell(kind: str) -> None:
    assert (CELLS / file_of(kind)).exists(), f"{kind} has no drawing cell"


@pytest.mark.parametrize("kind", SIGNAL_KINDS)
def test_schema_part(kind: str) -> None:
    schema = json.loads((ROOT / "schemas" / "amp.schema.json").read_text(encoding="utf-8"))
    part = schema["$defs"][f"stage-{kind}"]
    assert part["description"]
    assert part["examples"]
    said = part["properties"]["stage"]["description"]
    assert said == part["description"] or f"`{kind}`" in said, "an editor shows this in the list of kinds: let it say what the kind is"


def test_every_kind_is_used_by_a_demo() -> None:
    used: set[str] = set()
    for name in NAMES:
        netlist = demo(name).netlist
        assert netlist is not None
        used |= {stage.kind for stage in netlist.stages}
    unused = set(KINDS) - used
    # Heron's follower belongs to its injection stage; the kind for `signal:` is exercised by tests/circuit, as the others of this list are.
    assert unused <= ELSEWHERE, unused

"""The formulas of the design notes: the text of each is evaluated anew from its own numbers, and held against the solver."""

from __future__ import annotations

import math
import re

import pytest

from humdinger.analysis.results import Worked
from support.manuals import DEMO_NAMES, manual

EXACT = (
    "/bias",
    "/watts",
    "/tail",
    "/foot",
    "/plate",
    "-watts",
    "/volts",
    "/reflected",
    "/winding",
    "/load",
    "/amps",
    "/class-b",
    "/henries",
)
"""What is Ohm's law, a product or a sum: the solver must say the same, but for grid currents and leakage."""

CLOSE = {"/gain": 0.02, "/gain-a": 0.02, "/gain-b": 0.02, "/share": 0.03, "/loss": 0.02, "/treble": 0.06, "/peak": 0.015, "/input": 0.03,
         "/coldest": 0.02, "/hottest": 0.02, "/seconds": 0.08, "/retained": 0.03}  # fmt: skip
"""How far a formula that leaves something out may stand from the solver on the demos; what each leaves out is in its `why`."""

MIXED = ("bright-level/share", "mellow-level/share")
"""Volumes of teal that a mixer loads: 90 kilohm of wiper into 270 k and the other channel's wiper behind another 270 k."""


def worked(name: str) -> tuple[Worked, ...]:
    results = manual(name)[0].results
    assert results is not None
    return results.worked


def evaluated(row: Worked) -> float:
    """The printed formula with the printed symbols, as Python."""
    text = row.formula.replace("·", "*").replace("−", "-").replace("²", "**2").replace("2π", "2*PI").replace("π", "PI")
    text = re.sub(r"√(\d+)", r"sqrt(\1)", text).replace("√", "sqrt")
    names = {f"s{k}_": g.value for k, g in enumerate(row.given)}
    for k in sorted(range(len(row.given)), key=lambda k: -len(row.given[k].symbol)):
        text = re.sub(rf"(?<![\w_]){re.escape(row.given[k].symbol)}(?![\w_])", f"s{k}_", text)
    return eval(text, {"sqrt": math.sqrt, "ln": math.log, "log": math.log10, "PI": math.pi, "__builtins__": {}}, names)


@pytest.mark.parametrize("name", DEMO_NAMES)
def test_the_printed_formula_gives_the_printed_result(name: str) -> None:
    rows = worked(name)
    assert len(rows) > 30
    assert len({row.name for row in rows}) == len(rows)
    for row in rows:
        if row.formula.startswith("|"):
            continue  # a magnitude of complex numbers
        assert evaluated(row) == pytest.approx(row.closed, rel=1e-9), row.name


@pytest.mark.parametrize("name", DEMO_NAMES)
def test_what_must_agree_with_the_solver_does(name: str) -> None:
    for row in worked(name):
        if row.solved is not None and row.name.endswith(EXACT):
            assert row.closed == pytest.approx(row.solved, rel=2e-3), row.name


@pytest.mark.parametrize("name", DEMO_NAMES)
def test_approximations_are_as_close_as_they_claim(name: str) -> None:
    for row in worked(name):
        bound = next((b for end, b in CLOSE.items() if row.name.endswith(end)), None)
        if row.solved is None or bound is None or "without the feedback" in row.why:
            continue
        if row.name in MIXED:
            assert row.closed > 1.1 * row.solved
            continue
        assert row.closed == pytest.approx(row.solved, rel=bound), row.name


@pytest.mark.parametrize("name", DEMO_NAMES)
def test_a_formula_that_misses_the_solver_says_what_it_leaves_out(name: str) -> None:
    for row in worked(name):
        if row.solved is not None and abs(row.closed - row.solved) > 0.005 * abs(row.solved):
            assert row.why, row.name
        assert row.source, row.name
        assert row.formula, row.name


def test_feedback_is_what_the_gain_formula_of_its_stage_misses() -> None:
    """Heron's driver: the formula is the open loop, so its ratio to the solved gain is the feedback factor, two ways of one number."""
    rows = {row.name: row for row in worked("heron")}
    gain, loop = rows["driver/gain"], rows["feedback/loop"]
    assert gain.solved is not None
    assert 20.0 * math.log10(gain.closed / gain.solved) == pytest.approx(loop.closed, abs=0.3)

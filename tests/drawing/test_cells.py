"""Every stage kind has its cell; every optional part is drawn; the drawing, read back by its geometry, is the netlist."""

from __future__ import annotations

import pytest

from humdinger.circuit.elaborate import SECTION_KINDS, SIGNAL_KINDS
from humdinger.drawing.lint import lint
from humdinger.drawing.readback import read_back
from humdinger.drawing.schematic import BEHIND, FIGURES, STACKED, cell
from support.drawn import VARIANTS, VOLTS, drawn, drawn_wide, variant

AMPS = ("pipit", "ruff", "whimbrel")
KINDS = (*SIGNAL_KINDS, *SECTION_KINDS)


@pytest.mark.parametrize("kind", KINDS)
def test_every_stage_kind_has_a_cell_that_says_what_it_draws(kind: str) -> None:
    module = cell(kind)
    assert callable(module.draw)
    assert len(module.__doc__ or "") > 40


def test_every_stage_kind_stands_in_one_figure() -> None:
    placed = [kind for _, _, groups in FIGURES for kinds in groups for kind in kinds] + list(STACKED.values())
    assert sorted(placed) == sorted((*KINDS, BEHIND))


def test_the_variants_use_every_stage_kind() -> None:
    seen = {stage.kind for name in (*AMPS, *VARIANTS) for stage in variant(name).stages}
    assert seen == set(KINDS)


def test_the_variants_use_every_role_a_stage_can_have() -> None:
    """A role that no variant has is a part no test has seen drawn."""
    seen = {(stage.kind, role) for name in (*AMPS, *VARIANTS) for stage in variant(name).stages for role in stage.parts}
    optional = {
        ("input", "grid-stopper"),
        ("common-cathode", "grid-leak"),
        ("common-cathode", "grid-stopper"),
        ("pentode-gain", "cathode-unbypassed"),
        ("pentode-gain", "grid-leak"),
        ("pentode-gain", "grid-stopper"),
        ("cathode-follower", "bias-resistor"),
        ("cathode-follower", "grid-leak"),
        ("long-tailed-pair", "grid-stopper"),
        ("cathode-bias", "bypass"),
        ("cathode-bias", "bypass-b"),
        ("fixed-bias", "fail-safe"),
        ("fixed-bias", "feed-capacitor"),
        ("fixed-bias", "test-resistor-b"),
        ("mains-input", "x-capacitor"),
        ("mains-input", "inrush"),
        ("mains-input", "thermal-fuse"),
        ("rectifier", "plate-resistor"),
        ("rectifier", "plate-resistor-a"),
        ("rectifier", "ht-fuse"),
        ("rectifier", "ht-fuse-a"),
        ("rectifier", "standby"),
        ("filter", "ht-fuse"),
        ("filter", "standby"),
        ("filter", "B2-choke"),
        ("filter", "B2-bleeder"),
        ("heaters", "hum-balance"),
        ("heaters", "divider-bypass"),
        ("heaters", "h2-reference-a"),
        ("heaters", "pilot"),
        ("grounding", "loop-breaker"),
        ("phase-shift-oscillator", "footswitch"),
        ("bias-supply-injection", "bias-resistor"),
    }
    assert optional <= seen


@pytest.mark.parametrize("name", [*AMPS, *VARIANTS])
def test_a_drawing_reads_back_as_its_netlist(name: str) -> None:
    assert read_back(variant(name), drawn(name)) == []
    assert read_back(variant(name), (drawn_wide(name),)) == []


@pytest.mark.parametrize("name", [*AMPS, *VARIANTS])
def test_a_drawing_has_no_fault_a_reader_would_stumble_over(name: str) -> None:
    found = [
        (volts, sheet.name, fault) for volts in VOLTS for sheet in (*drawn(name, volts), drawn_wide(name, volts)) for fault in lint(sheet)
    ]
    assert found == []

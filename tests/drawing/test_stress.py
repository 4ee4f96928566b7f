"""Random designators and values over every circuit: labels as long as a big amp has them, and still no fault.

0 is for these seeds and strings, not a proof. Resistor symbols are of one size in both styles, so the style does not matter here.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping

from humdinger.circuit.netlist import Netlist
from humdinger.compile import elaborated
from humdinger.drawing.lint import lint
from humdinger.drawing.readback import read_back
from humdinger.drawing.schematic import sheets
from support.chains import chain
from support.drawn import VARIANTS, guessed_volts, variant
from support.front import PATH, ROOT, world
from support.signal_amps import netlist_of
from support.stress import stressed

CASES = 400
CHAINS = 500
NAMES = ("pipit", "ruff", "whimbrel", *VARIANTS)


def faults(netlist: Netlist, volts: Mapping[str, float]) -> list[tuple[str, object]]:
    """What lint and the reading back find on the section sheets and on the wide one."""
    sections, wide = sheets(netlist, volts)
    found: list[tuple[str, object]] = [(sheet.name, fault) for sheet in (*sections, wide) for fault in lint(sheet)]
    return found + [("read back", fault) for fault in (*read_back(netlist, sections), *read_back(netlist, (wide,)))]


def test_random_labels_leave_no_fault(deep_count: Callable[[int], int]) -> None:
    found = []
    for seed in range(deep_count(CASES)):
        name = NAMES[seed % len(NAMES)]
        netlist, volts = stressed(variant(name), seed)
        found += [(seed, name, *fault) for fault in faults(netlist, volts)]
    assert found == []


def test_random_chains_of_stages_leave_no_fault(deep_count: Callable[[int], int]) -> None:
    """Amps of 3 to 10 stages in any order, without voltages and with long ones."""
    found = []
    for seed in range(deep_count(CHAINS)):
        netlist = netlist_of(chain(seed))
        for volts in ("none", "long") if seed % 2 else ("short",):
            found += [(seed, volts, *fault) for fault in faults(netlist, guessed_volts(netlist, volts))]
    assert found == []


def test_whatever_elaborates_can_be_drawn(deep_count: Callable[[int], int]) -> None:
    """Every spec of the corpus that gets as far as a netlist, faulty amps included; without --deep every tenth of them."""
    paths = sorted((ROOT / "tests" / "corpus").rglob("*.amp.yaml"))
    step = len(paths) // deep_count(len(paths))
    found = []
    for path in paths[::step]:
        netlist = elaborated(world(path.read_text(encoding="utf-8")), PATH).netlist
        if netlist is None:
            continue
        found += [(path.name, *fault) for fault in faults(netlist, {})]
    assert found == []

"""The phase-shift oscillator against closed forms, printed golden values and an eigenvalue solution of the whole circuit.

Golden values: the oscillator table of the rule catalogue (computed there, "LFO golden values") and of the page of check values, section 4
(29 and sqrt 6 from memory of the textbook, confirmed there with a chain matrix; the forms with source resistance derived there).
"""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest

from humdinger.analysis.operating import conditions, solve_system
from humdinger.analysis.oscillator import Loop, Tube
from humdinger.analysis.smallsignal import linearise
from humdinger.analysis.system import build_system
from humdinger.circuit.netlist import Pot
from support.netlists import Bench, triode_section

GM = 1e-3


def ladder(source: float, ohms: list[float], farads: list[float], *, pot: float | None = None) -> tuple[Loop, float]:
    """A ladder behind a plate node of `source` ohms to ground, the tube's own plate resistance counted in; returns the loop and source.

    Its tube stands for the current alone: the plate resistance is already in the network, so the tube's own is left very high.
    """
    bench = Bench()
    bench.resistor("R0", "plate", "0", max(source, 1e-3))
    before = "plate"
    for k, (r, c) in enumerate(zip(ohms, farads, strict=True)):
        node = "grid" if k == len(ohms) - 1 else f"n{k}"
        bench.capacitor(f"C{k}", before, node, c)
        foot = "foot" if pot is not None and k == 1 else "0"
        bench.resistor(f"R{k + 1}", node, foot, r)
        before = node
    if pot is not None:
        bench.pot("SPEED", "0", "0", "foot", pot)
    netlist = bench.netlist(input_net="", output_net="plate")
    netlist = replace(netlist, rectifiers=())
    found = linearise(solve_system(build_system(netlist, conditions(netlist)[0])))
    rows = found.system.index
    closed = found.Y.copy()
    closed[rows["plate"], rows["grid"]] += GM
    bench.triode("V1", "plate", "grid", "0", triode_section("a"))
    speed = next((p for p in netlist.parts if isinstance(p, Pot)), None)
    return Loop(replace(found, Y=closed), bench.sections[0], Tube(GM, 1e15, source), speed), source


def runs_at(loop: Loop, source: float, position: float = 0.5) -> tuple[float, float]:
    """Hertz where the phase is 0, and the gain the ladder needs there: gm * source over |L|."""
    hertz = float(loop.running_hertz([position])[0])
    return hertz, GM * source / abs(complex(loop.gain(np.array(2j * np.pi * hertz), np.array(position))))


def closed_form(r: float, c: float, k: float) -> tuple[float, float]:
    return 1.0 / (2.0 * math.pi * r * c * math.sqrt(6.0 + 4.0 * k)), 29.0 + 23.0 * k + 4.0 * k * k


@pytest.mark.parametrize(
    ("k", "hertz", "gain"),
    [(0.0, 6.497, 29.00), (0.05, 6.392, 30.16), (0.1, 6.291, 31.34), (0.2, 6.103, 33.76), (0.5, 5.627, 41.5), (1.0, 5.033, 56.0)],
)
def test_equal_sections_of_a_megohm_and_ten_nanofarads(k: float, hertz: float, gain: float) -> None:
    # k = 0 needs a source that is small but not 0: 1 ohm is k = 1e-6
    source = max(k * 1e6, 1.0)
    found = runs_at(*ladder(source, [1e6] * 3, [10e-9] * 3))
    assert found[0] == pytest.approx(closed_form(1e6, 10e-9, source / 1e6)[0], rel=1e-7)
    assert found[1] == pytest.approx(closed_form(1e6, 10e-9, source / 1e6)[1], rel=1e-7)
    # as printed: half a unit of the last place
    assert found[0] == pytest.approx(hertz, abs=0.0006)
    assert found[1] == pytest.approx(gain, abs=0.05 if k >= 0.5 else 0.006)


@pytest.mark.parametrize(("source", "hertz", "gain"), [(1.0, 29.53, 29.00), (38e3, 27.97, 33.09), (100e3, 25.87, 40.28)])
def test_equal_sections_of_220k(source: float, hertz: float, gain: float) -> None:
    found = runs_at(*ladder(source, [220e3] * 3, [10e-9] * 3))
    assert found[0] == pytest.approx(hertz, abs=0.006)
    assert found[1] == pytest.approx(gain, abs=0.006)


def test_four_equal_sections() -> None:
    # f = sqrt(7/10)/(2 pi R C), gain 18.39: check values, section 4 (derived there)
    hertz, gain = runs_at(*ladder(1.0, [1e6] * 4, [10e-9] * 4))
    assert hertz == pytest.approx(0.8367 / (2 * math.pi * 1e6 * 10e-9), rel=1e-4)
    assert gain == pytest.approx(18.39, abs=0.006)


@pytest.mark.parametrize(("pot", "hertz", "gain"), [(0.0, 9.19, 46.2), (500e3, 7.08, 30.3), (1e6, 5.97, 30.8), (3e6, 4.07, 43.9)])
def test_a_speed_pot_in_the_middle_section(pot: float, hertz: float, gain: float) -> None:
    """Rule catalogue: 220k over a 12AX7 of 62.5k, sections 1M / 220k + pot / 1M, 10 nF; three figures printed.

    The pot at full resistance (fully counter-clockwise) stands for each printed row; 0 is its other end, where 1e-4 of the track is left.
    """
    source = 1.0 / (1.0 / 220e3 + 1.0 / 62.5e3)
    track = pot or 1e3
    loop, _ = ladder(source, [1e6, 220e3, 1e6], [10e-9] * 3, pot=track)
    found = runs_at(loop, source, 0.0 if pot else 1.0)
    assert found[0] == pytest.approx(hertz, abs=0.006)
    assert found[1] == pytest.approx(gain, abs=0.06)


def test_the_pot_is_the_same_as_a_resistor() -> None:
    """A change of rank one on the modes of the middle position against a ladder built with that resistor."""
    source = 48.7e3
    loop, _ = ladder(source, [1e6, 220e3, 1e6], [10e-9] * 3, pot=1e6)
    for position in (0.0, 0.25, 0.9):
        fixed, _ = ladder(source, [1e6, 220e3 + (1.0 - position) * 1e6, 1e6], [10e-9] * 3)
        # at position 0 the pot keeps 1e-4 of its track at the far end
        assert runs_at(loop, source, position) == pytest.approx(runs_at(fixed, source), rel=1e-4 if position == 0.0 else 1e-7)

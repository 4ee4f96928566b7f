"""Textbook formulas for tube stages, each built as a circuit of exactly linear tubes and solved by the engine.

Rows and their sources: reference/checks.md sections 1, 4 and 9 (R: read in the page named there, M: from memory of a textbook, D: derived
by arithmetic). The engine has no closed forms, so agreement tests its matrices; tolerances are the printed digits unless said otherwise.
"""

from __future__ import annotations

import cmath
import math

import numpy as np
import pytest

from humdinger.analysis.noise import thermal_noise_volts, triode_noise_ohms
from humdinger.analysis.operating import solve_system
from humdinger.analysis.smallsignal import SmallSignal, stage_gain
from humdinger.analysis.system import build_system
from humdinger.parts.library import Library
from support.driven import impedance, linear, nominal, stiff
from support.netlists import Bench, triode_section


def gain(found: SmallSignal, end: str, hertz: float = 1000.0, start: str = "in") -> complex:
    return complex(found.transfer(start, [end], [hertz])[0, 0])


def common_cathode(load: float, cathode: float, bypass: float = 0.0, grid_leak: float = 0.0) -> Bench:
    b = Bench()
    b.resistor("R1", "in", "0", 1e6)
    b.resistor("R2", "plate", "0", load)
    b.resistor("R3", "cathode", "0", cathode)
    if bypass:
        b.capacitor("C1", "cathode", "0", bypass)
    if grid_leak:
        b.capacitor("C2", "plate", "next", 1.0)
        b.resistor("R4", "next", "0", grid_leak)
    b.triode("V1", "plate", "in", "cathode")
    return b


@pytest.mark.parametrize(
    ("mu", "rp", "load", "leak", "printed", "digit"),
    [
        (100, 80e3, 220e3, 470e3, 65.2, 0.05),  # 1.1 R, example 4.1
        (60, 10.9e3, 3e3, 0, 12.9, 0.06),  # 1.2 R, example 4.2: 12.95 printed as 12.9
        (17, 7.7e3, 3e3, 0, 4.77, 0.005),
        (41, 4.8e3, 3e3, 0, 15.8, 0.05),
        (100, 80e3, 3e3, 0, 3.61, 0.005),
        (100, 62.5e3, 100e3, 0, 61.5, 0.05),  # 1.4 D
    ],
)
def test_bypassed_gain(mu: float, rp: float, load: float, leak: float, printed: float, digit: float) -> None:
    amp = common_cathode(load, 1.0e3, bypass=1e3, grid_leak=leak)
    assert abs(gain(linear(amp.netlist(), {"V1a": (mu, rp)}), "plate")) == pytest.approx(printed, abs=digit)


def test_unbypassed_gain() -> None:
    # 1.3: formula R (example 4.3), number D; 1.4 D
    first = linear(common_cathode(220e3, 3.3e3, grid_leak=470e3).netlist(), {"V1a": (100, 80e3)})
    assert abs(gain(first, "plate")) == pytest.approx(26.6, abs=0.05)
    second = linear(common_cathode(100e3, 1.5e3).netlist(), {"V1a": (100, 62.5e3)})
    assert abs(gain(second, "plate")) == pytest.approx(31.85, abs=0.005)
    bypassed = linear(common_cathode(100e3, 1.5e3, bypass=1e3).netlist(), {"V1a": (100, 62.5e3)})
    assert 20.0 * math.log10(abs(gain(bypassed, "plate") / gain(second, "plate"))) == pytest.approx(5.72, abs=0.005)


@pytest.mark.parametrize(("bypass", "zero", "pole"), [(25e-6, 4.24, 8.20), (1e-6, 106.1, 205.0)])
def test_cathode_bypass_shelf(bypass: float, zero: float, pole: float) -> None:
    # 1.5 D, form M: zero 1/(2 pi Rk Ck), pole with Rk parallel (rp+RL)/(mu+1)
    found = linear(common_cathode(100e3, 1.5e3, bypass=bypass).netlist(), {"V1a": (100, 62.5e3)})
    poles = found.poles()
    assert len(poles) == 1
    assert -poles[0].real / (2.0 * math.pi) == pytest.approx(pole, rel=0.001)
    hertz = 0.5 * (zero + pole)
    top = gain(found, "plate", 1e6)
    assert gain(found, "plate", hertz) / top == pytest.approx((1j * hertz + zero) / (1j * hertz + pole), rel=0.001)


@pytest.mark.parametrize(
    ("tube", "volts", "grid", "printed"),
    [("EL84", 250, 7.3, 136.4), ("6V6GT", 250, 12.5, 252.5), ("6AQ5", 250, 12.5, 252.5), ("6L6GC", 250, 14, 181.8)],
)
def test_cathode_bias_resistor(tube: str, volts: float, grid: float, printed: float) -> None:
    # 1.6 D: bias volts over the handbook's plate and screen current. The library's fits hold those currents within 5 % (their own figures).
    # The resistor closes a loop that takes back gm Rk of an error, so the volts hold within 3 %.
    found = Library().tube(tube)
    assert found is not None
    b = Bench()
    b.resistor("R1", "in", "0", 1e6)
    b.resistor("R2", "cathode", "0", printed)
    b.pentode("V1", "plate", "screen", "in", "cathode", found.sections[0])
    system = build_system(b.netlist(), nominal(b.netlist()))
    solved = solve_system(stiff(system, {"plate": volts + grid, "screen": volts + grid}))
    assert solved.convergence.converged
    assert solved.volts("cathode") == pytest.approx(grid, rel=0.03)


def test_cathode_follower_output_impedance() -> None:
    # 1.7 D: 12AU7, rp 7.7 k, mu 17, large Rk: rp/(mu+1)
    b = Bench()
    b.resistor("R1", "in", "0", 1e6)
    b.resistor("R2", "cathode", "0", 1e9)
    b.triode("V1", "0", "in", "cathode")
    assert abs(impedance(linear(b.netlist(), {"V1a": (17, 7.7e3)}), "cathode")) == pytest.approx(428, abs=0.5)


CATHODYNES = [(20, 7.7e3, 22e3, 0.8949, 345, 21.0e3, 1.33e3), (100, 62.5e3, 100e3, 0.9744, 609, None, None)]


@pytest.mark.parametrize(("mu", "rp", "load", "each", "balanced", "plate", "cathode"), CATHODYNES)
def test_cathodyne(mu: float, rp: float, load: float, each: float, balanced: float, plate: float | None, cathode: float | None) -> None:
    # 1.8, 1.9, 1.10: M, D
    b = Bench()
    b.resistor("R1", "in", "0", 1e6)
    b.resistor("R2", "plate", "0", load)
    b.resistor("R3", "cathode", "0", load)
    b.triode("V1", "plate", "in", "cathode")
    found = linear(b.netlist(), {"V1a": (mu, rp)})
    assert gain(found, "plate") == pytest.approx(-each, abs=5e-5)
    assert gain(found, "cathode") == pytest.approx(each, abs=5e-5)
    # driven the opposite way at both outputs, each looks like half of what stands between them
    assert 0.5 * abs(impedance(found, "plate", back="cathode")) == pytest.approx(balanced, abs=0.5)
    if plate is not None and cathode is not None:
        assert abs(impedance(found, "plate")) == pytest.approx(plate, rel=0.003)
        assert abs(impedance(found, "cathode")) == pytest.approx(cathode, rel=0.003)


def long_tailed_pair(first: float, second: float, tail: float) -> SmallSignal:
    b = Bench()
    b.resistor("R1", "in", "0", 1e6)
    b.resistor("R2", "plate-a", "0", first)
    b.resistor("R3", "plate-b", "0", second)
    b.resistor("R4", "cathode", "0", tail)
    b.resistor("R5", "grid-b", "0", 1e-3)
    b.triode("V1", "plate-a", "in", "cathode")
    b.triode("V2", "plate-b", "grid-b", "cathode")
    return linear(b.netlist(), {"V1a": (100, 62.5e3), "V2a": (100, 62.5e3)})


@pytest.mark.parametrize(
    ("first", "second", "tail", "a", "b"),
    [
        (100e3, 100e3, 10e3, -33.06, 28.48),
        (82e3, 100e3, 10e3, -28.82, 30.28),
        (100e3, 100e3, 47e3, -31.29, 30.25),
        (100e3, 100e3, 1e12, -30.77, 30.77),
    ],
)
def test_long_tailed_pair(first: float, second: float, tail: float, a: float, b: float) -> None:
    # 1.11 D (standard small-signal algebra)
    found = long_tailed_pair(first, second, tail)
    assert gain(found, "plate-a") == pytest.approx(a, abs=0.006)
    assert gain(found, "plate-b") == pytest.approx(b, abs=0.006)


def test_unequal_loads_are_wrong_for_a_long_tail() -> None:
    # 1.11 D: 82 k / 100 k with 47 k: ratio 0.848
    found = long_tailed_pair(82e3, 100e3, 47e3)
    assert abs(gain(found, "plate-a") / gain(found, "plate-b")) == pytest.approx(0.848, abs=0.0005)


@pytest.mark.parametrize(("first", "tail", "second"), [(82e3, 10e3, 94.8e3), (100e3, 47e3, 103.5e3)])
def test_balanced_long_tailed_pair(first: float, tail: float, second: float) -> None:
    # 1.12 D: R2 = R1 (rp+k)/(k-R1), k = (mu+1) Rt, printed to 0.1 k
    found = long_tailed_pair(first, second, tail)
    assert abs(gain(found, "plate-a") / gain(found, "plate-b")) == pytest.approx(1.0, abs=0.001)


@pytest.mark.parametrize(("farads", "leak", "corner"), [(22e-9, 1e6, 6.97), (100e-9, 220e3, 6.16)])
def test_coupling_corner(farads: float, leak: float, corner: float) -> None:
    # 1.13 D: 1/(2 pi C (Rg + rp parallel RL)), 62.5 k and 100 k
    b = common_cathode(100e3, 1e-3)
    b.capacitor("C5", "plate", "next", farads)
    b.resistor("R5", "next", "0", leak)
    found = linear(b.netlist(), {"V1a": (100, 62.5e3)})
    assert -found.poles()[0].real / (2.0 * math.pi) == pytest.approx(corner, abs=0.006)
    assert abs(gain(found, "next", corner) / gain(found, "next", 1e5)) == pytest.approx(math.sqrt(0.5), rel=0.001)


def test_miller_capacitance() -> None:
    # 1.14 D: 1.6 + 1.7 (1 + 54) = 95.1 pF, with 68 k in front 24.6 kHz
    b = Bench()
    b.resistor("R1", "in", "grid", 68e3)
    b.resistor("R2", "plate", "0", 62.5e3 * 54.0 / 46.0)
    b.triode("V1", "plate", "grid", "0", triode_section("a", (1.7e-12, 1.6e-12, 0.0)))
    found = linear(b.netlist(), {"V1a": (100, 62.5e3)})
    assert abs(gain(found, "plate", 10.0, "grid")) == pytest.approx(54.0, rel=1e-6)
    hertz = 100.0
    into = 1.0 / impedance(found, "grid", hertz) - 1.0 / (68e3 + 1.0)
    assert into.imag / (2.0 * math.pi * hertz) * 1e12 == pytest.approx(95.1, abs=0.05)
    corner = 24.6e3
    # the formula leaves out the time constant of the plate's 33.7 k with 1.7 pF, 0.9 % of the other: that much of a corner is 0.45 % here
    assert abs(gain(found, "plate", corner) / gain(found, "plate", 10.0)) == pytest.approx(math.sqrt(0.5), rel=0.005)


@pytest.mark.parametrize(("ratio", "primary"), [(25.0, 5.0e3), (31.62, 8.0e3)])
def test_reflected_impedance(ratio: float, primary: float) -> None:
    # 1.15 D: n² times 8 ohm; 1 kH and no losses, so that only the ratio is left
    b = Bench()
    b.resistor("R1", "in", "0", 1e9)
    pins = {"P": "in", "B": "0", "0": "0", "8": "out"}
    b.output_transformer("T1", pins, {"8": (8.0, ratio, 0.0)}, primary_resistance=0.0, henries=1e3, leakage_henries=0.0)
    b.speaker("LS1", "out", "0", 8.0)
    found = linear(b.netlist(), {})
    seen = 1.0 / (1.0 / impedance(found, "in") - 1.0)  # the source at the input is 1 ohm
    assert seen.real == pytest.approx(primary, rel=0.002)
    assert gain(found, "out") == pytest.approx(1.0 / ratio, rel=0.002)


def ladder(source: float, sections: int = 3, *, low_pass: bool = False) -> SmallSignal:
    b = Bench()
    b.resistor("R0", "in", "n0", max(source, 1e-6))
    for k in range(sections):
        series, shunt = (b.resistor, b.capacitor) if low_pass else (b.capacitor, b.resistor)
        ohms, farads = 220e3, 10e-9
        series(f"S{k}", f"n{k}", f"n{k + 1}", ohms if low_pass else farads)
        shunt(f"P{k}", f"n{k + 1}", "0", farads if low_pass else ohms)
    return linear(b.netlist(output_net=f"n{sections}"), {})


@pytest.mark.parametrize(
    ("source", "sections", "low_pass", "hertz", "needed"),
    [
        (0.0, 3, False, 29.53, 29.00),
        (38e3, 3, False, 27.97, 33.09),
        (100e3, 3, False, 25.87, 40.28),
        (0.0, 3, True, 177.2, 29.00),
        (0.0, 4, False, math.sqrt(0.7) / (2.0 * math.pi * 220e3 * 10e-9), 18.39),
    ],
)
def test_phase_shift_ladder(source: float, sections: int, low_pass: bool, hertz: float, needed: float) -> None:
    # section 4: M, D (chain matrix); 220 k and 10 nF. At the printed frequency (4 digits) the phase is within 0.05 degree of a half turn.
    found = gain(ladder(source, sections, low_pass=low_pass), f"n{sections}", hertz)
    assert abs(abs(math.degrees(cmath.phase(found))) - 180.0) < 0.05
    assert 1.0 / abs(found) == pytest.approx(needed, rel=0.001)


def test_thermal_noise() -> None:
    # 9.1 R (k is exact): 1 k at 300 K 4.07 nV; 9.2, 9.3 D
    assert thermal_noise_volts(1e3, 1.0, 300.0) == pytest.approx(4.07e-9, abs=0.005e-9)
    assert thermal_noise_volts(68e3, 20e3, 295.0) == pytest.approx(4.71e-6, abs=0.005e-6)
    assert thermal_noise_volts(1e6, 20e3, 290.0) == pytest.approx(17.9e-6, abs=0.05e-6)
    assert thermal_noise_volts(1e6, 10e3, 300.0) == pytest.approx(12.87e-6, abs=0.005e-6)
    # 9.4: a page prints 1.28e-8 V for 1 k and 1 kHz at 300 K, a factor of ten low
    assert thermal_noise_volts(1e3, 1e3, 300.0) == pytest.approx(1.287e-7, abs=0.0005e-7)
    # 9.1: the rule 0.13 sqrt R nV per root hertz is within 2 % at room temperature
    assert thermal_noise_volts(1e4) == pytest.approx(0.13e-9 * 100.0, rel=0.02)


def test_triode_noise_resistance() -> None:
    # 9.5 M, D: 2.5/gm, 12AX7 at 1.6 mS: 1.56 k
    assert triode_noise_ohms(1.6e-3) == pytest.approx(1.56e3, abs=5.0)


def test_decibels_of_a_stage() -> None:
    # 9.6 D: a gain of 2 is 6.0206 dB
    assert stage_gain("s", "a", "b", -2.0 + 0j).gain_db == pytest.approx(6.0206, abs=5e-5)
    assert stage_gain("s", "a", "b", 0j).gain_db == -math.inf
    assert np.isfinite(stage_gain("s", "a", "b", 1e-9j).phase_degrees)

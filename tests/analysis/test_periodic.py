"""The periodic steady state against small signals, ngspice, itself with finer steps, and the balance of power."""

from __future__ import annotations

from collections.abc import Callable
from functools import cache

import numpy as np
import pytest

from humdinger.analysis.devices.softplus import Floats
from humdinger.analysis.large_signal import HARMONICS
from humdinger.analysis.operating import Solved, solve_system
from humdinger.analysis.periodic import GAMMA, Periodic, Source, periodic, sine, stage_times
from humdinger.analysis.smallsignal import SOURCE_OHMS, linearise
from humdinger.analysis.system import build_system
from support.amps import demo
from support.driven import nominal
from support.ngspice import run_deck
from support.spice import last_period, settled_deck

DEMOS = ("dunlin", "curlew", "heron")
HERTZ = 1000.0
TIGHT = "reltol=1e-6 abstol=1e-12 vntol=1e-7 gmin=1e-15 method=trap"


@cache
def rest(name: str) -> Solved:
    netlist = demo(name).netlist
    assert netlist is not None
    return solve_system(build_system(netlist, nominal(netlist)))


@cache
def driven(name: str, peak: float, steps: int = 128) -> Periodic:
    """The demo under a sine, approached in steps of a third."""
    at = rest(name)
    found = None
    for level in [*(0.01 * 1.3**k for k in range(60) if 0.01 * 1.3**k < peak), peak]:
        source = Source(at.system.netlist.input_net, SOURCE_OHMS, sine(1.0 / HERTZ, steps, level))
        found = periodic(at.system, 1.0 / HERTZ, source, at.u if found is None else found.u, steps)
        assert found.converged, level
    assert found is not None
    return found


def figures(wave: np.ndarray) -> tuple[float, float, float]:
    """Fundamental peak, mean square, distortion."""
    lines = 2.0 * np.abs(np.fft.rfft(wave)) / len(wave)
    return float(lines[1]), float(np.var(wave)), float(np.sqrt((lines[2 : HARMONICS + 1] ** 2).sum()) / lines[1])


def test_the_stages_of_a_step() -> None:
    """SDIRK of order two: stages at gamma and 1 with weights 1 - gamma and gamma; order conditions sum b = 1, sum b c = 1/2."""
    assert stage_times(1.0, 2) == pytest.approx([0.5 * GAMMA, 0.5, 0.5 + 0.5 * GAMMA, 1.0])
    assert pytest.approx(0.5) == (1.0 - GAMMA) * GAMMA + GAMMA * 1.0


@pytest.mark.parametrize("name", DEMOS)
def test_without_a_source_the_amp_is_at_rest(name: str) -> None:
    at = rest(name)
    found = periodic(at.system, 1.0 / HERTZ, None, at.u, 16)
    assert found.converged
    assert np.abs(found.x - at.x).max() < 1e-6 * np.abs(at.x).max()


@pytest.mark.parametrize("name", DEMOS)
def test_a_whisper_is_the_small_signal(name: str) -> None:
    """10 µV at the input: every net moves as the linearised amp says, size and phase within 2e-3 of it (N = 128, error of order 1/N²)."""
    found = driven(name, 1e-5)
    at = rest(name)
    nets = [net for net in at.system.nets if net != at.system.netlist.input_net]
    exact = linearise(at).transfer(at.system.netlist.input_net, nets, [HERTZ])[0]
    lines = 2.0 * np.fft.rfft(found.x, axis=0)[1] / found.steps
    # the first instant is one step after the start, and a sine is -j times a cosine
    turned = lines * 1j * np.exp(-2j * np.pi / found.steps) / 1e-5
    ours = np.array([turned[at.system.index[net]] for net in nets])
    large = np.abs(exact) > 1e-3
    assert np.abs(ours[large] / exact[large] - 1.0).max() < 2e-3


@pytest.mark.parametrize("name", DEMOS)
def test_the_error_falls_with_the_square_of_the_step(name: str) -> None:
    """Fundamental of a clipped wave with 64, 128 and 256 steps: the difference falls to a quarter, within a factor of two."""
    coarse, middle, fine = (figures(driven(name, 0.15, n).volts(rest(name).system.netlist.output_net))[0] for n in (64, 128, 256))
    assert abs(middle / fine - 1.0) < 3e-4
    assert 2.0 < abs(coarse - middle) / abs(middle - fine) < 8.0


@pytest.mark.parametrize("name", DEMOS)
def test_power_in_is_power_out(name: str) -> None:
    """Over a period: what source and rectifiers give is what resistors, coils and tubes take, within 0.1 % (256 steps, clipped)."""
    found = driven(name, 0.3, 256)
    system, x = found.system, found.x
    flat = system.elements

    def volts(net: str) -> np.ndarray:
        row = system.row(net)
        return np.zeros(len(x)) if row is None else x[:, row]

    taken = sum(float((np.square(volts(r.a) - volts(r.b)) / r.value).mean()) for r in flat.resistors)
    for coil in (*flat.inductors, *(coil for t in flat.transformers for coil in t.coils)):
        taken += float((x[:, system.branch[coil.name]] ** 2).mean()) * coil.ohms
    ports = (found.currents() * (x @ system.A.T)).mean(axis=0)
    given = -float(ports[ports < 0.0].sum())
    taken += float(ports[ports > 0.0].sum())
    assert found.source is not None
    into = found.source.volts[1::2]
    given += float((into * (into - volts(found.source.net)) / found.source.ohms).mean())
    taken += float((np.square(into - volts(found.source.net)) / found.source.ohms).mean())
    assert given == pytest.approx(taken, rel=1e-3)


@pytest.mark.parametrize(("name", "peak"), [("dunlin", 0.04), ("dunlin", 0.2), ("curlew", 0.1)])
def test_against_ngspice(name: str, peak: float) -> None:
    held_against_ngspice(name, peak, 40)


MORE = [("dunlin", 0.1, 80), ("curlew", 0.04, 80), ("curlew", 0.2, 80), ("heron", 0.05, 250), ("heron", 0.1, 250), ("heron", 0.15, 250)]
"""Heron's feedback carries what the start of ngspice leaves at the speaker back to the grids: it needs longer to forget."""


def test_more_levels_against_ngspice(deep_count: Callable[[int], int]) -> None:
    for name, peak, periods in MORE[: deep_count(len(MORE))]:
        held_against_ngspice(name, peak, periods)


def held_against_ngspice(name: str, peak: float, periods: int) -> None:
    """A transient of ngspice that starts from our period stays on it.

    Fundamental within 5e-4, power within 2e-3, distortion within 3 %. B+ nodes, cathodes and grids drift by less than 20 mV or 1e-4: bias
    shift and sag are settled, not on their way.
    """
    found = driven(name, peak, 256)
    system = found.system
    netlist = system.netlist
    deck, names = settled_deck(found, periods, 4e-6, TIGHT)
    theirs = run_deck(deck)

    def last(net: str) -> Floats:
        return last_period(theirs["time"], theirs[names.node(net)], found.seconds)

    ours, reference = figures(found.volts(netlist.output_net)), figures(last(netlist.output_net))
    assert ours[0] == pytest.approx(reference[0], rel=5e-4)
    assert ours[1] == pytest.approx(reference[1], rel=2e-3)
    assert ours[2] == pytest.approx(reference[2], rel=0.03)
    sections = [netlist.by_section[ref] for ref in netlist.power_sections]
    for net in {*netlist.b_plus, *(s.cathode for s in sections if s.cathode in system.index), *(s.grid for s in sections)}:
        assert float(last(net).mean()) == pytest.approx(float(found.volts(net).mean()), rel=1e-4, abs=0.02), net

"""The drive sweep of the demos: what must be true of any amp, and closed forms where there are some."""

from __future__ import annotations

import math
from functools import cache

import numpy as np
import pytest

from humdinger.analysis.large_signal import LOUDEST, QUIETEST, _flatness
from humdinger.analysis.periodic import STEPS
from humdinger.analysis.results import LargeSignal
from humdinger.analysis.smallsignal import small_signal
from humdinger.analysis.solve import solve
from humdinger.analysis.study import with_controls
from support.amps import demo

DEMOS = ("dunlin", "curlew", "heron")


@cache
def sweep(name: str) -> LargeSignal:
    netlist = demo(name).netlist
    assert netlist is not None
    results, _ = solve(netlist)
    assert results is not None
    assert results.large_signal is not None
    return results.large_signal


@pytest.mark.parametrize("name", DEMOS)
def test_the_sweep_is_whole(name: str) -> None:
    found = sweep(name)
    results = demo(name).results
    assert results is not None
    assert results.sensitivity is not None
    assert found.complete
    assert found.load_ohms == 8.0
    assert found.controls["VOLUME"] == 1.0
    ends = [level.input_volts_rms / results.sensitivity.volts_rms_full for level in (found.levels[0], found.levels[-1])]
    assert ends == pytest.approx([QUIETEST, LOUDEST])
    watts = [level.watts for level in found.levels]
    assert watts == sorted(watts)
    for level in found.levels:
        assert level.watts == pytest.approx(level.output_volts_rms**2 / 8.0)


@pytest.mark.parametrize("name", DEMOS)
def test_the_quietest_level_has_the_gain_of_the_small_signal(name: str) -> None:
    """A tenth of full drive: within 2 % of the computed response at 1 kHz, every volume up (what the sensitivity is made of)."""
    found = sweep(name)
    results = demo(name).results
    assert results is not None
    netlist = demo(name).netlist
    assert netlist is not None
    volumes = {control: found.controls[control] for control in found.controls}
    condition = with_controls(netlist, results.nominal.condition, **volumes)
    gain = abs(small_signal(netlist, condition).transfer(netlist.input_net, [netlist.output_net], [found.hertz])[0, 0])
    quiet = found.levels[0]
    assert quiet.output_volts_rms / quiet.input_volts_rms == pytest.approx(gain, rel=0.02)


@pytest.mark.parametrize("name", DEMOS)
def test_the_points_lie_in_order(name: str) -> None:
    found = sweep(name)
    points = {point.name: point.level for point in found.points}
    assert points["half"].input_volts_rms == pytest.approx(0.5 * points["clipping"].input_volts_rms)
    assert points["distortion-0.05"].input_volts_rms < points["distortion-0.1"].input_volts_rms
    assert points["distortion-0.05"].distortion == pytest.approx(0.05, rel=0.1)
    assert points["distortion-0.1"].distortion == pytest.approx(0.10, rel=0.1)
    for point in found.points:
        wave = np.array(point.wave)
        assert len(wave) == STEPS
        assert wave.std() == pytest.approx(point.level.output_volts_rms, rel=2e-3)


@pytest.mark.parametrize("name", DEMOS)
def test_clipping_lies_below_the_closed_form_of_a_stiff_supply(name: str) -> None:
    """The clean power of RDH's formula has no sag: a B+ that sags stays below it, by about the square of the sag."""
    found = sweep(name)
    results = demo(name).results
    assert results is not None
    assert results.speaker_watts is not None
    clipping = found.point("clipping")
    assert clipping is not None
    sag = clipping.level.mean_volts["B1"] / found.idle_volts["B1"]
    assert 0.65 * sag**2 < clipping.level.watts / results.speaker_watts < 1.1


@pytest.mark.parametrize("name", DEMOS)
def test_dissipation_is_what_the_supply_gives_less_what_leaves(name: str) -> None:
    """Plate and screen of each output tube: mean volts times mean amps less what the signal carries away, so never above the product."""
    for level in sweep(name).levels:
        supply = max(level.mean_volts[net] for net in level.mean_volts)
        for ref, watts in level.plate_watts.items():
            assert 0.0 < watts < supply * level.plate_amps[ref] * 1.3
            assert 0.0 < level.screen_watts[ref] < supply * level.screen_amps[ref] * 1.01


def test_flatness_of_known_waves() -> None:
    """1 for a sine; one cut at half its height is near its crest for 1 - 2 asin(0.475)/pi of a half period; a square for all of it."""
    angle = 2.0 * math.pi * np.arange(512) / 512
    sine_share = math.acos(0.95) / math.pi
    assert _flatness(np.sin(angle)) == pytest.approx(1.0, rel=0.01)
    cut = np.clip(np.sin(angle), -0.5, 0.5)
    assert _flatness(cut) == pytest.approx((0.5 - math.asin(0.475) / math.pi) / sine_share, rel=0.02)
    assert _flatness(np.sign(np.sin(angle + 0.01))) == pytest.approx(0.5 / sine_share, rel=0.02)

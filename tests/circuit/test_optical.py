"""The optical tremolo: law of the cell, what is built, depth from its two resistances, ngspice, drawing."""

from __future__ import annotations

import math
from functools import cache

import numpy as np
import pytest

from humdinger.analysis.devices.photocell import PhotocellParameters, photocell_siemens
from humdinger.circuit.netlist import Coupler
from humdinger.compile import Compiled
from support.amps import above_info, changed, run
from support.drawn import VOLTS
from support.kinds import agrees_with_ngspice, draws_clean
from support.signal_amps import codes_of, ends, netlist_of, part, text_of
from support.tremolos import optical, two_tones, wave_of, with_cell


@cache
def made(arrangement: str) -> Compiled:
    return run(optical(arrangement))


def law(**changes: float) -> PhotocellParameters:
    values = {"dark_siemens": 1e-6, "bright_siemens": 5e-4, "at_amps": 1e-3, "gamma": 0.8} | changes
    return PhotocellParameters(**{name: np.array(value) for name, value in values.items()})


@pytest.mark.parametrize("amps", [1e-5, 1e-4, 1e-3, 5e-3])
def test_the_law_is_the_power_law_of_cadmium_cells(amps: float):
    """R = bright (i/at)^-gamma beside the dark ohms (from memory; textbook form). 3 %: the softening at FLOOR."""
    siemens, _ = photocell_siemens(np.array(amps), law())
    assert float(siemens) == pytest.approx(1e-6 + 5e-4 * (amps / 1e-3) ** 0.8, rel=0.03)


def test_the_ends_of_the_law_are_the_figures_of_the_spec():
    assert float(photocell_siemens(np.array(0.0), law())[0]) == 1e-6
    assert float(photocell_siemens(np.array(-1e-3), law())[0]) == 1e-6
    assert float(photocell_siemens(np.array(1e-3), law())[0]) == pytest.approx(1e-6 + 5e-4, rel=1e-12)


def test_the_slope_is_that_of_differences():
    for amps in (2e-6, 1e-4, 2e-3):
        step = 1e-5 * amps
        up, down = (float(photocell_siemens(np.array(amps + s), law())[0]) for s in (step, -step))
        assert float(photocell_siemens(np.array(amps), law())[1]) == pytest.approx((up - down) / (2.0 * step), rel=1e-6)


def test_only_light_joins_the_cell_and_its_diode():
    netlist = netlist_of(optical("shunt"))
    cell = part(netlist, "pulse", "cell")
    assert isinstance(cell, Coupler)
    assert cell.ref == "OC1"
    assert [pin.net for pin in cell.pins] == ["pulse.light", "0", "pulse.out", "0"]
    assert ends(netlist, "pulse", "resistor") == ("level.out", "pulse.out")
    assert ends(netlist, "injection", "cathode-resistor") == ("injection.bias", "pulse.light")
    series = netlist_of(optical("series"))
    assert [pin.net for pin in part(series, "pulse", "cell").pins] == ["pulse.light", "0", "level.out", "pulse.out"]
    assert ends(series, "pulse", "resistor") == ("pulse.out", "0")


@pytest.mark.parametrize("arrangement", ["series", "shunt"])
def test_against_ngspice(arrangement: str):
    agrees_with_ngspice(netlist_of(optical(arrangement)))


def test_ohms_at_rest_are_the_law_at_the_followers_current():
    """The diode's current at rest is what the follower's cathode resistor carries (Ohm)."""
    results = made("series").results
    assert results is not None
    assert results.tremolo is not None
    assert results.tremolo.running is not None
    cell = results.tremolo.running.cell
    assert cell is not None
    volts = results.nominal.volts
    assert cell.rest_amps == pytest.approx((volts["injection.bias"] - volts["pulse.light"]) / 47e3, rel=1e-4)
    assert cell.rest_ohms == pytest.approx(1.0 / float(photocell_siemens(np.array(cell.rest_amps), law())[0]), rel=1e-9)
    assert cell.bright_ohms < cell.rest_ohms < cell.dark_ohms <= 1e6


def test_depth_is_that_of_the_two_resistances():
    """Series: share = Rp/(Rp + Rc + Rs), Rp the 220k parallel to the next grid's capacitance at 1 kHz, Rs the volume control's source
    resistance. Loudest over softest from the two ohms (standard algebra). 0.5 dB: the volume control and Miller capacitance."""
    results = made("series").results
    assert results is not None
    assert results.tremolo is not None
    run_ = results.tremolo.running
    assert run_ is not None
    cell = run_.cell
    assert cell is not None
    k = 10.0 ** (-1.0)  # an audio track at half a turn has a tenth below the wiper
    source = 1e6 * k * (1.0 - k)
    bright, dark = (220e3 / (220e3 + ohms + source) for ohms in (cell.bright_ohms, cell.dark_ohms))
    assert run_.depth_db == pytest.approx(20.0 * math.log10(bright / dark), abs=0.5)


def test_depth_against_two_tones():
    """ngspice, the wave and a millivolt of 1 kHz together for four turns. 3 % at the loudest; the softest is a sharp dip that the window of
    16 ms fills: 10 %."""
    netlist = netlist_of(optical("series"))
    wave = wave_of(netlist)
    assert wave.running is not None
    loudest, softest = two_tones(netlist, wave)
    assert wave.running.loudest_gain == pytest.approx(loudest, rel=0.03)
    assert wave.running.softest_gain == pytest.approx(softest, rel=0.10)


@pytest.mark.parametrize(
    ("key", "value", "found"),
    [("light_current", "2 mA", "TRM-015"), ("fall", "20 ms", ""), ("fall", "100 ms", "")],
)
def test_ratings_of_the_cell(key: str, value: str, found: str):
    """The diode carries 2.4 mA at its brightest. A slow cell is information."""
    compiled = run(changed(optical(), {f"signal/4/cell/{key}": value}))
    assert above_info(compiled) == ([found] if found else [])
    assert ("TRM-015" in [d.code for d in compiled.diagnostics]) == (value != "20 ms")


def test_what_the_spec_does_not_say_is_not_judged():
    text = changed(optical(), {"signal/4/cell": "{dark: 1M, bright: 2k, at: 1 mA}"})
    findings = run(text).findings
    assert findings is not None
    assert sum(one.outcome.state == "not evaluated" for one in findings.judged if one.rule.code == "TRM-015") == 3


@pytest.mark.parametrize(
    ("changes", "code"),
    [
        ({"modulation/injection/stage": "level"}, ["NAM-024", "NAM-025"]),
        ({"modulation/injection": "{point: output-grids, through: 2M2}"}, ["NAM-025"]),
        ({"modulation/injection/stage": "pulsee"}, ["NAM-007", "NAM-025"]),
    ],
)
def test_a_cell_and_its_light_belong_together(changes: dict[str, str], code: list[str]):
    assert [c for c in codes_of(changed(optical(), changes)) if c.startswith("NAM")] == code


@pytest.mark.parametrize("volts", VOLTS)
@pytest.mark.parametrize("arrangement", ["series", "shunt"])
def test_the_drawing_reads_back_and_is_clean(arrangement: str, volts: str):
    draws_clean(netlist_of(with_cell(text_of("ruff"), 4, arrangement)), volts)


def test_the_amp_compiles_without_a_warning():
    assert above_info(made("series")) == []

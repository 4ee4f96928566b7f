"""The tremolo oscillator in a whole amp: start, rate, injection, and what a cathode resistor leaves."""

from __future__ import annotations

import math
import re
from dataclasses import replace

import numpy as np
import pytest

from humdinger.analysis.devices.pentode import PentodeParameters, pentode_currents
from humdinger.analysis.operating import solve_system
from humdinger.analysis.results import Condition, Tremolo
from humdinger.analysis.smallsignal import SmallSignal, linearise
from humdinger.analysis.spice import spice_deck
from humdinger.analysis.study import Study, study
from humdinger.analysis.system import build_system
from humdinger.analysis.tremolo import retained, tremolo
from humdinger.circuit.netlist import Netlist, StageInstance
from support.demos import demo
from support.netlists import NOWHERE, Bench, triode_section
from support.ngspice import run_deck

WITH_TREMOLO = ("curlew", "heron")


def solved(name: str) -> tuple[Study, Tremolo]:
    found = study(demo(name))
    wave = tremolo(found)
    assert wave is not None
    return found, wave


def running(found: Study, wave: Tremolo, position: float) -> tuple[Condition, SmallSignal]:
    """The amp as the tremolo was solved: on, intensity up, the speed control at a position."""
    stage = found.netlist.stages_of("phase-shift-oscillator")[0]
    intensity = found.netlist.by_ref[stage.parts["intensity"]].label
    base = found.nominal.condition
    condition = replace(base, tremolo=True, controls=dict(base.controls) | {intensity: 1.0, wave.speed_control: position})
    return condition, linearise(solve_system(build_system(found.netlist, condition)))


@pytest.mark.parametrize("name", WITH_TREMOLO)
@pytest.mark.parametrize("position", [0.0, 0.5, 1.0])
def test_the_pole_of_the_loop_is_one_of_the_whole_amp(name: str, position: float) -> None:
    found, wave = solved(name)
    point = next(p for p in wave.points if p.position == position)
    poles = running(found, wave, position)[1].poles()
    closest = min(poles, key=lambda p: abs(p - point.pole))
    # round-off of an eigenvalue solution with time constants from picoseconds to seconds
    assert closest == pytest.approx(point.pole, rel=1e-6)
    assert point.starts == any(p.real > 0.0 for p in poles)


@pytest.mark.parametrize("name", WITH_TREMOLO)
def test_the_speed_control_spans_a_range_in_order(name: str) -> None:
    _, wave = solved(name)
    rates = [p.hertz for p in wave.points]
    assert len(rates) == 11
    assert rates == sorted(rates)
    assert (wave.slow_hertz, wave.fast_hertz) == (rates[0], rates[-1])
    for p in wave.points:
        assert p.margin == pytest.approx(p.gain_available_aged / p.gain_required)
        assert p.gain_available_aged < p.gain_available


@pytest.mark.parametrize("name", WITH_TREMOLO)
def test_loss_of_the_injection_is_that_of_the_network(name: str) -> None:
    found, wave = solved(name)
    stage = found.netlist.stages_of("phase-shift-oscillator")[0]
    amp = running(found, wave, 0.0)[1]
    grids = [found.netlist.by_section[ref].grid for ref in found.netlist.power_sections]
    # with the plate held by a source the oscillator's own tube has no say
    shares = np.abs(amp.transfer(stage.ports["plate"], grids, [wave.slow_hertz]))[0]
    assert wave.injection_loss_db == pytest.approx(20.0 * math.log10(float(np.mean(shares))), abs=1e-6)
    assert wave.plate_peak_volts is not None
    assert wave.available_peak_volts == pytest.approx(wave.plate_peak_volts * float(np.mean(shares)))


# Retained share at 4 Hz, TRM-006, two decimals. The transconductance behind them is not printed there: the 25 uF row of the EL84 pair
# gives 11.5 mS for plate and screen of one tube, the 100 uF row of the 6V6 pair 4.1 mS, and the other rows follow.
RETAINED = [
    (130.0, 11.5e-3, [(25e-6, 0.25), (100e-6, 0.27), (470e-6, 0.43), (1000e-6, 0.67), (2200e-6, 0.89)]),
    (250.0, 4.1e-3, [(100e-6, 0.38), (470e-6, 0.73), (1000e-6, 0.91)]),
]


@pytest.mark.parametrize(("ohms", "siemens", "rows"), RETAINED)
def test_retained_share_of_the_table(ohms: float, siemens: float, rows: list[tuple[float, float]]) -> None:
    for farads, share in rows:
        assert retained(2.0 * siemens, ohms, farads, 4.0) == pytest.approx(share, abs=0.012)


def test_retained_share_by_formula_and_by_network() -> None:
    found, wave = solved("curlew")
    for ref in found.netlist.power_sections:
        assert 0.3 < wave.retained[ref] < 1.0
        # the formula takes plate and screen node as still; the network lets the B+ nodes move
        assert wave.retained_solved[ref] == pytest.approx(wave.retained[ref], abs=0.05)
    _, fixed = solved("heron")
    assert all(share > 0.97 for share in fixed.retained.values())


@pytest.mark.parametrize("name", ["curlew", "heron"])
def test_needed_volts_move_the_tube_by_6_db(name: str) -> None:
    """The law at both crests: its transconductance differs by a factor of two; at cut-off a hundredth of the idle current is left."""
    found, wave = solved(name)
    ref = found.netlist.power_sections[0]
    point, model = found.nominal.sections[ref], found.netlist.by_section[ref].section.model
    assert model is not None
    assert wave.needed_peak_volts is not None
    law = PentodeParameters.stack([model.parameters])
    screen, plate = np.array([point.screen_volts]), np.array([point.plate_volts])

    def at(volts: float) -> tuple[float, float]:
        amps = pentode_currents(np.array([volts]), plate, screen, law)
        return float(amps.plate[0]), float(amps.plate_by_grid[0])

    up, down = (at(point.grid_volts + sign * wave.needed_peak_volts)[1] for sign in (1.0, -1.0))
    assert 20.0 * math.log10(up / down) == pytest.approx(6.0, abs=0.1)
    assert at(wave.cut_off_grid_volts[ref])[0] == pytest.approx(0.01 * point.plate_amps, rel=0.1)


def test_cut_off_lies_below_what_handbook_arithmetic_gives() -> None:
    """Vg2/mu, mu = 19 from grid to screen for the EL84: there a tube with a knee still draws current."""
    found, wave = solved("curlew")
    point = found.nominal.sections["V4"]
    assert point.screen_volts is not None
    assert wave.cut_off_grid_volts["V4"] < -point.screen_volts / 19.0


def test_an_amp_without_an_oscillator_has_no_tremolo() -> None:
    assert tremolo(study(demo("dunlin"))) is None


def oscillator(load: float = 220e3, bypass: float = 22e-6) -> Netlist:
    """One triode with three sections of 1M and 10 nF, alone on a supply."""
    bench = Bench()
    bench.supply("B1", 470e-6, volts=230.0, resistance=200.0)
    bench.resistor("R1", "B1", "0", 47e3)
    bench.triode("V1", "plate", "grid", "cathode", triode_section("a"))
    bench.resistor("R2", "B1", "plate", load)
    bench.resistor("R3", "cathode", "0", 2.2e3)
    bench.capacitor("C2", "cathode", "0", bypass)
    for n, (start, end) in enumerate((("plate", "n1"), ("n1", "n2"), ("n2", "grid"))):
        bench.capacitor(f"C1{n}", start, end, 10e-9)
        bench.resistor(f"R1{n}", end, "0", 1e6)
    bench.sections = [replace(s, stage="oscillator") for s in bench.sections]
    ports = {"plate": "plate", "grid": "grid", "cathode": "cathode", "supply": "B1"}
    bench.stages.append(StageInstance("oscillator", "phase-shift-oscillator", NOWHERE, ports, {"plate-load": "R2"}))
    return bench.netlist(input_net="", output_net="plate")


def test_an_oscillator_alone_runs_near_the_closed_form() -> None:
    found = study(oscillator(bypass=0.022))
    wave = tremolo(found)
    assert wave is not None
    (point,) = wave.points
    rp = found.nominal.sections["V1a"].plate_ohms
    k = 1.0 / (1.0 / rp + 1.0 / 220e3) / 1e6
    assert point.hertz == pytest.approx(1.0 / (2.0 * math.pi * 1e6 * 10e-9 * math.sqrt(6.0 + 4.0 * k)), rel=2e-3)
    aged = 1.0 / (0.7 / rp + 1.0 / 220e3) / 1e6
    # the tube's own capacitances and the supply node take the rest
    assert point.gain_required == pytest.approx(29.0 + 23.0 * aged + 4.0 * aged**2, rel=5e-3)
    assert point.starts
    assert wave.injection_loss_db is None
    assert wave.available_peak_volts is None


def test_a_small_bypass_leads_in_phase_and_raises_the_rate() -> None:
    """22 uF across 2.2k turns the phase forward at 6 Hz: the ladder then works higher up, where it takes less."""
    rates = []
    for farads in (0.022, 22e-6):
        wave = tremolo(study(oscillator(bypass=farads)))
        assert wave is not None
        rates.append(wave.points[0])
    assert rates[1].hertz > 1.05 * rates[0].hertz
    assert rates[1].gain_required < rates[0].gain_required


def test_a_starved_stage_does_not_start() -> None:
    found = study(oscillator(load=15e3, bypass=0.022))
    wave = tremolo(found)
    assert wave is not None
    (point,) = wave.points
    assert not point.starts
    assert point.margin < 1.0
    assert wave.start_seconds is None
    assert wave.plate_peak_volts is None
    condition = replace(found.nominal.condition, tremolo=True)
    assert all(p.real < 0.0 for p in linearise(solve_system(build_system(found.netlist, condition))).poles())


def test_swing_and_rate_against_a_stepped_circuit() -> None:
    """ngspice, 6 s in steps of 2 ms from a kick of a microamp. The estimate of the swing is of the first harmonic: 15 %.

    The rate of the loop is where a vanishing oscillation would run. The real one runs slower, because the tube
    cuts off and its grid conducts: by 10 % at a margin of 2 to 3 (seen on this circuit and on the demos), so 0 to 15 % is allowed.
    """
    netlist = oscillator()
    found = study(netlist)
    wave = tremolo(found)
    assert wave is not None
    assert wave.plate_peak_volts is not None
    condition = replace(found.nominal.condition, tremolo=True)
    deck = spice_deck(netlist, condition)
    deck = re.sub(r"(?ms)^\.op$|^\.control.*?^\.endc$|^\.end$", "", deck)
    deck = re.sub(r"(?m)^\.options.*$", ".options reltol=1e-4 abstol=1e-11 vntol=1e-6 gmin=1e-15", deck)
    deck += "\nIkick 0 grid PULSE(0 1u 0.01 1m 1m 20m 100)\n.tran 2m 6 0 2m\n.end\n"
    vectors = run_deck(deck)
    late = np.real(vectors["time"]) > 4.0
    time, plate = np.real(vectors["time"])[late], np.real(vectors["plate"])[late]
    assert wave.plate_peak_volts == pytest.approx(0.5 * float(np.ptp(plate)), rel=0.15)
    middle = 0.5 * (plate.max() + plate.min())
    rising = time[1:][(plate[:-1] < middle) & (plate[1:] >= middle)]
    hertz = (len(rising) - 1) / (rising[-1] - rising[0])
    assert 0.85 < hertz / wave.points[0].hertz < 1.0

"""Numbers made for the rules, each against another way to get it: brute force, closed forms, the amp built without the part."""

from __future__ import annotations

from dataclasses import replace
from functools import cache
from itertools import product

import numpy as np
import pytest

from humdinger.analysis.operating import solve_system
from humdinger.analysis.oscillator import POSITIONS, Loop
from humdinger.analysis.oscillator_worst import CAPACITOR_TOLERANCE, POT_TOLERANCE, RESISTOR_TOLERANCE, SHARE
from humdinger.analysis.results import Results
from humdinger.analysis.smallsignal import linearise
from humdinger.analysis.study import Study, study
from humdinger.analysis.system import build_system
from humdinger.analysis.tremolo import _condition, _oscillator, _tube  # pyright: ignore[reportPrivateUsage]
from humdinger.circuit.netlist import Capacitor, Fuse, Netlist, Part, Pot, Resistor
from support.amps import changed, demo, demo_text, run


def results(name: str, **changes: str) -> Results:
    text = changed(demo_text(name), {key.replace("__", "/"): value for key, value in changes.items()})
    found = (run(text) if changes else demo(name)).results
    assert found is not None
    return found


def netlist(name: str) -> Netlist:
    found = demo(name).netlist
    assert found is not None
    return found


# -- the oscillator at its worst --------------------------------------------------------------------------------------
def scaled(part: Part, sign: float) -> Part:
    """The part at one end of its tolerance."""
    match part:
        case Resistor():
            return replace(part, ohms=part.ohms * (1.0 + sign * (part.tolerance or RESISTOR_TOLERANCE)))
        case Capacitor():
            return replace(part, farads=part.farads * (1.0 + sign * (part.tolerance or CAPACITOR_TOLERANCE)))
        case Pot():
            return replace(part, ohms=part.ohms * (1.0 + sign * POT_TOLERANCE))
    raise TypeError(part)


@cache
def heron_study() -> Study:
    return study(netlist("heron"))


def margins(amp: Netlist) -> np.ndarray:
    """|L| where its phase is 0, over the shaft, at the share of the worst case: an amp built and solved like any other."""
    found = _oscillator(amp)
    assert found is not None
    solved = solve_system(build_system(amp, _condition(heron_study(), found)))
    tube = _tube(solved, found)
    assert tube is not None
    loop = Loop(linearise(solved), found.section, tube, found.speed)
    hertz = loop.running_hertz(POSITIONS, SHARE)
    return np.abs(loop.gain(2j * np.pi * hertz, np.array(POSITIONS), SHARE))


def test_worst_start_margin_against_every_corner() -> None:
    """All 128 corners of heron's seven parts, one amp each: none is worse than the one found, and one is as bad."""
    amp = netlist("heron")
    stage = amp.stages_of("phase-shift-oscillator")[0]
    refs = [ref for role, ref in stage.parts.items() if role.startswith("step-") or role == "speed"]
    assert len(refs) == 7
    least = np.inf
    position = 0.0
    for signs in product((-1.0, 1.0), repeat=len(refs)):
        moved = {ref: scaled(amp.by_ref[ref], sign) for ref, sign in zip(refs, signs, strict=True)}
        found = margins(replace(amp, parts=tuple(moved.get(p.ref, p) for p in amp.parts)))
        if found.min() < least:
            least, position = float(found.min()), POSITIONS[int(found.argmin())]
    wave = results("heron").tremolo
    assert wave is not None
    # the search moves all parts at once where their first-order effect is worst; what is left is the rounding of two solvers
    assert wave.worst_margin == pytest.approx(least, rel=1e-6)
    assert wave.worst_position == position


def test_worst_margin_is_below_the_nominal_one() -> None:
    for name in ("curlew", "heron"):
        wave = results(name).tremolo
        assert wave is not None
        assert wave.worst_margin is not None
        assert 0.6 < wave.worst_margin / min(p.margin for p in wave.points) < 0.95


# -- the bias supply --------------------------------------------------------------------------------------------------
def test_bias_delay_against_the_time_constant_of_one_large_capacitor() -> None:
    """With 1000 µF on the feed its time constant is all there is: the resistance the grids share, times the capacitance."""
    found = results("heron", bias__feed_capacitor="1000u 100V")
    assert found.bias_supply is not None
    shared = found.grid_paths[[p.section for p in found.grid_paths].index("V4")].shared_ohms
    # the shared path is the pot's worst position, the delay its present one: 1 %; the other capacitors add some tenths of a second
    assert found.bias_supply.settle_seconds == pytest.approx(shared * 1e-3, rel=0.02)


def test_bias_delay_grows_by_what_a_capacitor_adds() -> None:
    """First moments add: twice the last filter capacitor adds once more what that capacitor contributes, whatever the rest is."""
    delays = []
    for farads in ("47u", "94u", "141u"):
        found = results("heron", bias__filter__1__capacitor=f"{farads} 100V").bias_supply
        assert found is not None
        assert found.settle_seconds is not None
        delays.append(found.settle_seconds)
    assert delays[2] - delays[1] == pytest.approx(delays[1] - delays[0], rel=1e-6)


def test_lost_bias_in_the_fuses() -> None:
    found = results("heron").bias_supply
    assert found is not None
    fuses = {f.where: f for f in netlist("heron").of(Fuse)}
    high_tension = found.lost_fuse_amps[fuses["high-tension"].ref]
    assert found.lost_dc_amps is not None
    # rms of full-wave pulses over their mean: above a full half sine's pi/(2 sqrt 2) = 1.11, below the 2 of narrow pulses
    assert 1.11 < high_tension / found.lost_dc_amps < 2.0
    idle = results("heron").nominal.rectifiers["high-tension"].dc_amps
    assert found.lost_dc_amps > 3.0 * idle
    assert found.lost_fuse_amps[fuses["mains"].ref] > 2.0 * results("heron").mains.primary_rms_amps
    # two like tubes share it alike
    watts = list(found.lost_plate_watts.values())
    assert watts[0] == pytest.approx(watts[1], rel=1e-6)


def test_only_fixed_bias_has_a_supply_of_its_own() -> None:
    assert results("curlew").bias_supply is None


def test_ends_of_the_bias_range_over_the_mains() -> None:
    found = results("heron").bias_range
    assert found is not None
    assert found.most_percent_cold is not None
    assert found.least_percent_hot is not None
    assert found.most_percent_cold > max(found.idle_percent_cold.values())
    assert found.least_percent_hot < min(found.idle_percent_hot.values())


# -- feedback, bass, load ---------------------------------------------------------------------------------------------
def test_feedback_against_the_amp_without_it() -> None:
    loop = results("heron").feedback
    assert loop is not None
    without = results("heron", feedback="~")
    assert without.feedback is None
    response = without.responses[0]
    k = response.hertz.index(min(response.hertz, key=lambda f: abs(f - 1000.0)))
    gain = abs(complex(response.real[k], response.imag[k]))
    # the shunt of 100 ohm stays in the cathode lead when the link is lifted: 5 % of its 1.8 k
    assert loop.gain_open == pytest.approx(gain, rel=0.05)
    assert loop.gain_open / loop.gain_closed == pytest.approx(10.0 ** (loop.loop_db / 20.0))


def test_feedback_by_the_closed_form() -> None:
    """A/(1 + A b): the loop's A b falls as the fed-back share, shunt/(shunt + resistor), for two resistors."""
    loops = [results("heron", feedback__resistor=ohms).feedback for ohms in ("2k2 1W", "10k 1W")]
    products = [one.gain_open / one.gain_closed - 1.0 for one in loops if one is not None]
    shares = [100.0 / 2300.0, 100.0 / 10100.0]
    # the stage's own cathode current in the shunt and the resistor's load on the tap are not in the form
    assert products[0] / products[1] == pytest.approx(shares[0] / shares[1], rel=0.01)


def test_bass_corner_is_the_sum_over_the_signal_path() -> None:
    found = results("curlew")
    own = {c.capacitor: c.hertz for c in found.corners}
    amp = netlist("curlew")
    in_path = [ref for ref in own if amp.by_ref[ref].stage in ("first", "second", "inverter")]
    assert len(in_path) == 4  # two of the inverter, of which the higher counts
    pair = sorted(own[ref] for ref in in_path if amp.by_ref[ref].stage == "inverter")
    assert found.bass_corner_hertz == pytest.approx(sum(own[ref] for ref in in_path) - pair[0])


def test_decouplers_are_resistor_times_capacitor() -> None:
    rows = {d.node: d for d in results("dunlin").decouplers}
    assert list(rows) == ["B2", "B3", "B4"]
    assert rows["B4"].seconds == pytest.approx(22e3 * 22e-6)
    assert [d.node for d in results("heron").decouplers] == ["B3", "B4", "B5"]  # B2 hangs on a choke


def test_least_primary_inductance_of_a_pair() -> None:
    """Radiotron formula, worked by hand with the sheet's plate resistance of EL84, 38 k: 8 k parallel 76 k over 2 pi 82 Hz is 14.0 H."""
    load = results("curlew").load
    assert load is not None
    assert load.least_henries is not None
    # the tubes idle cooler here than on the sheet, so their plate resistance is higher: 62 k
    assert load.least_henries == pytest.approx(14.05, rel=0.05)
    assert load.least_henries == pytest.approx(1.0 / (1.0 / 8000.0 + 1.0 / load.plate_ohms) / (2.0 * np.pi * 82.0))


def test_every_blocking_capacitor_of_a_contact_is_named() -> None:
    amp = netlist("heron")
    ladder = amp.stages_of("phase-shift-oscillator")[0].parts
    contact = next(c for c in results("heron").contacts if c.net == "oscillator.grid")
    assert contact.blocking == (ladder["step-capacitor-3"],)

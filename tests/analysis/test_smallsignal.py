"""Small signals: closed forms of passive networks, feedback, poles, gains per stage."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest

from humdinger.analysis.operating import solve_operating
from humdinger.analysis.smallsignal import HERTZ, responses, small_signal, stage_gains
from humdinger.circuit.netlist import OutputTransformer, Pin
from support.driven import linear, nominal
from support.netlists import Bench, small_amp

AMP = small_amp()


def test_rc_low_pass() -> None:
    b = Bench()
    b.resistor("R1", "in", "out", 10e3 - 1.0)  # and 1 ohm of the source
    b.capacitor("C1", "out", "0", 22e-9)
    found = linear(b.netlist(), {})
    hertz = np.array([1.0, 100.0, 723.4, 20e3])
    expected = 1.0 / (1.0 + 2j * math.pi * hertz * 10e3 * 22e-9)
    assert found.transfer("in", ["out"], hertz)[:, 0] == pytest.approx(expected, rel=1e-9)
    assert found.poles() == pytest.approx([-1.0 / (10e3 * 22e-9)], rel=1e-9)


def test_series_rlc() -> None:
    b = Bench()
    b.resistor("R1", "in", "a", 99.0)
    b.choke("L1", "a", "out", 0.5, 50.0)
    b.capacitor("C1", "out", "0", 1e-6)
    found = linear(b.netlist(), {})
    ohms, henries, farads = 150.0, 0.5, 1e-6
    hertz = np.array([10.0, 225.0, 1000.0])
    s = 2j * math.pi * hertz
    assert found.transfer("in", ["out"], hertz)[:, 0] == pytest.approx(1.0 / (1.0 + s * ohms * farads + s * s * henries * farads), rel=1e-9)
    decay = ohms / (2.0 * henries)
    ring = math.sqrt(1.0 / (henries * farads) - decay**2)
    assert found.poles() == pytest.approx([complex(-decay, -ring), complex(-decay, ring)], rel=1e-9)


def test_a_forced_net_gives_ratios() -> None:
    b = Bench()
    b.resistor("R1", "in", "a", 1e3)
    b.resistor("R2", "a", "b", 3e3)
    b.resistor("R3", "b", "0", 1e3)
    found = linear(b.netlist(), {})
    assert found.transfer("a", ["b", "a", "0"], [50.0])[0] == pytest.approx([0.25, 1.0, 0.0])
    with pytest.raises(ValueError, match="ground"):
        found.transfer("0", ["a"], [50.0])
    with pytest.raises(KeyError):
        found.transfer("nowhere", ["a"], [50.0])


def test_stage_gain_is_the_formula_at_the_operating_point() -> None:
    found = solve_operating(AMP, nominal(AMP))
    rows = {(g.stage, g.to_net): g for g in stage_gains(AMP, small_signal(AMP, found))}
    v1 = found.sections["V1a"]
    load = 1.0 / (1.0 / 100e3 + 1.0 / 1e6)
    gain = rows["first", "p1"]
    # pF at 1 kHz and the second stage's grid leak through the volume pot: 3 %
    assert gain.gain == pytest.approx(v1.mu * load / (v1.plate_ohms + load), rel=0.03)
    assert abs(gain.phase_degrees) == pytest.approx(180.0, abs=2.0)
    assert gain.gain_db == pytest.approx(20.0 * math.log10(gain.gain))
    a, b = rows["inverter", "p2"], rows["inverter", "p3"]
    assert a.gain == pytest.approx(b.gain, rel=0.06)
    assert abs(a.phase_degrees - b.phase_degrees) == pytest.approx(180.0, abs=2.0)
    assert rows["level", "v2"].gain == pytest.approx(0.45, abs=0.06)  # half the track with 1 M behind it


def test_gain_of_a_stage_the_input_does_not_reach() -> None:
    b = Bench()
    b.resistor("R1", "in", "0", 1e6)
    b.resistor("R2", "a", "b", 1e3)
    b.resistor("R3", "b", "0", 1e3)
    b.stage("apart", **{"in": "a", "out": "b"})
    netlist = b.netlist()
    assert [g.gain for g in stage_gains(netlist, linear(netlist, {}))] == pytest.approx([0.5])


def test_the_amp_is_stable_and_its_response_has_31_points() -> None:
    found = small_signal(AMP, nominal(AMP))
    assert found.poles()[0].real < 0.0
    row = responses(found)[0]
    assert row.net == "out"
    assert row.hertz[0] == pytest.approx(20.0)
    assert row.hertz[-1] == pytest.approx(20e3)
    assert len(row.hertz) == len(row.real) == len(HERTZ) == 31


def turned_round(reversed_primary: bool):
    """The amp with feedback from the speaker into the tail, the primary one way or the other."""
    netlist = small_amp(feedback=True)
    if not reversed_primary:
        return netlist
    parts = []
    for part in netlist.parts:
        if isinstance(part, OutputTransformer):
            swap = {"P1": "P2", "P2": "P1"}
            nets = {pin.name: pin.net for pin in part.pins}
            part = replace(part, pins=tuple(Pin(p.name, nets[swap.get(p.name, p.name)]) for p in part.pins))
        parts.append(part)
    return replace(netlist, parts=tuple(parts))


def test_polarity_of_the_output_transformer_decides_the_sign_of_the_feedback() -> None:
    bare = small_signal(AMP, nominal(AMP))
    open_gain = abs(bare.transfer("g2", ["out"], [1000.0])[0, 0])
    found = {}
    for reversed_primary in (False, True):
        netlist = turned_round(reversed_primary)
        amp = small_signal(netlist, nominal(netlist))
        found[reversed_primary] = (abs(amp.transfer("g2", ["out"], [1000.0])[0, 0]), amp.poles()[0].real)
    right, wrong = sorted(found.values(), key=lambda row: row[1])
    # design/analysis.md 4.5: right polarity no pole in the right half plane, swapped: there are
    assert right[1] < 0.0 < wrong[1]
    loop = open_gain / right[0] - 1.0
    assert 2.0 < loop < 4.0  # 47 of 867 ohm of a gain of 53
    assert wrong[0] == pytest.approx(open_gain / abs(1.0 - loop), rel=0.02)

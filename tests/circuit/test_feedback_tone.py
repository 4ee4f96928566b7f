"""The feedback tone: nets, its loop by Cramer's rule and by the virtual ground, refusals, ngspice, drawing, a manual without warnings."""

from __future__ import annotations

from functools import cache

import numpy as np
import pytest

from humdinger.analysis.smallsignal import small_signal
from humdinger.analysis.worked import worked
from humdinger.circuit.polarity import INVERTING
from humdinger.compile import Compiled
from support.amps import above_info, changed, demo_text, run
from support.drawn import VOLTS
from support.driven import linear, nominal
from support.kinds import agrees_with_ngspice, draws_clean
from support.signal_amps import codes_of, ends, netlist_of, part
from support.tones import loop_instead, nodal_response

BAND = (40.0, 100.0, 300.0, 1000.0, 3000.0, 8000.0, 15e3)
TUBE = (100.0, 62.5e3)
"""Amplification factor and plate resistance of the exactly linear tube."""


def amp(more: dict[str, str] | None = None, /, **keys: str) -> str:
    """Curlew with its idle section in the loop, in the place of the two-knob tone; what it draws asks for more capacitance on its node."""
    return changed(demo_text("curlew"), loop_instead(2, "V2b", "B3", **keys) | {"supply/filter/2/capacitor": "68u 450V"} | (more or {}))


@cache
def made() -> Compiled:
    return run(amp())


def test_nets_are_those_of_the_docstring():
    netlist = netlist_of(amp(grid_stopper="10k"))
    for key in ("bass", "treble"):
        assert ends(netlist, "loop", f"{key}-end-a") == ("first.out", f"loop.{key}-top")
        assert ends(netlist, "loop", key) == (f"loop.{key}-foot", f"loop.{key}-wiper", f"loop.{key}-top")
        assert ends(netlist, "loop", f"{key}-end-b") == (f"loop.{key}-foot", "loop.out")
        assert part(netlist, "loop", f"{key}-end-a").origin.kind == "default"
        assert next(d.text for d in netlist.defaults if d.path == f"signal/2/{key}_end") == "100k"
    assert ends(netlist, "loop", "bass-capacitor-a") == ("loop.bass-top", "loop.bass-wiper")
    assert ends(netlist, "loop", "bass-capacitor-b") == ("loop.bass-wiper", "loop.bass-foot")
    assert ends(netlist, "loop", "isolation") == ("loop.bass-wiper", "loop.sum")
    assert ends(netlist, "loop", "treble-capacitor") == ("loop.treble-wiper", "loop.sum")
    assert ends(netlist, "loop", "grid-stopper") == ("loop.sum", "loop.grid")
    assert ends(netlist, "loop", "coupling") == ("loop.plate", "loop.out")
    assert netlist.by_section["V2b"].grid == "loop.grid"
    assert ("feedback-tone", "out") in INVERTING


@pytest.mark.parametrize("knobs", [(5, 5), (10, 10), (0, 0), (8, 3)], ids=str)
def test_the_loop_by_kirchhoffs_law(knobs: tuple[int, int]):
    """All nodes from input to output by Cramer's rule, the tube as gm and rp with its three capacitances; VOLUME at 0 makes its track the
    load. 1e-3: the B+ node is a capacitor of 68 µF and no perfect ground."""
    bass, treble = knobs
    netlist = netlist_of(amp({"controls": f"{{BASS: {bass}, TREBLE: {treble}, VOLUME: 0}}"}))
    mu, rp = TUBE
    triodes = {s.ref: TUBE for s in netlist.sections if s.section.kind == "triode" and not s.unused}
    found = linear(netlist, triodes).transfer("first.out", ["loop.out"], BAND)[:, 0]
    b, t = (min(max(x / 10, 1e-4), 1 - 1e-4) for x in knobs)
    section = netlist.by_section["V2b"].section
    assert section.input_farads is not None
    assert section.grid_plate_farads is not None
    assert section.output_farads is not None
    exact = nodal_response(
        [
            ("in", "bt", 1e-5, 0.0),
            ("bt", "bw", 1e-6 / (1 - b), 2.2e-9),
            ("bw", "bf", 1e-6 / b, 2.2e-9),
            ("bf", "out", 1e-5, 0.0),
            ("bw", "sum", 1.0 / 220e3, 0.0),
            ("in", "tt", 1e-5, 0.0),
            ("tt", "tw", 1e-6 / (1 - t), 0.0),
            ("tw", "tf", 1e-6 / t, 0.0),
            ("tf", "out", 1e-5, 0.0),
            ("tw", "sum", 0.0, 220e-12),
            ("sum", "0", 1e-6, 0.0),
            ("sum", "cathode", 0.0, section.input_farads.value),
            ("sum", "plate", 0.0, section.grid_plate_farads.value),
            ("plate", "cathode", 1.0 / rp, section.output_farads.value),
            ("cathode", "0", 1.0 / 1500.0, 22e-6),
            ("plate", "0", 1e-5, 0.0),
            ("plate", "out", 0.0, 100e-9),
            ("out", "0", 1e-6, 0.0),
        ],
        "in",
        "out",
        BAND,
        {("plate", "sum", "cathode"): mu / rp, ("cathode", "cathode", "sum"): mu / rp},
    )
    assert np.abs(found / exact - 1.0).max() < 1e-3


def test_a_high_gain_comes_to_the_virtual_ground():
    """-(end + b track)/(end + (1 - b) track) for the bass with its capacitors open, -1 in the middle (derived, stages/feedback_tone.py).
    A tube of mu 20000 leaves 1 % to the finite gain; 1 pF capacitors, and a coupling of 10 µF, leave the bass alone at 100 Hz."""
    apart = {"bass_capacitor": "1p 630V", "treble_capacitor": "1p 630V", "coupling": "10u 630V film"}
    for knob in (0, 2, 5, 7, 10):
        netlist = netlist_of(amp({"controls": f"{{BASS: {knob}, TREBLE: 5, VOLUME: 0}}"}, **apart))
        triodes = {s.ref: (20000.0, 62.5e3) for s in netlist.sections if s.section.kind == "triode" and not s.unused}
        found = linear(netlist, triodes).transfer("first.out", ["loop.out"], [100.0])[0, 0]
        b = knob / 10
        assert found == pytest.approx(-(100e3 + b * 1e6) / (100e3 + (1 - b) * 1e6), rel=0.01)


def test_the_worked_gain_in_the_middle():
    """-A/(A + 2): equal networks to input and output, the grid taken as between them (standard algebra). 3 %: grid leak, the load of
    network and VOLUME on the plate."""
    netlist, results = made().netlist, made().results
    assert netlist is not None
    assert results is not None
    rows = {row.name: row for row in worked(netlist, results)}
    assert rows["loop/gain"].solved == pytest.approx(rows["loop/gain"].closed, rel=0.03)
    assert rows["loop/bias"].solved == pytest.approx(rows["loop/bias"].closed, rel=1e-3)
    assert rows["loop/bass-lift"].closed == pytest.approx(11.0)


def test_clockwise_is_more_and_the_middle_stands():
    def levels(**knobs: int) -> np.ndarray:
        where = {"BASS": 5, "TREBLE": 5} | knobs
        netlist = netlist_of(amp({f"controls/{name}": str(at) for name, at in where.items()}))
        found = small_signal(netlist, nominal(netlist)).transfer("first.out", ["loop.out"], [50.0, 800.0, 10e3])
        return 20.0 * np.log10(np.abs(found[:, 0]))

    flat = levels()
    assert np.ptp(flat) < 0.7
    assert levels(BASS=10)[0] - flat[0] > 10.0
    assert levels(BASS=0)[0] - flat[0] < -10.0
    assert levels(TREBLE=10)[2] - flat[2] > 10.0
    assert levels(TREBLE=0)[2] - flat[2] < -10.0
    for moved in (levels(BASS=10), levels(BASS=0), levels(TREBLE=10), levels(TREBLE=0)):
        assert abs(moved[1] - flat[1]) < 3.5


def test_direct_volts_are_refused():
    assert codes_of(amp({"signal/1/coupling": "direct"})) == ["ELB-071"]


def test_feedback_of_the_amp_does_not_enter_it():
    assert "ELB-026" in codes_of(amp({"feedback": "{from: 8 ohm, to: loop, resistor: 10k 1W, shunt: 100}"}))


@pytest.mark.parametrize("keys", [{}, {"grid_stopper": "10k", "cathode_bypass": "~"}], ids=str)
def test_against_ngspice(keys: dict[str, str]):
    agrees_with_ngspice(netlist_of(amp(**keys)))


@pytest.mark.parametrize("keys", [{}, {"grid_stopper": "10k", "cathode_bypass": "~"}], ids=str)
@pytest.mark.parametrize("volts", VOLTS)
def test_the_drawing_reads_back_and_is_clean(keys: dict[str, str], volts: str):
    draws_clean(netlist_of(amp(**keys)), volts)


def test_the_amp_compiles_without_a_warning():
    assert above_info(made()) == []

"""Presence on feedback into a driver and into a long-tailed pair: nets, gain by the feedback formula, Thevenin, ngspice, clean manuals."""

from __future__ import annotations

from functools import cache

import numpy as np
import pytest

from humdinger.analysis.smallsignal import SmallSignal, small_signal
from humdinger.analysis.worked import worked
from humdinger.circuit.netlist import Netlist
from humdinger.compile import Compiled
from humdinger.units.taper import track_fraction
from support.amps import above_info, changed, demo_text, run
from support.drawn import VOLTS
from support.driven import impedance, nominal
from support.kinds import agrees_with_ngspice, draws_clean
from support.signal_amps import codes_of, ends, netlist_of

PRESENCE = {"driver": "{capacitor: 1u 100V film, pot: 1k linear 0.5W}", "pair": "{capacitor: 100n 400V, pot: 10k linear}"}
FEEDBACK = {
    "driver": ("heron", {}),
    "pair": ("curlew", {"feedback": "{from: 8 ohm, to: inverter, resistor: 22k 1W, shunt: 1k}"}),
}
OHMS = {"driver": (2200.0, 100.0, 1e3, 1e-6), "pair": (22e3, 1e3, 10e3, 100e-9)}
"""Series resistor, shunt, track, farads."""
TARGET = {"driver": "driver", "pair": "inverter"}


def amp(into: str, more: dict[str, str] | None = None, *, presence: bool = True) -> str:
    name, changes = FEEDBACK[into]
    found = dict(changes) | ({"feedback/presence": PRESENCE[into]} if presence else {})
    return changed(demo_text(name), found | (more or {}))


def solved(text: str) -> tuple[Netlist, SmallSignal]:
    netlist = netlist_of(text)
    return netlist, small_signal(netlist, nominal(netlist))


@cache
def made(into: str) -> Compiled:
    return run(amp(into))


@pytest.mark.parametrize("into", FEEDBACK)
def test_it_hangs_on_the_feedback_node(into: str):
    netlist = netlist_of(amp(into))
    assert ends(netlist, "presence", "capacitor") == (f"{TARGET[into]}.feedback", "presence.junction")
    assert ends(netlist, "presence", "pot") == ("presence.junction", "presence.junction", "0")
    assert [c.name for c in netlist.controls if netlist.by_ref[c.ref].stage == "presence"] == ["PRESENCE"]
    without = netlist_of(amp(into, presence=False))
    assert netlist.stage("output").facts["swapped"] == without.stage("output").facts["swapped"]


@pytest.mark.parametrize("into", FEEDBACK)
@pytest.mark.parametrize("knob", [0, 5, 10])
@pytest.mark.parametrize("hertz", [100.0, 1000.0, 5000.0])
def test_the_gain_by_the_feedback_formula(into: str, knob: int, hertz: float):
    """A/(1 + A share), share = Z/(Z + R1), Z = R2 parallel (R + 1/jwC): standard algebra. A from the amp with the resistor's end lifted
    (1 GΩ), from the input of the stage fed back to to the speaker. 4 %: the stage's own current through Z, and R1's load on the speaker."""
    r1, r2, track, farads = OHMS[into]
    where = {"controls/PRESENCE": str(knob)}
    netlist, closed = solved(amp(into, where))
    opened = solved(amp(into, where | {"feedback/resistor": "1000M"}))[1]
    start = netlist.stage(TARGET[into]).ports["in"]
    a, found = (amp_.transfer(start, [netlist.output_net], [hertz])[0, 0] for amp_ in (opened, closed))
    left = track * (1.0 - track_fraction("linear", knob / 10))
    z = 1.0 / (1.0 / r2 + 1.0 / (left + 1.0 / (2j * np.pi * hertz * farads)))
    share = z / (z + r1)
    # a stage that takes feedback at its cathode gives its grid's signal and the opposite of its cathode's
    assert abs(found) == pytest.approx(abs(a / (1.0 + a * share)), rel=0.04)


@pytest.mark.parametrize("into", FEEDBACK)
@pytest.mark.parametrize("hertz", [200.0, 2000.0, 9000.0])
def test_exactly_by_thevenin(into: str, hertz: float):
    """The branch takes V/(Z + Zb) out of the closed loop's node, V and Z those without it; the speaker follows by superposition."""
    track, farads = OHMS[into][2:]
    netlist, closed = solved(amp(into, {"controls/PRESENCE": "7"}))
    plain, loop = solved(amp(into, presence=False))
    node, speaker = f"{TARGET[into]}.feedback", netlist.output_net
    volts = loop.transfer(netlist.input_net, [node, speaker], [hertz])[0]
    branch = track * (1.0 - track_fraction("linear", 0.7)) + 1.0 / (2j * np.pi * hertz * farads)
    current = volts[0] / (impedance(loop, node, hertz) + branch)
    side = np.zeros(loop.system.size)
    side[loop.system.index[node]] = -1.0
    moved = loop.response(side, [hertz])[0, loop.system.index[speaker]]
    assert plain.output_net == speaker
    expected = volts[1] + current * moved
    assert closed.transfer(netlist.input_net, [speaker], [hertz])[0, 0] == pytest.approx(complex(expected), rel=1e-6)


@pytest.mark.parametrize("into", FEEDBACK)
def test_clockwise_brings_the_treble_and_leaves_the_bass(into: str):
    rows = []
    for knob in ("0", "5", "10"):
        netlist, found = solved(amp(into, {"controls/PRESENCE": knob}))
        rows.append(np.abs(found.transfer(netlist.input_net, [netlist.output_net], [80.0, 6000.0])[:, 0]))
    low, half, high = rows
    assert low[1] < half[1] < high[1]
    assert high[0] == pytest.approx(low[0], rel=0.02)
    # fully clockwise the feedback is nearly gone at 6 kHz: the amp gains what its loop takes elsewhere
    loop = made(into).results
    assert loop is not None
    assert loop.feedback is not None
    plain = solved(amp(into, presence=False))[1].transfer(netlist.input_net, [netlist.output_net], [6000.0])[0, 0]
    assert 20.0 * np.log10(high[1] / abs(plain)) > 0.6 * loop.feedback.loop_db


@pytest.mark.parametrize("into", FEEDBACK)
def test_the_corner_is_worked(into: str):
    r1, r2, _, farads = OHMS[into]
    found = made(into)
    assert found.netlist is not None
    assert found.results is not None
    row = next(row for row in worked(found.netlist, found.results) if row.name == "presence/corner")
    assert row.closed == pytest.approx((r1 + r2) / (2.0 * np.pi * r1 * r2 * farads))


@pytest.mark.parametrize("into", FEEDBACK)
def test_against_ngspice(into: str):
    agrees_with_ngspice(netlist_of(amp(into)))


def test_slips_are_said():
    assert codes_of(amp("driver", {"feedback/presence/control": "BIAS"})) == ["NAM-014"]
    assert codes_of(amp("driver", {"feedback/presence/pot": "~"})) == ["SCH-001"]


@pytest.mark.parametrize("into", FEEDBACK)
@pytest.mark.parametrize("volts", VOLTS)
def test_the_drawing_reads_back_and_is_clean(into: str, volts: str):
    draws_clean(netlist_of(amp(into)), volts)


@pytest.mark.parametrize("into", FEEDBACK)
def test_the_amp_compiles_without_a_warning(into: str):
    assert above_info(made(into)) == []

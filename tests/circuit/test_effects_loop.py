"""The effects loop as a plain divider and between a follower and a recovery stage: nets, shares, levels, faults, ngspice, clean manuals."""

from __future__ import annotations

import json
from dataclasses import replace
from functools import cache

import numpy as np
import pytest
import yaml

from humdinger.analysis.results import LoopLevel
from humdinger.analysis.smallsignal import small_signal
from humdinger.analysis.worked import worked
from humdinger.circuit.netlist import GROUND, Jack, Netlist, Pin, Resistor
from humdinger.compile import Compiled
from humdinger.manual.panel import front
from humdinger.units.taper import track_fraction
from support.amps import above_info, changed, demo_text, run
from support.drawn import VOLTS, variant
from support.driven import nominal
from support.kinds import agrees_with_ngspice, draws_clean
from support.signal_amps import codes_of, ends, netlist_of
from support.tones import LOOP_PLAIN, with_stage

FOLLOWER = "{stage: cathode-follower, id: sender, tube: V6a, supply: B5, cathode_resistor: 47k 1W flameproof}"
BETWEEN = (
    "{stage: effects-loop, id: loop, send: {coupling: 470n 630V film, series: 47k, pot: 10k linear 0.5W}, return: {pot: 1M audio 0.5W}}"
)
RECOVERY = (
    "{stage: common-cathode, id: recovery, tube: V6b, supply: B5, plate_load: 100k 1W, cathode_resistor: 1k5, cathode_bypass: 22u 63V,"
    " coupling: 22n 630V}"
)
WINDING = "[{volts: 6.3 V, current: 4 A, feeds: [all], no_load: 6.7 V}]"
NODE = "{node: B5, through: 22k 1W flameproof, capacitor: 47u 450V}"


def amp(**changes: str) -> str:
    """Curlew with a follower, the loop and a recovery stage between its second stage and its inverter."""
    tree = yaml.load(demo_text("curlew"), yaml.BaseLoader)
    tree["signal"][5:5] = [yaml.load(text, yaml.BaseLoader) for text in (FOLLOWER, BETWEEN, RECOVERY)]
    tree["supply"]["filter"].append(yaml.load(NODE, yaml.BaseLoader))
    more = {"signal": json.dumps(tree["signal"]), "supply/filter": json.dumps(tree["supply"]["filter"]), "tubes/V6": "12AX7"}
    heaters = {"supply/transformer/heaters": WINDING, "supply/filter/0/bleeder": "120k 3W flameproof"}
    return changed(demo_text("curlew"), more | heaters | {key.replace("__", "/"): value for key, value in changes.items()})


LOOP = "signal/6"


def moved(text: str, **where: str) -> str:
    return changed(text, {f"controls/{key.replace('_', ' ')}": value for key, value in where.items()})


@cache
def made() -> Compiled:
    return run(amp())


def level(found: Compiled) -> LoopLevel:
    assert found.results is not None
    (row,) = found.results.loops
    return row


def plain() -> str:
    """Curlew with a bare divider behind its volume."""
    return changed(demo_text("curlew"), with_stage(demo_text("curlew"), 4, LOOP_PLAIN))


def test_what_hangs_where():
    netlist = netlist_of(amp())
    assert ends(netlist, "loop", "send-coupling") == ("sender.cathode", "loop.blocked")
    assert ends(netlist, "loop", "send-series") == ("loop.blocked", "loop.top")
    assert ends(netlist, "loop", "send-pot") == ("0", "loop.send", "loop.top")
    assert ends(netlist, "loop", "send-jack") == ("loop.send", "0")
    assert ends(netlist, "loop", "return-jack") == ("loop.return", "0", "loop.send")
    assert ends(netlist, "loop", "return-pot") == ("0", "loop.out", "loop.return")
    assert set(netlist.stage("loop").parts) == {"send-coupling", "send-series", "send-pot", "send-jack", "return-jack", "return-pot"}


def test_what_is_filled_in():
    netlist = netlist_of(plain())
    assert ends(netlist, "loop", "send-shunt") == ("loop.send", "0")
    assert ends(netlist, "loop", "return-leak") == ("loop.return", "0")
    leak = netlist.by_ref[netlist.stage("loop").parts["return-leak"]]
    assert isinstance(leak, Resistor)
    assert (leak.ohms, leak.origin.kind) == (1e6, "default")
    bare = netlist_of(changed(plain(), {"signal/4/send": "{series: 220k}"}))
    shunt = bare.by_ref[bare.stage("loop").parts["send-shunt"]]
    assert isinstance(shunt, Resistor)
    assert (shunt.ohms, shunt.origin.kind) == (100e3, "default")


@pytest.mark.parametrize("knob", [0.2, 0.5, 1.0])
def test_the_share_at_the_send(knob: float):
    """A loaded divider (standard algebra): Z/(R1 + (1 - f) P + Z), Z = f P parallel the return's track. 0.2 %: 470n and strays at 1 kHz."""
    netlist = netlist_of(moved(amp(), SEND_LEVEL=str(10 * knob)))
    f = track_fraction("linear", knob)
    below = 1.0 / (1.0 / (f * 10e3) + 1.0 / 1e6)
    share = abs(small_signal(netlist, nominal(netlist)).transfer("sender.cathode", ["loop.send"], [1000.0])[0, 0])
    assert share == pytest.approx(below / (47e3 + (1.0 - f) * 10e3 + below), rel=2e-3)


def test_the_formula_stands_beside_the_solver():
    found = made()
    assert found.netlist is not None
    assert found.results is not None
    row = next(row for row in worked(found.netlist, found.results) if row.name == "loop/send")
    assert row.solved is not None
    assert row.closed == pytest.approx(row.solved, rel=2e-3)


def test_the_chain_goes_on_through_the_return():
    """The product of the stage gains takes the loop's way on, not its way out. 3 %: what the output grids' stoppers take."""
    found = made()
    assert found.netlist is not None
    assert found.results is not None
    row = next(row for row in worked(found.netlist, found.results) if row.name == "drive/input")
    assert row.solved is not None
    assert row.closed == pytest.approx(row.solved, rel=0.03)


def test_levels_by_hand():
    """Source resistance of a divider: upper part parallel to lower; what the return shows is its track. The follower's own source
    resistance (some 600 ohms) is in series with 47k: below 1 %."""
    row = level(made())
    lower, upper = 5e3, 47e3 + 5e3
    assert row.send_ohms == pytest.approx(lower * upper / (lower + upper), rel=0.01)
    assert row.return_ohms == pytest.approx(1e6, rel=0.02)
    assert row.send_volts_rms is not None
    assert row.return_volts_rms is not None
    # an empty loop loads the send with the return's track only: a device must gain next to nothing
    assert row.return_volts_rms / row.send_volts_rms == pytest.approx(row.return_ohms / (row.return_ohms + row.send_ohms), rel=1e-3)
    assert row.device_gain == pytest.approx(row.return_volts_rms / row.send_volts_rms)


def _cut(netlist: Netlist) -> Netlist:
    """A plug with nothing on it in RETURN: the contact is off the send."""
    parts = [
        replace(part, pins=(Pin("tip", "loop.return"), Pin("sleeve", GROUND)), switched=False)
        if isinstance(part, Jack) and part.purpose == "return"
        else part
        for part in netlist.parts
    ]
    return replace(netlist, parts=tuple(parts))


def test_levels_are_those_of_the_amp_with_plugs_in():
    """The same numbers from an amp whose return never rests on its send, solved anew."""
    row, netlist = level(made()), made().netlist
    assert netlist is not None
    found = small_signal(_cut(netlist), nominal(netlist))
    results = made().results
    assert results is not None
    assert results.sensitivity is not None
    out = abs(found.transfer(netlist.input_net, ["loop.send"], [1000.0])[0, 0]) * results.sensitivity.volts_rms
    assert row.send_volts_rms == pytest.approx(out, rel=1e-6)
    grids = found.transfer("loop.return", ["output.grid-a", "output.cathode-a", "output.grid-b", "output.cathode-b"], [1000.0])[0]
    most = max(abs(grids[0] - grids[1]), abs(grids[2] - grids[3]))
    assert row.return_volts_rms == pytest.approx(results.sensitivity.drive_peak_volts / most / np.sqrt(2.0), rel=1e-6)


def test_a_leaking_capacitor_is_seen_with_the_level_up():
    """The fault is judged with the send fully up, wherever the knob stands: 10k of 57k of what the cathode keeps under that load."""
    rows = []
    for knob in ("0", "5"):
        results = run(moved(amp(), SEND_LEVEL=knob)).results
        assert results is not None
        rows.append(next(c for c in results.contacts if c.net == "loop.send" and c.contact == "tip"))
    assert rows[0].capacitor == rows[1].capacitor == made().netlist.stage("loop").parts["send-coupling"]  # type: ignore[union-attr]
    assert rows[0].fault_volts == pytest.approx(rows[1].fault_volts, rel=1e-6)
    cathode = made().results.operating["high"].volts["sender.cathode"]  # type: ignore[union-attr]
    assert 0.6 * cathode * 10.0 / 57.0 < rows[1].fault_volts < cathode * 10.0 / 57.0


@pytest.mark.parametrize(("send", "codes"), [("pot: 100k linear 0.5W", ["JCK-004"] * 3), ("series: 100k, pot: 25k linear 0.5W", [])])
def test_a_follower_on_a_plate_needs_the_series_resistor(send: str, codes: list[str]):
    """Its cathode stands near 100 V. A capacitor that leaks puts that on the lead; behind 100k the divider leaves less than 60 V."""
    direct = {"signal__4__coupling": "direct", "signal__5__cathode_resistor": "100k 1W flameproof"}
    found = run(amp(signal__6__send=f"{{coupling: 470n 630V film, {send}}}", **direct))
    assert found.results is not None
    assert found.results.nominal.volts["sender.cathode"] > 90.0
    assert [d.code for d in found.diagnostics if d.code == "JCK-004" and d.severity.name == "DANGER"] == codes


def test_direct_volts_on_the_send_are_refused():
    assert codes_of(amp(signal__6__send="{series: 47k, pot: 10k linear 0.5W}")) == ["ELB-072"]


def test_names_of_its_knobs_are_checked():
    assert codes_of(amp(signal__6__send__control="VOLUME")) == ["NAM-014"]
    assert codes_of(moved(amp(), SEND_LEVELS="3")) == ["NAM-015"]


def test_the_panel_has_its_jacks_and_knobs():
    netlist = netlist_of(amp())
    names = [(one.kind, one.name) for one in front(netlist)]
    assert names.index(("knob", "SEND LEVEL")) + 1 == names.index(("knob", "RETURN LEVEL"))
    assert names.index(("jack", "SEND")) + 1 == names.index(("jack", "RETURN"))


@pytest.mark.parametrize("text", [amp(), plain()], ids=["between stages", "plain"])
def test_against_ngspice(text: str):
    agrees_with_ngspice(netlist_of(text))


@pytest.mark.parametrize("name", ["loop-plain", "loop-with-everything", "loop-with-a-return-pot", "loop-with-a-send-pot"])
@pytest.mark.parametrize("volts", VOLTS)
def test_the_drawing_reads_back_and_is_clean(name: str, volts: str):
    draws_clean(variant(name), volts)


def test_the_amp_compiles_without_a_warning():
    assert above_info(made()) == []
